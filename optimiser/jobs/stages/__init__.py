"""Plans a pull in stages and says what changes between them."""
