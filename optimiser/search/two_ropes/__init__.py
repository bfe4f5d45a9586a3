"""The space of tackle on tackle, and its bounds."""
