"""Where things stand, worked out again: the path, the ground, trunks, lines that run free."""
