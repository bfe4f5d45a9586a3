"""Gives rigs that let the load down the cheapest gear that does.

What the best bearings could do is a bound for hauls alone: letting down, a sheave that runs free is the
worse for the hand and the better for the standing end. So each choice of bearings that can be paid for is
looked at.
"""

from optimiser.mechanics.arrays import Numbers
from optimiser.rig.forces.duty import Duty
from optimiser.search.buying.confirm import WithinPurse
from optimiser.search.made_rigs import Candidates, OneRope, OnTime
from optimiser.search.sought import Sought


class LetDownWithinPurse(WithinPurse):
    """Gives the first filling within the purse to rigs that let the load down."""

    def candidates(self, rigs: OneRope, walks: Numbers, on_time: OnTime) -> Candidates:
        """See the base."""
        return self.with_every_bearing(rigs, walks, on_time)


def within(sought: Sought) -> WithinPurse:
    """What gives rigs of one rope the cheapest gear, by what the rope is for."""
    hauls = sought.tables.line.duty is Duty.HAUL
    return WithinPurse(sought) if hauls else LetDownWithinPurse(sought)
