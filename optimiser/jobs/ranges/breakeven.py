"""Computes how wrong each input of a setup may be before the first piece reaches its limit, and what to
measure.

The setup stays as it is; one input moves at a time, the others stay where the site was planned. Margin
is looked for at exactly 1: there the first piece is at its limit.
"""

from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass
from math import exp, floor, log, log10, prod
from typing import Protocol, TypeVar

import numpy as np

from optimiser.jobs.ranges.batch import Batch
from optimiser.jobs.ranges.input_kinds import Input, InputKind, Way, ways
from optimiser.jobs.ranges.inputs import inputs_of
from optimiser.rig.components import components, weakest
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.refit import Stopped, eta_corners, refit
from optimiser.rig.setup import Component, Role, Setup
from optimiser.site.model import Site
from shared.units import Dimension

FURTHEST = 10.0
"""How many times an input is made worse at most: beyond it, it is no matter."""
CLOSE = 1e-5
"""Relative: break-evens are found to within this."""
BESIDE = 0.4 * CLOSE
"""Relative: how far from where it is expected a break-even is looked for."""
ROUND_ONES = 3
"""Round figures that are tried."""
STRIDE = 1.25
_FORCES_ONLY = (
    InputKind.WEIGHT,
    InputKind.RESISTANCE,
    InputKind.APPARENT,
    InputKind.BREAKOUT,
    InputKind.PULL,
    InputKind.EFFICIENCY,
)
"""Kinds of input that change forces and ratings, but nothing that is tabulated or hung."""
MEASURED = 3
"""Inputs that are named as worth measuring."""
MOST = 1000
"""More inputs than any setup has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BreakEven:
    """Where an input brings the first piece to its limit. `at` [SI] None: nowhere within 10 times its
    value, or the bounds it can have. `first`: the piece, or why the setup stops working before any."""

    name: str
    key: str
    value: float
    at: float | None
    first: str
    dimension: Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """An input worth measuring: by how much the margin moves between its ends, and a way to do it.
    `stated`: the ends are a range of the site file; else of the catalogue, or chosen by the program."""

    name: str
    key: str
    low: float
    high: float
    stated: bool
    dimension: Dimension
    margins: tuple[float, float]  # at the ends `low` and `high`; 0: the setup does not work there
    how: Way

    @property
    def swing(self) -> float:
        """How far the margin moves."""
        return abs(self.margins[0] - self.margins[1])


Margin = tuple[float, str]
"""The margin with one input at a value, and the weakest piece; 0 and the reason where it stops working."""
T = TypeVar("T")
Look = Generator[float, Margin, T]
"""A search along one input: it yields the value to look at next, and is sent the margin there."""


class Moved(Protocol):
    """A rig whose inputs are moved one by one."""

    @property
    def inputs(self) -> Sequence[Input]: ...

    def margins(self, moved: Sequence[tuple[Input, float]]) -> list[Margin]:
        """The margin with each of some inputs at a value, one at a time."""


class Bench:
    """A setup whose inputs are moved one by one."""

    def __init__(self, site: Site, setup: Setup) -> None:
        self.site, self.setup = site, setup
        self.inputs = inputs_of(site, setup)
        self._like: Scene | None = None
        self._known: dict[tuple[str, float], Margin] = {}
        filled = refit(site, setup) if self.inputs else Stopped("nothing to move")
        self._batch = None if isinstance(filled, Stopped) else Batch(filled)
        # A number of the file that is no range is there already. What changes forces only costs little anew,
        # and may be planned for both ends of a range of the catalogue.
        plain = [one for one in self.inputs if not (one.stated or _forces_only(one))]
        self._known.update(((one.key, one.value), _margin(filled)) for one in plain)

    def margins(self, moved: Sequence[tuple[Input, float]]) -> list[Margin]:
        """See `Moved`. Where only forces differ, all are worked out at once."""
        new = [(one, value) for one, value in moved if (one.key, value) not in self._known]
        sites: list[tuple[Input, float, Site]] = []
        for one, value in new:
            try:
                sites.append((one, value, one.at(value)))
            except ValueError as error:
                self._known[one.key, value] = 0.0, str(error)
        at_once = self._at_once([site for one, _, site in sites if _forces_only(one)])
        for one, value, site in sites:
            found = next(at_once) if _forces_only(one) else None
            self._known[one.key, value] = found or self._refitted(one, value, site)
        return [self._known[one.key, value] for one, value in moved]

    def _at_once(self, sites: Sequence[Site]) -> Iterator[Margin | None]:
        """The margin on each of some sites that differ in forces and ratings only; None where the rig does
        not work."""
        if self._batch is None or not sites:
            yield from [None] * len(sites)
            return
        corners = [eta_corners(kit_of(site), self.setup) for site in sites]
        every = [site for site, etas in zip(sites, corners, strict=True) for _ in etas]
        outcome = self._batch.outcome(every, np.concatenate(corners))
        begin = 0
        for etas in corners:
            own = slice(begin, begin + len(etas))
            begin = own.stop
            worst = own.start + int(outcome.margin[own].argmin())
            name = self._batch.names[outcome.weakest[worst]]
            yield (float(outcome.margin[worst]), name) if outcome.works[own].all() else None

    def _refitted(self, one: Input, value: float, site: Site) -> Margin:
        """With the rig put on the site anew."""
        # Where the ground itself moves, the path has another length: the whole of it is laid anew.
        stations = lay_stations(site) if one.kind is InputKind.STEEPNESS else None
        but: tuple[Fault, ...] = ()
        if one.kind is InputKind.THICKNESS and self._batch is not None:
            stations = self._batch.row.scene.stations  # no trunk moves them
            # A line that runs clear of a trunk runs clear of a thinner one, but a sling round it leads its
            # shackle elsewhere.
            if value <= one.value and not self._batch.row.slung:
                but = (Fault.LINE_BLOCKED,)
        filled = refit(site, self.setup, stations=stations, like=self._like, but=but)
        if not isinstance(filled, Stopped):
            self._like = filled.variant.row.scene
        return _margin(filled)


def _margin(filled: Filled | Stopped) -> Margin:
    if isinstance(filled, Stopped):
        return 0.0, filled.why
    return filled.margin, weakest(components(filled)).name


def _forces_only(one: Input) -> bool:
    """Whether an input changes nothing that is tabulated or hung. Where no load breaks out no station says
    where it would."""
    return one.kind in _FORCES_ONLY and not (one.kind is InputKind.BREAKOUT and one.value == 1.0)


def _in_step(rig: Moved, looks: Sequence[tuple[Input, Look[T]]]) -> list[T]:
    """What each search along an input of a rig finds. All take their next steps together."""
    found: dict[int, T] = {}
    sent: dict[int, Margin | None] = dict.fromkeys(range(len(looks)))
    while sent:
        wanted: dict[int, tuple[Input, float]] = {}
        for i, margin in sent.items():
            one, look = looks[i]
            try:
                wanted[i] = one, next(look) if margin is None else look.send(margin)
            except StopIteration as end:
                found[i] = end.value
        sent = dict(zip(wanted, rig.margins(list(wanted.values())), strict=True))
    return [found[i] for i in range(len(looks))]


def _break_even(one: Input) -> Look[BreakEven]:
    """Finds where one input brings the first piece to its limit, first on its worse side."""
    for side in (one.worse, -one.worse) if one.kind is InputKind.EFFICIENCY else (one.worse,):
        found = yield from _crossing(one, side)
        if found is not None:
            return _break_even_at(one, *found)
    return _break_even_at(one, None, "nothing")


def _crossing(one: Input, side: int) -> Look[tuple[float, str] | None]:
    """The value at which margin crosses 1 on one side, and what is at its limit there."""
    inside = one.value
    margin, _ = yield inside
    low, high = one.bounds
    end = min(one.value * FURTHEST, high) if side > 0 else max(one.value / FURTHEST, low)
    step = STRIDE
    past: tuple[tuple[float, float], ...] = ()
    while True:
        if inside == end:
            return None
        reach = inside * step if side > 0 else inside / step
        outside = min(reach, end) if side > 0 else max(reach, end)
        beyond, name = yield outside
        if beyond < 1.0:
            return (yield from _narrowed((inside, margin), (outside, beyond, name), past))
        past = ((inside, margin),)
        inside, margin = outside, beyond


def _narrowed(
    good: tuple[float, float], bad: tuple[float, float, str], past: Sequence[tuple[float, float]]
) -> Look[tuple[float, str]]:
    """Between a value at which it works and one at which it does not: where the margins known expect it, kept
    inside; by halves where that does not close in. `past`: further margins known."""
    (a, ma), (b, mb, first) = good, bad
    middle = float("nan")
    known = [*past, (a, ma), (b, mb)]
    for turn in range(60):
        if abs(b - a) <= CLOSE * abs(a):
            break
        hair = BESIDE * abs(a) * (1.0 if b > a else -1.0)
        last, middle = middle, 0.5 * (a + b)
        if mb > 0.0 and turn % 4 != 3:
            met = _expected(known)
            if not min(a, b) < met < max(a, b):
                met = _expected([(a, ma), (b, mb)])
            # A hair beyond it, seen from the nearer end, so that the other end closes in too.
            aside = met + (hair if abs(met - a) < abs(b - met) else -hair)
            middle = aside if min(a, b) < aside < max(a, b) else middle
        elif mb == 0.0 and turn < 2 * ROUND_ONES:
            # Where a rig stops working the limit is mostly a round figure: such a one, and beside it.
            middle = (a + hair if last == a else b - hair) if turn % 2 else _round_between(a, b)
        margin, name = yield middle
        known.append((middle, margin))
        if margin >= 1.0:
            a, ma = middle, margin
        else:
            b, mb, first = middle, margin, name
    return a, first


def _expected(known: Sequence[tuple[float, float]]) -> float:
    """The value at which the margin is expected to be 1, from the three margins above 0 nearest to that, or
    from two: most are powers of an input, so log value is taken for a polynomial of log margin."""
    near = {log(margin): log(value) for value, margin in known if margin > 0.0}
    some = sorted(near.items(), key=lambda point: abs(point[0]))[:3]
    out = 0.0
    for x, y in some:
        out += y * prod(-other / (x - other) for other, _ in some if other != x)
    return exp(out)


def _round_between(a: float, b: float) -> float:
    """The roundest number between two positive ones, of three figures at most; else their middle."""
    middle = 0.5 * (a + b)
    for figures in range(3):
        step = 10.0 ** (floor(log10(max(a, b))) - figures)
        near = round(round(middle / step) * step, 12)
        if min(a, b) < near < max(a, b):
            return near
    return middle


def _worth(one: Input) -> Look[Worth]:
    """Returns how far the margin moves between the ends of an input."""
    low, _ = yield one.low
    high, _ = yield one.high
    return Worth(
        name=one.name, key=one.key, low=one.low, high=one.high, stated=one.stated,
        dimension=one.dimension, margins=(low, high), how=ways()[one.kind],
    )  # fmt: skip


def break_evens(site: Site, setup: Setup) -> tuple[BreakEven, ...]:
    """A break-even for every input, those that are closest to it (as a share of their value) first, and
    after them what each rated piece may lose of its strength. Empty for a site made by hand."""
    return break_evens_of(Bench(site, setup), setup.components)


def break_evens_of(rig: Moved, pieces: Sequence[Component]) -> tuple[BreakEven, ...]:
    """The same of a rig of any kind; `pieces`: what is loaded in it."""
    found = _in_step(rig, [(one, _break_even(one)) for one in rig.inputs])
    if found:
        found += _strengths(pieces)
    return tuple(sorted(found, key=_nearness))


def worth_measuring(site: Site, setup: Setup, many: int = MEASURED) -> tuple[Worth, ...]:
    """The inputs that move the margin most between the ends they may well lie at."""
    return worth_measuring_of(Bench(site, setup), site, many)


def worth_measuring_of(rig: Moved, site: Site, many: int = MEASURED) -> tuple[Worth, ...]:
    """The same of a rig of any kind."""
    read = _path_is_measured(site)
    moved = [
        one
        for one in rig.inputs
        if not (read and one.kind is InputKind.STEEPNESS)  # its own readings have their say
    ]
    found = _in_step(rig, [(one, _worth(one)) for one in moved])
    return tuple(sorted(found, key=lambda w: (-round(w.swing, 9), w.name))[:many])


def _path_is_measured(site: Site) -> bool:
    """Whether readings say where a bend or an end of the path is."""
    if site.surveyed is None:
        return False
    return any(bend.uncertainty > 0.0 for bend in site.surveyed.places[: len(site.legs) + 1])


def _strengths(pieces: Sequence[Component]) -> Iterator[BreakEven]:
    """What each rated piece stands, and how little would just do: the demand on it. Trees, the puller and
    whoever holds have inputs of their own."""
    least: dict[str, BreakEven] = {}
    for part in sorted(pieces, key=lambda c: c.margin):
        own = part.role in (Role.PULLER, Role.HOLDER) or part.unit != "N"
        if part.capacity is None or own or part.item in least:
            continue
        least[part.item] = BreakEven(
            name=f"strength of {part.name}", key=part.item, value=part.capacity, at=part.demand,
            first=part.name, dimension=Dimension.FORCE,
        )  # fmt: skip
    yield from least.values()


def _break_even_at(one: Input, at: float | None, first: str) -> BreakEven:
    return BreakEven(
        name=one.name, key=one.key, value=one.value, at=at, first=first, dimension=one.dimension
    )


def _nearness(one: BreakEven) -> tuple[float, str]:
    if one.at is None:
        return FURTHEST, one.name
    near = abs(log(max(one.at, 1e-12) / one.value)) if one.value > 0.0 else 0.0
    return round(near, 3), one.name
