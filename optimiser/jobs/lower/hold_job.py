"""What ways down are searched for: one site, its gear, what is asked of the hand, the order and the time."""

from collections.abc import Sequence
from dataclasses import dataclass

from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.search.clock import Clock
from optimiser.search.line import Line, letting_down
from optimiser.search.prove import search
from optimiser.search.refine import refined
from optimiser.search.rules import Rules
from optimiser.site.counts import Count
from optimiser.site.model import Site

ORDER = (Count.MARGIN, Count.PULL, Count.RESETS, Count.ROPE)
"""Margin first, then people's force, then stops to take a new grip, then rope."""
MOST_SHEAVES = 3
"""Sheaves in a hold, if no other number is given: turns hold more than sheaves do."""


@dataclass(frozen=True, kw_only=True)
class HoldJob:
    """Site, gear, limits and order of one search."""

    site: Site
    kit: Kit
    hand: HandLimit
    order: Order
    rules: Rules
    sheaves: int
    clock: Clock

    @property
    def line(self) -> Line:
        return letting_down(self.hand, self.sheaves)

    @property
    def floor(self) -> float:
        return self.site.preferences.margin_wanted

    def best(self, scenes: Sequence[Scene], *, rated: bool = True) -> Filled | None:
        """The best hold over some scenes; None where none is found. `rated`: with nothing unrated."""
        found = search(
            [scene for scene in scenes if scene.rated] if rated else scenes,
            self.kit.rated_only if rated else self.kit,
            self.order,
            self.rules,
            top=1,
            floor=self.floor,
            everything=True,
            clock=self.clock,
            only_rated=rated,
            line=self.line,
        )
        listed = found.board.leaders()
        if not listed:
            return None
        entry = listed[0][1]
        filled = Filler(self.order, self.floor).settled(entry.filled, entry.rivals)
        return refined(filled, self.order, self.floor)
