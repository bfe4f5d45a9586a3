"""Answers "is there a setup on this stretch within these limits", and what follows from it: how far
one reaches, from where, with how few resets, with how little rope.

What was found or denied once is kept. Rigs found before are tried first: that is quick and can only
give a yes; a no always comes from the proving search.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import inf
from typing import Generic, Self, TypeVar

import numpy as np

from optimiser.rig.forces.duty import Duty
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import Stations
from optimiser.rig.order import BAND, Order
from optimiser.rig.two_ropes.second_rope import Tackle
from optimiser.search.board import Admit, Board, Entry
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.clock import Clock
from optimiser.search.leaves import Confirmer, one_rope
from optimiser.search.line import HAULING, Line
from optimiser.search.prove import Stop, search
from optimiser.search.rules import Rules
from optimiser.search.sought import Tally
from optimiser.search.stages.track import Track
from optimiser.search.two_ropes.search import driven, two_ropes
from optimiser.search.two_ropes.space import tackles_at
from optimiser.site.counts import USUAL, Count

EXISTENCE = USUAL
"""Order in which a search looks where any setup will do."""


class TimeUp(Exception):  # noqa: N818 - no error: the answer so far is reported
    """The time limit has passed before an answer was proven."""


@dataclass(frozen=True, slots=True)
class Caps:
    """What a setup must keep within: least margin, most resets on its stretch, most rope needed
    [m]."""

    margin: float
    resets: float = inf
    rope: float = inf

    def within(self, other: Self) -> bool:
        """Whether whatever keeps within these keeps within the other."""
        return (
            self.margin >= other.margin and self.resets <= other.resets and self.rope <= other.rope
        )


Within = TypeVar("Within", bound=Caps)
"""The limits that a finder's questions name."""


def at_band(caps: Within, band: int) -> Within:
    """The caps with the least margin of a band, if that is more."""
    return replace(caps, margin=max(caps.margin, band * BAND - 1e-7))


@dataclass(frozen=True)
class Task:
    """What is searched: a track, the gear, the rules, the time, what the rope is for."""

    track: Track
    kit: Kit
    rules: Rules
    only_rated: bool
    enough: float
    clock: Clock = field(default_factory=lambda: Clock(None, None))
    line: Line = HAULING
    admit: Admit | None = None  # which fillings of a stretch count; None: all
    never: Callable[[Stations], bool] | None = None  # where none counts, whatever is rigged


Path = tuple[int, ...]
_Kind = tuple[int, Tackle | None]  # the scene's index, and the second rope of a tackle on a tackle
_Known = tuple[int, int, Within]


