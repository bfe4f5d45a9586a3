"""Plans a pull in stages and lists what changes between them."""
