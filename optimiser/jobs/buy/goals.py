"""Names what a purchase may be the least for, and says how much effort each question about it is worth."""

PATIENCE = 6.0
"""Effort for further steps, of margin and of resets, together."""
IN_ONE_STAGE = 30.0
"""Effort for the least money in one stage, where no time limit is given. The longest of the examples takes a
third of it; much less would leave people's own sites undecided, much more keeps them waiting for minutes."""
STAGING = {"money": 5.0, "pieces": 2.5, "fewer": 1.5, "plainer": 4.0}
"""Effort for questions about several stages, where no time limit is given: the least money, the fewest
pieces, the least in fewer stages than that takes, the plainest for little more."""
LEAST_MONEY, FEWEST_PIECES, NOTHING = "least money", "fewest pieces", "buy nothing"
SO_FAR, FEW_SO_FAR = "least money found so far", "fewest pieces found so far"
PLAINEST, PLAINER = "plainest", "plainer"
