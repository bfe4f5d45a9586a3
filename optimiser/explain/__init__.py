"""Why something cannot be done, and the least that would have to be otherwise."""
