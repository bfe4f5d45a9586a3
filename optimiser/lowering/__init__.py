"""The way back down: which reeving holds the load, where the rope is held, how many turns.

from optimiser import read_site
from optimiser.lowering import lower

answer = lower(read_site("site.toml"))
print(answer[0].reeving, answer[0].turns)

The rope is a walk as in hauling, from its standing end on. Its last place is where it is held: a
trunk with so many round turns, eased out by hand, or a hand winch or vehicle that pays it out.
"""

from optimiser.lowering.answer import lower
from optimiser.lowering.results import HoldRow, Lowering, LoweringSetup, Zone

__all__ = ["HoldRow", "Lowering", "LoweringSetup", "Zone", "lower"]