class Finder(Generic[Within]):
    """See the module's text. Marks are indices of the track's."""

    def __init__(self, task: Task) -> None:
        self.task, self.track = task, task.track
        self.looked_at = 0
        self.searches = 0
        self._yes: list[_Known[Within]] = []
        self._no: list[_Known[Within]] = []
        self._pool: dict[_Kind, dict[Path, None]] = defaultdict(dict)

    # ---- questions -------------------------------------------------------------------------------

    def exists(self, begin: int, end: int, caps: Within) -> bool:
        """Whether any setup works on the stretch, or nothing is needed there. Raises TimeUp."""
        if self.needs_nothing(begin, end):
            return True
        if self._never(begin, end):
            return False
        known = self._known(begin, end, caps)
        if known is None:
            known = self._among_known(begin, end, caps) or self._searched(begin, end, caps)
            (self._yes if known else self._no).append((begin, end, caps))
        return known

    def needs_nothing(self, begin: int, end: int) -> bool:
        """Whether a rope that lets down has nothing to hold on a stretch."""
        if self.task.line.duty is Duty.HAUL:
            return False
        return not bool((self.track.stations(begin, end).held_back > 0.0).any())

    def _never(self, begin: int, end: int) -> bool:
        never = self.task.never
        return never is not None and never(self.track.stations(begin, end))

    def furthest(self, begin: int, caps: Within) -> int:
        """The last mark that any setup reaches from `begin`; `begin` itself where none works."""
        return self._reach(begin, self.track.end, lambda mark: self._stretch_to(begin, mark, caps))

    def earliest(self, end: int, caps: Within) -> int:
        """The first mark from which any setup reaches `end`; `end` itself where none works."""
        return self._reach(end, 0, lambda mark: self._stretch_to(end, mark, caps))

    def least_resets(self, begin: int, end: int, caps: Within) -> int | None:
        """The fewest resets on a stretch; None where no setup works."""
        order = self._order((Count.RESETS, Count.MARGIN, Count.ROPE), caps)
        known = self._known(begin, end, replace(caps, resets=0))
        if known:
            return 0
        entry = self._best(begin, end, caps, order, stop=Stop.GOOD)
        if entry is None:
            return None
        count = entry.key.resets
        while count > 0 and self.exists(begin, end, replace(caps, resets=count - 1)):
            count -= 1
        return count

    def top_band(self, begin: int, end: int, caps: Within) -> int | None:
        """The highest band of margin on a stretch, up to that of enough; None where no setup
        works."""
        entry = self._best(begin, end, caps, self._order(EXISTENCE, caps), stop=Stop.GOOD)
        if entry is None:
            return None
        order = self._order(EXISTENCE, caps)
        band = order.band_of(entry.key.margin)
        while band < order.bands and self.exists(begin, end, at_band(caps, band + 1)):
            band += 1
        return band

    def some(self, begin: int, end: int, caps: Within) -> Entry | None:
        """A good setup on a stretch, not proven the best."""
        order = self._order(EXISTENCE, caps)
        return self._best(begin, end, caps, order, stop=Stop.GOOD)

    def best(self, begin: int, end: int, caps: Within, names: tuple[Count, ...]) -> Entry | None:
        """The best setup on a stretch by an order of counts. Raises TimeUp."""
        return self._best(begin, end, caps, self._order(names, caps), stop=Stop.PROVEN)

    @property
    def bands(self) -> int:
        """The band of a margin that is enough."""
        return Order(EXISTENCE, self.task.enough).bands

    # ---- how far ---------------------------------------------------------------------------------

    def _stretch_to(self, fixed: int, mark: int, caps: Within) -> _Known[Within]:
        return min(fixed, mark), max(fixed, mark), caps

    def _reach(self, start: int, limit: int, stretch: Callable[[int], _Known[Within]]) -> int:
        """The mark furthest from `start` towards `limit` that a setup covers. Halving, with the
        rigs known so far as a lower end that costs little."""
        if start == limit:
            return start
        if self.exists(*stretch(limit)):
            return limit
        way = 1 if limit > start else -1
        reached, beyond = start, limit
        probe_next = True
        while abs(beyond - reached) > 1:
            reached = self._reach_of_known(reached, beyond, stretch)
            if abs(beyond - reached) <= 1:
                break
            probe = reached + way if probe_next else (reached + beyond) // 2
            if self.exists(*stretch(probe)):
                reached, probe_next = probe, False
            else:
                beyond, probe_next = probe, True
        return reached

    def _reach_of_known(
        self, reached: int, beyond: int, stretch: Callable[[int], _Known[Within]], grain: int = 1
    ) -> int:
        while abs(beyond - reached) > grain:
            middle = (reached + beyond) // 2
            known = self._known(*stretch(middle))
            if known is None:
                known = self._among_known(*stretch(middle))
                if known:
                    self._yes.append(stretch(middle))
            if known:
                reached = middle
            else:
                beyond = middle
        return reached

    # ---- answers ---------------------------------------------------------------------------------

    def _known(self, begin: int, end: int, caps: Within) -> bool | None:
        for b, e, c in self._yes:
            if b <= begin and e >= end and c.within(caps):
                return True
        for b, e, c in self._no:
            if b >= begin and e <= end and caps.within(c):
                return False
        return None

    def _order(self, names: tuple[Count, ...], caps: Within) -> Order:
        return Order(names, self.task.enough, most_resets=caps.resets, most_rope=caps.rope)

    def _among_known(self, begin: int, end: int, caps: Within) -> bool:
        """Whether a rig found before works on this stretch too."""
        order = self._order(EXISTENCE, caps)
        for (index, tackle), pool in self._pool.items():
            board = Board(order, 1, everything=True, admit=self.task.admit)
            scene = self.track.scene(index, begin, end)
            confirmer = self._confirmer(scene, tackle, caps, board, order, self.task.kit)
            if confirmer is None:
                continue
            depths: dict[int, list[Path]] = defaultdict(list)
            for path in pool:
                if keeps_rules(path, confirmer.tables):
                    depths[len(path)].append(path)
            for paths in depths.values():
                confirmer.take(np.array(paths), lambda board=board: not board.entries)  # type: ignore[misc]
                if board.entries:
                    return True
        return False

    def _confirmer(
        self,
        scene: Scene,
        tackle: Tackle | None,
        caps: Caps,
        board: Board,
        order: Order,
        kit: Kit,
    ) -> Confirmer | None:
        """What looks at walks of one rope, or of two with the second like this, on a stretch."""
        task = self.task
        if tackle is not None:
            scene = scene.for_any_rope
        tables = Tables(scene, kit, task.rules, caps.margin, task.only_rated, line=task.line)
        if tackle is None:
            return one_rope(tables, board, order, Tally())
        below = tackles_at(tables, tackle.anchor, only=tackle)
        if below is None:
            return None
        return two_ropes(driven(tables, below), below, board, order, Tally())

    def _searched(self, begin: int, end: int, caps: Within) -> bool:
        order = self._order(EXISTENCE, caps)
        return self._best(begin, end, caps, order, stop=Stop.FIRST) is not None

    def _best(
        self, begin: int, end: int, caps: Within, order: Order, *, stop: Stop
    ) -> Entry | None:
        task = self.task
        if not task.clock.runs():
            raise TimeUp
        if self._never(begin, end):
            return None
        clock = task.clock.anew(self._reporter(begin, end))
        outcome = search(
            self.track.stretch(begin, end),
            task.kit,
            order,
            task.rules,
            top=1,
            floor=caps.margin,
            everything=True,
            clock=clock,
            only_rated=task.only_rated,
            stop=stop,
            line=task.line,
            admit=task.admit,
        )
        self.searches += 1
        self.looked_at += outcome.tally.looked_at
        found = outcome.board.leaders()
        if clock.stopped and not (stop is not Stop.PROVEN and found):
            raise TimeUp
        for entry in outcome.board.entries.values():
            self._remember(entry)
        if not found:
            return None
        self._yes.append((begin, end, caps))
        return found[0][1]

    def _reporter(self, begin: int, end: int) -> Callable[[str], None] | None:
        report = self.task.clock.progress
        if report is None:
            return None
        stretch = f"{self.track.at(begin):.2f} to {self.track.at(end):.2f} m"
        return lambda text: report(f"stretch {self.searches + 1}, {stretch}: {text}")

    def _remember(self, entry: Entry) -> None:
        row = entry.filled.variant.row
        index = next(i for i, scene in enumerate(self.track.scenes) if scene.stands_for(row.scene))
        self._pool[index, row.tackle][row.path] = None


def keeps_rules(path: Path, tables: Tables) -> bool:
    """Whether every part of line that ends at the load may lead where it does; `path` runs from the
    puller backwards, or from the trunk of the turns."""
    walk = path if tables.by_hand else (tables.scene.puller_number, *path)
    touching = [a or b for a, b in pairwise(walk) if 0 in (a, b)]
    return all(tables.from_load[place] for place in touching)
