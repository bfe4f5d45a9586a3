"""How good an answer is where the places of the site were measured: each figure at the worst end that the
accuracy of the readings allows.

The convention is that of the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008, 5.1.2 and
5.1.3, with 6.2 for the coverage factor): readings are independent, each has its stated accuracy as standard
uncertainty; the rig stays as it is, each reading is moved by that, up and down, the places follow by the
adjustment to first order, and every figure is worked out anew; the greater of the two changes for the worse
counts; changes add up by the root of the sum of their squares; 1.96 times that is the 95 % end. Of a margin
this is done with its reciprocal, demand over capacity, which changes evenly. Ranges of the file are no part
of it: they stay at the end that the answer is planned for.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import dist, sqrt
from typing import Protocol

from optimiser.jobs.hold.moved_lines import as_hauled, held_line, steering_line
from optimiser.jobs.lower.as_it_is import Held
from optimiser.jobs.ranges.elsewhere import Elsewhere, Off, There
from optimiser.jobs.ranges.kept_to import (
    Figure,
    FigureKey,
    FigureKind,
    Rigged,
    figures,
    of_line,
    resting,
)
from optimiser.rig.components import components
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.refit import Stopped, own_stations, put_on, refit, scene_of
from optimiser.rig.setup import HoldingLine, Setup, Way
from optimiser.site.measured.outcome import Reading
from optimiser.site.model import Owned, Site
from optimiser.site.origin import as_changed
from optimiser.site.survey.adjusted import IN_LENGTH

STEPS = (1.0, 0.25, 0.05)
"""Of a standard deviation, by which a reading is moved: where the rig does not work there, by less."""
NEAR = 3.0
"""Times the uncertainty (95 %) of a trunk's place: where each line passes it further off, it is no matter."""
NOTHING = 1e-9
"""Change of a figure below which it does not depend on a reading."""
ALWAYS = (
    FigureKind.MARGIN,
    FigureKind.ROPE,
    FigureKind.PULL,
    FigureKind.SIDE_PULL,
    FigureKind.PAST,
    FigureKind.ABOVE,
    FigureKind.ROOM,
    FigureKind.REST,
)
"""Kinds that are always shown; the others where they may go beyond their limit."""

_STOPS = {
    FigureKind.ROPE: "{what} is too short",
    FigureKind.PAST: "a line comes too near to {what}",
    FigureKind.ABOVE: "a line comes too near to the ground",
    FigureKind.NOSE: "the load's nose comes to {what}",
    FigureKind.ROOM: "two-blocked: the gear does not fit between its places",
}
"""Kinds that a rig does not work beyond, in words."""


