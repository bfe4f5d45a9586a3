"""Lays out the diagram of how the ropes run: one strand a rope, one knee a place."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

from optimiser.rig.walk import Place, PlaceKind
from optimiser.sheet.drawing.style import WIDTH
from optimiser.sheet.shown.ropes import Rope

HEIGHT = 76.0
"""mm of a diagram without a grip."""
_FOOT, _HEAD = 22.0, 27.0
"""mm below the lowest sheaves and above the highest."""
_DEEP = 24.0
"""The same below sheaves that hang under an anchor, whose name stands there."""
_LONG, _SHORT = 26.0, 22.0
"""mm between the sheaves above and below, of ropes by themselves and of one above the other."""
BAR = 3.0
"""mm from a sheave's rim to what it hangs on."""
BEYOND = 8.0
"""mm by which a second rope's hauling part goes on beyond the bar of the grip."""
_EDGE, _APART = 9.0, 1.3
"""mm beside the first and last knee; distance of two ropes, in distances of neighbouring parts."""
_LEVEL = 1.7
"""Distance of two sheaves at the same level, in distances of neighbouring parts."""
_WIDEST = 17.0
"""mm between neighbouring parts at most."""
HAND = Place(PlaceKind.HAND)
"""Stands behind a rope's turns in the diagram."""


class Run(Enum):
    """How a rope comes to a knee or goes from it: as a plumb part, level, or not at all."""

    PLUMB = "plumb"
    LEVEL = "level"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Knee:
    """A place of a rope: where its sheave's centre is, and how the rope comes and goes. `upper`: the rope
    goes over it, not under it."""

    place: Place
    x: float
    y: float
    upper: bool
    before: Run
    after: Run


@dataclass(frozen=True, slots=True, kw_only=True)
class Strand:
    """A rope's knees, the last one its end; the room it has from `left` to `right`, mm."""

    rope: Rope
    knees: tuple[Knee, ...]
    radius: float
    left: float
    right: float

    @property
    def parts(self) -> int:
        """Parts of line; what leads from the turns to a hand is none."""
        return len(self.rope.walk) - 1

    def span(self, k: int) -> tuple[tuple[float, float], tuple[float, float]]:
        """The two ends of part k. A plumb part stands one radius right of its first sheave and one left
        of its second."""
        a, b = self.knees[k], self.knees[k + 1]
        if a.after is Run.LEVEL:
            sign = 1.0 if a.upper else -1.0
            return (a.x, a.y + sign * self.radius), (b.x, b.y + sign * self.radius)
        right = a.x + (self.radius if k > 0 else 0.0)
        return (right, a.y), (right, b.y)

    def outer(self, knee: Knee) -> float:
        """The height at which the rope ends at a knee, or of its centre."""
        if knee.before is Run.NONE and knee.after is Run.LEVEL:
            return knee.y + (self.radius if knee.upper else -self.radius)
        return knee.y

    def bar(self, knee: Knee) -> float:
        """The height of what a knee hangs on."""
        return knee.y + (self.radius + BAR) * (1.0 if knee.upper else -1.0)


def height(ropes: Sequence[Rope]) -> float:
    """mm the diagram of some ropes needs."""
    if not _gripped(ropes):
        return HEIGHT
    return _FOOT + 2 * _SHORT + _radius(ropes, WIDTH) + BAR + _HEAD


def strands(ropes: Sequence[Rope], width: float) -> tuple[Strand, ...]:
    """The diagram of some ropes, side by side."""
    pitch, radius = 2 * _radius(ropes, width), _radius(ropes, width)
    steps = [_steps(rope) for rope in ropes]
    wide = pitch * (sum(map(sum, steps)) + _APART * (len(ropes) - 1))
    x, left = (width - wide) / 2, 0.0
    low, high, upper_grip = _levels(ropes, radius)
    out = []
    for i, rope in enumerate(ropes):
        second = rope.pulled is PlaceKind.GRIP
        uppers = [_upper(place, second=second, grip_above=upper_grip) for place in _walk(rope)]
        uppers[-1] = not uppers[-2]  # the end is drawn plumb, like the other parts
        levels = (low, high)
        if second:
            levels = _second_levels(low, high, radius, grip_above=upper_grip)
        knees = []
        for n, place in enumerate(_walk(rope)):
            flat = [
                n > 0 and uppers[n - 1] == uppers[n],
                uppers[n : n + 1] == uppers[n + 1 : n + 2],
            ]
            before = Run.NONE if n == 0 else Run.LEVEL if flat[0] else Run.PLUMB
            last = n == len(uppers) - 1
            after = Run.NONE if last else Run.LEVEL if flat[1] else Run.PLUMB
            y = levels[1] if uppers[n] else levels[0]
            if second and n == len(uppers) - 1:  # beyond the grip's bar, clear of it
                y += (BEYOND + radius + BAR) * (1.0 if uppers[n] else -1.0)
            knees.append(Knee(place=place, x=x, y=y, upper=uppers[n], before=before, after=after))
            x += pitch * steps[i][n] if n < len(steps[i]) else 0.0
        right = width if i == len(ropes) - 1 else x + pitch * _APART / 2
        out.append(Strand(rope=rope, knees=tuple(knees), radius=radius, left=left, right=right))
        x, left = x + pitch * _APART, right
    return tuple(out)


def _walk(rope: Rope) -> tuple[Place, ...]:
    return (*rope.walk, HAND) if rope.turns else rope.walk


def _gripped(ropes: Sequence[Rope]) -> bool:
    return any(rope.pulled is PlaceKind.GRIP for rope in ropes)


def _upper(place: Place, *, second: bool, grip_above: bool) -> bool:
    """Anchors are above and what is hauled below; of a second rope so that the grip is hauled on the way
    on which the main rope leads to it."""
    if not second:
        return place.kind is PlaceKind.ANCHOR
    return (place.kind is not PlaceKind.GRIP) == grip_above


def _steps(rope: Rope) -> list[float]:
    """Distances between neighbouring places, in distances of neighbouring parts."""
    walk = _walk(rope)
    kinds = [place.kind is PlaceKind.ANCHOR for place in walk]
    level = [a == b for a, b in pairwise(kinds)]
    level[-1] = False
    steps = [_LEVEL if flat else 1.0 for flat in level]
    steps[-1] = 0.5  # it ends at the puller, which has no sheave
    if not level[0]:
        steps[0] = max(steps[0] - 0.5, 0.0)
    return steps


def _radius(ropes: Sequence[Rope], width: float) -> float:
    units = sum(sum(_steps(rope)) for rope in ropes) + _APART * (len(ropes) - 1)
    return min((width - 2 * _EDGE) / max(units, 1.0), _WIDEST) / 2


def _levels(ropes: Sequence[Rope], radius: float) -> tuple[float, float, bool]:
    """Heights of the sheaves of the first rope below and above, and whether its end leads up to a grip."""
    if not _gripped(ropes):
        return _FOOT, _FOOT + _LONG, True
    above = ropes[0].walk[-2].kind is not PlaceKind.ANCHOR
    low = _FOOT if above else _DEEP + _SHORT + radius + BAR
    return low, low + _SHORT, above


def _second_levels(
    low: float, high: float, radius: float, *, grip_above: bool
) -> tuple[float, float]:
    """The same of the rope that hauls the grip: the grip's bar lies at the end of the first rope."""
    if grip_above:
        return high + radius + BAR, high + radius + BAR + _SHORT
    return low - radius - BAR - _SHORT, low - radius - BAR
