"""The best setup while one or two numbers of the site file are varied."""
