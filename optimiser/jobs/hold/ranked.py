"""Ranks setups each of which has the second lines that keep its load in hand."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

from optimiser.jobs.hold.find import find, needed, steered_with
from optimiser.jobs.hold.kept import kept_scenes, with_lines
from optimiser.jobs.hold.steer import guides, kept_on_line, slews
from optimiser.jobs.question import RANK, RankQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.build import build_setup
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.stations import Stations
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import HoldingLine, Ranking, Setup
from optimiser.search.clock import Clock, Progress
from optimiser.site.model import Site

MOST = 320
"""Setups looked at before the list is called not proven."""


def rank_held(
    site: Site,
    question: RankQuestion = RANK,
    *,
    kit: Kit | None = None,
    stations: Stations | None = None,
    progress: Progress | None = None,
) -> Ranking:
    """As `optimiser.jobs.ranking.rank_hauls`, of setups that are kept in hand wherever the load would run or
    slew.

    A stretch on which the load runs on downhill by itself is no obstacle then: there the hauling line
    is slack and the holding line is eased. A haul that pulls too far to the side is none either: a
    steering line takes the rest, and the haul is ranked with what that holds back. Setups to which the
    rest of the gear does not give these lines are left out.
    """
    hauls = partial(rank_hauls, site, kit=kit, stations=stations, progress=progress)
    gear = kit or kit_of(site)
    spare_rope = sum(rope.count for rope in gear.ropes) > 1
    if not needed(site, stations) and not (guides(site) and spare_rope):
        found = hauls(question)
        return found if found.setups else replace(found, not_held=0)
    if not spare_rope:  # whatever hauls, nothing is left to hold with
        found = hauls(question, tabulated=kept_scenes)
        return replace(found, setups=(), not_held=len(found.setups))
    kept = partial(hauls, tabulated=kept_scenes)
    return _Keeper(site, question, gear, stations, progress).ranked(kept)


class _Keeper:
    """Gives hauls their second lines, more and more of them until the list is settled."""

    def __init__(
        self,
        site: Site,
        question: RankQuestion,
        gear: Kit,
        stations: Stations | None,
        progress: Progress | None,
    ) -> None:
        self._site, self._question, self._gear = site, question, gear
        self._stations, self._progress = stations, progress
        self._order = Order.of(site.preferences, question.by)
        self._clock = Clock(question.time_limit, None)
        self._known: dict[str, Setup | None] = {}

    def ranked(self, hauls: Callable[[RankQuestion], Ranking]) -> Ranking:
        """The ranking. `hauls` ranks hauls that may be held and steered: with steering that costs least
        place by place, so that no setup is worse there than it will be."""
        many = self._question.top
        while True:
            found = hauls(self._more(many))
            looked = self._looked_at(found)
            listed = self._listed(looked)
            settled = self._settled(found, listed, many) and not self._clock.stopped
            if settled or not found.proven or many >= MOST or not self._clock.runs():
                break
            many *= 2
        best = listed[: self._question.top]
        return replace(
            found,
            setups=tuple(replace(setup, rank=i + 1) for i, setup in enumerate(best)),
            proven=found.proven and settled,
            unsearched=None,  # hauls beyond the list count here too, and no bound on them is kept
            not_held=_left_out(self._site, self._stations, looked),
        )

    def _more(self, many: int) -> RankQuestion:
        return replace(self._question, top=many, everything=True, time_limit=self._clock.left)

    def _looked_at(self, found: Ranking) -> list[Setup | None]:
        """The hauls looked at so far with their second lines; None for one that cannot have them."""
        for setup in found.setups:
            if setup.reeving not in self._known and self._clock.runs():
                if self._progress is not None:
                    self._progress(f"second lines for setup {setup.rank}")
                self._known[setup.reeving] = _held(self._site, setup, self._order, self._gear)
        return [self._known[s.reeving] for s in found.setups if s.reeving in self._known]

    def _listed(self, looked: Sequence[Setup | None]) -> list[Setup]:
        held = sorted((s for s in looked if s is not None), key=lambda s: _sort(s, self._order))
        return held if self._question.everything else _unbeaten(held, self._order)

    def _settled(self, found: Ranking, listed: Sequence[Setup], many: int) -> bool:
        """Whether no haul that was not looked at could come into the list."""
        top, order = self._question.top, self._order
        if len(found.setups) < many:
            return True
        return len(listed) >= top and _sort(listed[top - 1], order) <= _sort(found[-1], order)


def _left_out(site: Site, stations: Stations | None, looked: Sequence[Setup | None]) -> int | None:
    """How many were left out for want of a second line; None where all go without."""
    lines = any(s is None or s.holding for s in looked)
    called = needed(site, stations) or lines or not looked
    return sum(setup is None for setup in looked) if called else None


def _sort(setup: Setup, order: Order) -> tuple[bool, tuple[float, ...]]:
    """Fully rated ones first, then by the order."""
    return bool(setup.unrated), order.sortable(Key.of(setup, setup.margin))


def _unbeaten(setups: Sequence[Setup], order: Order) -> list[Setup]:
    """Those that no fully rated one before them beats on every count."""
    out: list[Setup] = []
    for setup in setups:
        better = (other for other in out if not other.unrated or setup.unrated)
        if not any(
            order.beaten(Key.of(setup, setup.margin), Key.of(other, other.margin))
            for other in better
        ):
            out.append(setup)
    return out


def _held(site: Site, setup: Setup, order: Order, kit: Kit) -> Setup | None:
    """The setup with the second lines it needs; None where the rest of the gear does not give them."""
    if not slews(setup):
        done = _finished(site, setup, ())
        if done is not None or setup.second is not None:
            return done
    gear = kit if setup.unrated else kit.rated_only
    for filled in kept_on_line(site, setup, order, kit=gear):
        other = build_setup(filled, rank=setup.rank)
        lines: tuple[HoldingLine, ...] = ()
        if other.steered is not None:
            line = steered_with(site, other)
            if line is None:
                continue
            lines = (line,)
        done = _finished(site, other, lines)
        if done is not None:
            return done
    return None


def _finished(site: Site, setup: Setup, lines: tuple[HoldingLine, ...]) -> Setup | None:
    steered = replace(setup, holding=lines)
    found = find(site, steered)
    if not found.complete:
        return None
    return with_lines(site, setup, (*lines, *found.lines))
