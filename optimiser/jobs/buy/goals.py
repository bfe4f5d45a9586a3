"""Names what a purchase may be the least for, and says how much effort each question about it is worth."""

PATIENCE = 6.0
"""Effort for further steps, of margin and of resets, together."""
STAGING = {"money": 5.0, "pieces": 2.5, "fewer": 1.5, "plainer": 4.0}
"""Effort for questions about several stages, where no time limit is given: the least money, the fewest
pieces, the least in fewer stages than that takes, the plainest for little more."""
LEAST_MONEY, FEWEST_PIECES, NOTHING = "least money", "fewest pieces", "buy nothing"
SO_FAR = "least money found so far"
PLAINEST, PLAINER = "plainest", "plainer"
