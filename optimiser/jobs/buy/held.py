"""Says with which goods a load is hauled and kept in hand: the haul has its holding and steering lines from
the gear owned and what is bought."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from catalogue.gear import Rope
from optimiser.jobs.hold.find import needed
from optimiser.jobs.hold.spare import used_by, used_by_line
from optimiser.jobs.question import BuyQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.stages.results import Plan
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.gear.made import with_made
from optimiser.rig.setup import Setup
from optimiser.search.buying.least import OutOfTime
from optimiser.search.buying.staged import Pieces
from optimiser.search.clock import Clock
from optimiser.site.model import Owned, Site, is_of

BETTERING = 2.0
"""Effort for bettering a plan once there is one. Where there is none nobody looks for the reason."""

SECOND = " (2)"
"""What the name of the second of two equal ropes ends with: of one kind no more are bought
(`search.stock.offers`)."""


class Held:
    """The further question of a purchase with `hold`. It is put to the planner of stages, as `stages --hold`
    does."""

    def __init__(self, site: Site, question: BuyQuestion) -> None:
        self.site, self.question = site, question
        self._needs_two = bool(needed(site))  # a line that holds the load takes a rope of its own

    def __call__(
        self, pieces: Pieces, most_stages: int, margin: float, clock: Clock
    ) -> Pieces | None:
        """Those of the pieces that the plan found takes; None where there is none. Raises OutOfTime."""
        wishes = replace(self.site.preferences, margin_wanted=margin)
        demanding = replace(self.site, preferences=wishes)
        plan = self._plan(demanding, pieces, most_stages, clock)
        if plan is None:
            return None
        taken = _taken(plan.stages)
        few = tuple((o, min(n, taken[o.name])) for o, n in pieces if taken[o.name])
        if few == pieces or self._plan(demanding, few, most_stages, clock) is None:
            return pieces
        return few

    def _plan(self, site: Site, pieces: Pieces, most_stages: int, clock: Clock) -> Plan | None:
        bought = tuple(replace(o.piece, count=n, price=None) for o, n in pieces)
        site, kit = with_pieces_owned(site, bought)
        if self._needs_two and sum(is_of(piece, Rope) for piece in kit.rated_only.pieces) < 2:
            return None
        plan = plan_held(site, kit.rated_only, self.question, most_stages, clock)
        if plan.stages and not any(setup.unrated for setup in plan.stages):
            return plan
        if not plan.proven:
            raise OutOfTime
        return None


def with_pieces_owned(site: Site, pieces: Iterable[Owned]) -> tuple[Site, Kit]:
    """The site whose owner has more pieces, and what can be made on the spot; and its kit. Second lines are
    made of the gear of a site. Of several equal ropes each is a piece of its own."""
    each = [
        replace(piece, name=piece.name if copy == 0 else f"{piece.name} ({copy + 1})", count=1)
        if is_of(piece, Rope)
        else piece
        for piece in pieces
        for copy in range(piece.count if is_of(piece, Rope) else 1)
    ]
    richer = replace(site, gear=(*with_made(site.gear), *each))
    return richer, kit_of(richer)


def plan_held(site: Site, kit: Kit, question: BuyQuestion, most_stages: int, clock: Clock) -> Plan:
    """The best chain of hauls with their second lines. A second line takes a second rope: where there is one
    rope only, and the load nowhere runs by itself, the hauls that need none are all there is."""
    lines = sum(is_of(piece, Rope) for piece in kit.pieces) > 1 or bool(needed(site))
    wanted = question.of_stages(most_stages, compound=False, hold=lines)
    return plan_stages(site, wanted, kit=kit, clock=clock, patience=BETTERING)


def _taken(setups: Iterable[Setup]) -> Counter[str]:
    """How many of each piece the stages take, the one that takes the most of it; equal ropes by their common
    name."""
    most: Counter[str] = Counter()
    for setup in setups:
        used: Counter[str] = Counter()
        for some in (used_by(setup), *map(used_by_line, setup.holding)):
            for name, many in some.items():
                used[name.removesuffix(SECOND)] += many
        most |= used
    return most
