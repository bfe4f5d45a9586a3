"""The best rigs of a space as a list, for whoever ranks: the fully rated first.

What takes longer, or what nobody would rather have, is searched only where there is nothing else: ropes put
together where no rope of one piece does, pieces without a rating where the list is not full, a great many
tackles on tackles where nothing simpler is found.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.rig.status import Unsearched, together
from optimiser.search.board import Entry
from optimiser.search.clock import Clock
from optimiser.search.line import HAULING, Line
from optimiser.search.prove import Outcome, search
from optimiser.search.refine import refined
from optimiser.search.rules import Rules
from optimiser.search.stopwatch import Stopwatch
from optimiser.search.trail import Taken
from optimiser.search.two_ropes.scope import scope
from optimiser.site.model import Site


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """How many rigs, in which order, with at least which margin (`floor`). `everything`: also rigs that
    another one beats on every count; `join_ropes`: ropes that are put together count, None: where none of one
    piece does; `compound`: tackle on tackle (`optimiser.search.two_ropes.scope`); `line`: what the rope is
    for; `near`: walks to begin with, which were best on a site like this; `as_good`: the best, and of the
    others only what is as good."""

    top: int
    order: Order
    floor: float
    everything: bool = False
    join_ropes: bool | None = None
    compound: bool | None = False
    line: Line = HAULING
    near: tuple[Taken, ...] = ()
    as_good: bool = False


@dataclass(frozen=True, kw_only=True)
class Listing:
    """The rigs, best first. `rules`: those of the last search, with tackle on tackle as it was looked at;
    `proven`: no better rig exists; `left`: tackle on tackle was left out, being too much; `unsearched`: what
    could still come where it is not proven, None where that is not known."""

    entries: tuple[Entry, ...]
    rules: Rules
    proven: bool
    left: bool
    unsearched: Unsearched | None
    looked_at: int
    confirmed: int
    watch: Stopwatch


def best_listed(
    site: Site, scenes: Sequence[Scene], kit: Kit, rules: Rules, wanted: Wanted, clock: Clock
) -> Listing:
    """The best rigs of a space (see the module's text)."""
    some = _Lister(site, scenes, kit, wanted, clock)
    looked = scope(wanted.compound, scenes, kit, rules)
    left = looked.left
    active = replace(rules, compound=looked.on)
    entries = some.under(active)
    if left and not entries and clock.runs():
        left, active = False, replace(active, compound=True)
        entries = some.under(active)
    done = some.outcomes
    return Listing(
        entries=tuple(entries),
        rules=active,
        proven=all(outcome.proven for outcome in done) and not clock.stopped,
        left=left,
        unsearched=some.unsearched(entries),
        looked_at=sum(outcome.tally.looked_at for outcome in done),
        confirmed=sum(outcome.tally.confirmed for outcome in done),
        watch=_summed(done),
    )


def settled(listing: Listing, wanted: Wanted, clock: Clock) -> list[tuple[Filled, Entry]]:
    """Each rig with the best filling of its gear, and its puller where it stands best (`refine`), the best
    first; as they are known where somebody wants the answer now."""
    if clock.interrupted:
        return [(entry.filled, entry) for entry in listing.entries]
    filler, order = Filler(wanted.order, wanted.floor), wanted.order
    filled = [filler.settled(entry.filled, entry.rivals) for entry in listing.entries]
    moved = [refined(rig, order, wanted.floor) for rig in filled]
    found = list(zip(moved, listing.entries, strict=True))
    if any(after is not before for after, before in zip(moved, filled, strict=True)):
        found.sort(key=lambda e: (bool(e[0].unrated), filler.sort(e[0].variant, e[0].margin)))
    return found


def anything_unrated(site: Site, scenes: Sequence[Scene], kit: Kit) -> bool:
    """Whether some anchor, piece of gear or hold on the load has no rating."""
    loose_anchor = any(anchor.strength.capacity is None for anchor in site.anchors)
    loose_gear = len(kit.rated_only.pieces) < len(kit.pieces)
    return loose_anchor or loose_gear or not all(scene.rated for scene in scenes)


class _Lister:
    """One list; `outcomes`: of every search made for it."""

    def __init__(
        self, site: Site, scenes: Sequence[Scene], kit: Kit, wanted: Wanted, clock: Clock
    ) -> None:
        self._scenes, self._kit, self._wanted, self._clock = scenes, kit, wanted, clock
        self._rated = [scene for scene in scenes if scene.rated]
        self._loose = anything_unrated(site, scenes, kit)
        self.outcomes: list[Outcome] = []
        self._of_rated_only: list[Outcome] = []
        self._skipped = False  # ropes that could be put together, as time was up

    def unsearched(self, entries: Sequence[Entry]) -> Unsearched | None:
        """What could still come, of all searches together; None where none was cut short, or not known."""
        parts = [outcome.unsearched for outcome in self.outcomes if not outcome.proven]
        if not parts or self._skipped:
            return None
        # Nothing that has no rating comes before what is fully rated.
        rated = bool(entries) and not entries[0].filled.unrated
        ahead = self._of_rated_only if rated else self.outcomes
        stands = bool(entries) and all(
            outcome.proven or (outcome.unsearched is not None and outcome.unsearched.first_stands)
            for outcome in ahead
        )
        return together(parts, first_stands=stands)

    def under(self, rules: Rules) -> list[Entry]:
        """The fully rated, and after them the others while the list is not full."""
        top = self._wanted.top
        rated = self._of_rated(rules)
        entries = [entry for _, entry in rated.board.leaders()]
        # Nothing that has no rating is as good as what is fully rated.
        if len(entries) < top and self._loose and not (entries and self._wanted.as_good):
            known = set(rated.board.entries)
            found = self._of_all(rules, known, joinable=not entries)
            others = [e for i, e in found.board.leaders() if i not in known and e.filled.unrated]
            entries += others[: top - len(entries)]
        return entries

    def _of_rated(self, rules: Rules) -> Outcome:
        return self._of_kit(self._kit.rated_only, rules, only_rated=True, most=self._wanted.top)

    def _of_all(self, rules: Rules, known: Collection[object], *, joinable: bool) -> Outcome:
        """`known`: rigs that are listed already; `joinable`: ropes may be put together."""
        most = self._wanted.top + len(known)
        return self._of_kit(self._kit, rules, only_rated=False, most=most, joinable=joinable)

    def _of_kit(
        self, kit: Kit, rules: Rules, *, only_rated: bool, most: int, joinable: bool = True
    ) -> Outcome:
        """With ropes put together at once where that is requested, else where no rope of one piece does."""
        at_once = self._longer(kit) if self._wanted.join_ropes else None
        found = self._search(at_once or kit, rules, only_rated=only_rated, most=most)
        if found.board.entries or at_once is not None or not joinable:
            return found
        longer = self._longer(kit)
        if longer is None:
            return found
        return self._search(longer, rules, only_rated=only_rated, most=most)

    def _longer(self, kit: Kit) -> Kit | None:
        """The kit with its ropes joined and lengthened; None where that makes none."""
        if self._wanted.join_ropes is False:
            return None
        more = with_joined(kit)
        if len(more.pieces) == len(kit.pieces):
            return None
        if not self._clock.runs():
            self._skipped = True
            return None
        return more

    def _search(self, kit: Kit, rules: Rules, *, only_rated: bool, most: int) -> Outcome:
        outcome = search(
            self._rated if only_rated else self._scenes,
            kit,
            self._wanted.order,
            rules,
            top=most,
            floor=self._wanted.floor,
            everything=self._wanted.everything or not only_rated,
            clock=self._clock,
            only_rated=only_rated,
            line=self._wanted.line,
            near=self._wanted.near,
            as_good=self._wanted.as_good,
        )
        self.outcomes.append(outcome)
        if only_rated:
            self._of_rated_only.append(outcome)
        return outcome


def _summed(outcomes: Sequence[Outcome]) -> Stopwatch:
    watch = outcomes[0].tally.watch
    for outcome in outcomes[1:]:
        watch.add(outcome.tally.watch)
    return watch
