"""The text of a site file, edited without losing what else stands in it."""