class Again(Protocol):
    """Works out the same rig on the site with its readings off."""

    def __call__(self, there: There, *, every_line: bool) -> Mapping[FigureKey, Figure] | Stopped:
        """The figures there, or why it does not work. `every_line`: with every line looked at from station
        to station too, also where the gaps among the figures say whether it runs free."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Open:
    """A figure and its worst end. `shares`: of each reading the part of the sum of squares that is its own,
    in the order of `LeftOpen.readings`, 0 all where nothing moves it."""

    figure: Figure
    by: float
    shares: tuple[float, ...]

    @property
    def worst(self) -> float:
        """At the worst end, SI."""
        return self.figure.value + self.figure.kind.worse * self.by

    @property
    def over(self) -> float:
        """By how much it is beyond its limit there; 0 or less where it keeps to it."""
        return self.by - self.figure.spare


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """What a reading does: `accuracy` 95 %, m or rad; how far margin and rope move for the worse with it."""

    reading: Reading
    accuracy: float
    margin: float
    rope: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOpen:
    """What the readings of a site leave open of one answer. `figures`: one of each kind, the one that comes
    nearest to its limit; `stops`: why the rig may not work although every figure keeps to its limit, "" where
    nothing was found; `unknown`: why nothing could be worked out, "" where it could."""

    figures: tuple[Open, ...]
    readings: tuple[Moved, ...]
    stops: str = ""
    unknown: str = ""

    @property
    def beyond(self) -> tuple[Open, ...]:
        """The figures that may go beyond their limit."""
        return tuple(one for one in self.figures if one.over > NOTHING)

    @property
    def holds(self) -> bool:
        """Whether the answer holds wherever the readings leave the places."""
        return not self.beyond and not self.stops and not self.unknown

    @property
    def deciding(self) -> Open:
        """The figure whose room to its limit is used up most."""
        return max(self.figures, key=lambda one: one.by / max(one.figure.spare, 1e-9))

    def of(self, kind: FigureKind) -> Open | None:
        """The figure of a kind."""
        return next((one for one in self.figures if one.figure.kind is kind), None)


def left_open(
    site: Site, setup: Setup, *, extra: Sequence[Owned] = (), elsewhere: Elsewhere | None = None
) -> LeftOpen | None:
    """What the readings leave open of a haul; None where no place of the site is measured. `extra`: pieces
    owned besides those of the site. `elsewhere`: of this site, where several answers are looked at."""
    if site.surveyed is None or site.origin is None:
        return None
    sites = elsewhere or Elsewhere(as_changed(site))
    here = sites.there(())
    still = here.site
    if still is None:
        return LeftOpen(figures=(), readings=(), unknown=here.why)
    planned = refit(still, _stretched(site, still, setup), extra=extra)
    if isinstance(planned, Stopped):
        return LeftOpen(figures=(), readings=(), unknown=planned.why)
    first = planned

    def again(there: There, *, every_line: bool) -> Mapping[FigureKey, Figure] | Stopped:
        assert there.site is not None
        stretched = _stretched(site, there.site, setup)
        stations = own_stations(there.stations(stretched), stretched)
        if setup.rope.joined is not None:  # where ropes are joined goes by all lengths
            filled = refit(there.site, stretched, extra=extra, stations=stations)
        else:
            scene = scene_of(there.site, stretched, stations)
            if isinstance(scene, Stopped):
                return scene
            gaps = () if every_line or not _gaps_suffice(first) else (Fault.LINE_BLOCKED,)
            filled = put_on(first, scene, but=gaps)
        if isinstance(filled, Stopped):
            return filled
        pieces, pull = components(filled), filled.variant.row.counted.value
        found = figures(Rigged(filled=filled, pieces=pieces, pull=pull)) | resting(there.site)
        if not setup.holding:
            return found
        hauled = as_hauled(stretched, filled, pieces)
        for number, line in enumerate(setup.holding, 1):
            held = _line_there(site, there.site, hauled, line)
            if isinstance(held, Stopped):
                return Stopped(f"{line_named(line)}: {held.why}")
            if held is not None:
                rope, built = held
                rigged = Rigged(filled=rope, pieces=built.components, pull=built.line)
                steers = line.way is Way.ASIDE
                found |= of_line(figures(rigged), number, line_named(line), steers=steers)
        return found

    walks = (*setup.nodes, *(place for line in setup.holding for place in line.walk))
    guides = () if setup.steered is None else (setup.steered.place,)
    used = {place.name for place in (*walks, *guides)} | {setup.puller.name, setup.puller.anchor}
    return of_rig(sites, again, {name for name in used if name is not None})


def _line_there(site: Site, other: Site, hauled: Setup, line: HoldingLine) -> Held | Stopped | None:
    """A second line of a haul on another site; None where it has nothing to do there."""
    if line.way is Way.ASIDE:
        return steering_line(other, hauled, line)
    begin, end = along(site, other, line.from_m), along(site, other, line.to_m)
    return held_line(other, hauled, line, begin, end)


def line_named(line: HoldingLine) -> str:
    """What a second line is called."""
    return "steering line" if line.way is Way.ASIDE else "holding line"


def _stretched(site: Site, other: Site, setup: Setup) -> Setup:
    """The setup with its stretch where that is along the path of another site."""
    return replace(
        setup, from_m=along(site, other, setup.from_m), to_m=along(site, other, setup.to_m)
    )


def _gaps_suffice(filled: Filled) -> bool:
    """Whether the gaps among the figures say of every line whether it runs free."""
    row = filled.variant.row
    return row.scene.fixed.edges is None and not row.swings


def of_rig(elsewhere: Elsewhere, again: Again, used: Collection[str]) -> LeftOpen | None:
    """The same of any rig that can be worked out anew on a site whose places have moved. `used`: names of the
    anchors and pullers that it is made of; what else stands there may stand in the way of its lines."""
    bench = _Bench(elsewhere, again, used)
    if bench.unknown:
        return LeftOpen(figures=(), readings=(), unknown=bench.unknown)
    return bench.left_open() if bench.planned else None


def along(site: Site, other: Site, at: float) -> float:
    """The place of a path, m from its start, that is `at` on another site's with the same legs: as far along
    the same leg, as a share of it."""
    passed, there = 0.0, 0.0
    for leg, moved in zip(site.legs, other.legs, strict=True):
        long, length = dist(leg.start, leg.end), dist(moved.start, moved.end)
        if at <= passed + long:
            return there + (at - passed) / long * length
        passed, there = passed + long, there + length
    return there


def _is_past(figure: Figure, name: str) -> bool:
    return figure.kind is FigureKind.PAST and figure.what == name


class _Bench:
    """A rig whose site's readings are moved one by one."""

    def __init__(self, elsewhere: Elsewhere, again: Again, used: Collection[str]) -> None:
        self.elsewhere, self.again, self.used = elsewhere, again, used
        here = self._figures(())
        self.planned: Mapping[FigureKey, Figure] = {} if isinstance(here, Stopped) else here
        self.unknown = here.why if isinstance(here, Stopped) else ""
        every = range(len(elsewhere.movements))
        self.numbers = [number for number in every if self._matters(number)]
        self.movements = [elsewhere.movements[number] for number in self.numbers]
        self.stuck = ""
        self.changes = [self._changes(n) for n in self.numbers] if self.planned else []

    def _matters(self, number: int) -> bool:
        """Whether anything moves with a reading that a figure may depend on: the path, what the rig is made
        of, or what stands near one of its lines."""
        moved = self.elsewhere.moved_by(number)
        if moved is None or moved.path:
            return True
        return any(name in self.used or self._near(name) for name in moved.things)

    def _near(self, name: str) -> bool:
        """Whether a line passes a thing so near that it counts where that stands."""
        gaps = [one.value for one in self.planned.values() if _is_past(one, name)]
        return min(gaps, default=float("inf")) < NEAR * self.elsewhere.uncertainty(name)

    def _figures(
        self, off: Off, *, every_line: bool = True
    ) -> Mapping[FigureKey, Figure] | Stopped:
        there = self.elsewhere.there(off)
        if there.site is None:
            return Stopped(there.why)
        return self.again(there, every_line=every_line)

    def _changes(self, number: int) -> dict[FigureKey, tuple[float, float]]:
        """By how much each figure gets worse with the reading one standard deviation off, and which way."""
        more, less = self._change(number, 1.0), self._change(number, -1.0)
        out: dict[FigureKey, tuple[float, float]] = {}
        for key in self.planned:
            # What moves evenly is as much worse the one way as it is better the other.
            up = more.get(key, -less.get(key, 0.0))
            down = less.get(key, -more.get(key, 0.0))
            out[key] = (up, 1.0) if up >= down else (down, -1.0)
        return out

    def _change(self, number: int, sign: float) -> dict[FigureKey, float]:
        """By how much each figure gets worse that way; empty where the rig does not work there at all."""
        why = ""
        for step in STEPS:
            there = self._figures(((number, sign * step),), every_line=False)
            if isinstance(there, Stopped):
                why = there.why
                continue
            return {
                key: (there[key].badness - figure.badness) / step
                for key, figure in self.planned.items()
                if key in there
            }
        self.stuck = self.stuck or why
        return {}

    def left_open(self) -> LeftOpen:
        every = {key: self._open(key) for key in self.planned}
        shown: list[Open] = []
        for kind in FigureKind:
            some = [one for key, one in every.items() if key[0] is kind]
            worst = max(some, key=lambda one: (one.over, one.by), default=None)
            if worst is not None and (kind in ALWAYS or worst.over > 0.0):
                shown.append(worst)
        readings = tuple(
            Moved(
                reading=movement.reading,
                accuracy=IN_LENGTH * movement.sigma,
                margin=self._by(shown, FigureKind.MARGIN, number),
                rope=self._by(shown, FigureKind.ROPE, number),
            )
            for number, movement in enumerate(self.movements)
        )
        found = LeftOpen(figures=tuple(shown), readings=readings)
        if found.beyond:
            return found
        return replace(found, stops=self.stuck or self._stops(every, shown))

    def _open(self, key: FigureKey) -> Open:
        squares = [max(changes.get(key, (0.0, 1.0))[0], 0.0) ** 2 for changes in self.changes]
        total = sum(squares)
        shares = tuple(one / total if total > NOTHING**2 else 0.0 for one in squares)
        by = self.planned[key].worse_by(IN_LENGTH * sqrt(total))
        return Open(figure=self.planned[key], by=by, shares=shares)

    @staticmethod
    def _by(shown: Sequence[Open], kind: FigureKind, number: int) -> float:
        one = next((one for one in shown if one.figure.kind is kind), None)
        return 0.0 if one is None else one.by * sqrt(one.shares[number])

    def _stops(self, every: Mapping[FigureKey, Open], shown: Sequence[Open]) -> str:
        """Why the rig does not work with all readings off together, so that one of the figures is where it is
        said to be at worst; "" where it works at each of these places."""
        for key, one in every.items():
            if one not in shown or one.by <= NOTHING:
                continue
            together = tuple(
                (number, IN_LENGTH * sqrt(share) * changes.get(key, (0.0, 1.0))[1])
                for number, share, changes in zip(
                    self.numbers, one.shares, self.changes, strict=True
                )
            )
            there = self._figures(together)
            why = there.why if isinstance(there, Stopped) else _beyond(there.values())
            if why:
                return why
        return ""


def _beyond(figures: Iterable[Figure]) -> str:
    """Why a rig does not work that has these figures, of those that stop it by themselves; "" where none
    does."""
    for figure in figures:
        if figure.kind in _STOPS and figure.spare < -NOTHING:
            return _STOPS[figure.kind].format(what=figure.what)
    return ""
