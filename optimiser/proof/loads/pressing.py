"""Works out what a taut line presses on where it runs over the ground, and how hard."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import hypot, sin
from typing import NamedTuple

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.values import Vec
from optimiser.proof.loads.taut_line import Part, toward
from optimiser.proof.place.course import Course
from optimiser.proof.place.string import Spot, String, Touch

State = tuple[int, int]
"""The numbers of the load's point and of the puller's spot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Touched:
    """What comes on one point of the ground from one part of the line, with the load at the profile's
    points: the greatest angle, rad, force, and level pull, N; between which m to the path's left, and with
    the load between which m along it."""

    spot: Spot
    turn: float
    load_from: float
    load_to: float
    left_from: float
    left_to: float
    force: float = 0.0
    shift: float = 0.0

    def with_forces(self, *, force: float, shift: float) -> "Touched":
        """The same with what presses there and what drags along it, N."""
        return replace(self, force=force, shift=shift)


@dataclass(frozen=True, slots=True, eq=False)
class Pressing:
    """How a part of the line presses on one point of the ground, in n states with the load at the profile's
    points. `here`: all that no pull changes; `state` (n,): the number of each among those that rub; `most`
    (n, T): tension on its tighter side over the pull, in each of T ways of rubbing; `turned`, `level` (n,):
    what presses, and what drags along the ground, over that tension."""

    here: Touched
    state: Numbers
    most: Array
    turned: Array
    level: Array

    def under(self, pulls: Array) -> Touched:
        """With pulls (G, T) in the states that rub, N: with the tightest everything is greatest, since what
        friction leaves on the slacker side is the same share of it in each."""
        tight = (pulls[self.state] * self.most).max(axis=1)
        return self.here.with_forces(
            force=float((tight * self.turned).max()), shift=float((tight * self.level).max())
        )


def pressed_on(
    course: Course,
    bent: Mapping[State, list[String]],
    tense: Sequence[Mapping[State, list[Part]]],
) -> tuple[tuple[tuple[int, int, int], ...], dict[tuple[int, float], Pressing]]:
    """The states with the load at the profile's points that rub, and what they press on."""
    rubbing: list[tuple[int, int, int]] = []
    parts = tense[0]
    for p, s in bent:
        if course.row[p] < 0:
            continue
        if rubbing and rubbing[-1][::2] == (p, s) and parts[p, s] is parts[p, s - 1]:
            rubbing[-1] = (p, rubbing[-1][1], s + 1)
        else:
            rubbing.append((p, s, s + 1))
    at: dict[tuple[int, float], list[_Press]] = {}
    for state, (p, s, _) in enumerate(rubbing):
        for k, string in enumerate(bent[p, s]):
            own = [one[p, s][k] for one in tense]
            for press in _presses(state, float(course.at[p]), string, own):
                at.setdefault((k, press.touch.spot.at), []).append(press)
    return tuple(rubbing), {where: _in_arrays(some) for where, some in at.items()}


class _Press(NamedTuple):
    """One touch in one state, with the load at `at`. `most`: in each tension; `level`: see `Pressing`."""

    state: int
    at: float
    touch: Touch
    most: list[float]
    level: float


def _presses(state: int, at: float, string: String, parts: Sequence[Part]) -> Iterator[_Press]:
    corners = string.corners if string.touches else []
    for i, touch in enumerate(string.touches, start=1):
        slack = parts[0].slack[i - 1]
        ways = [toward(touch.at, corners[i - 1])[0], toward(touch.at, corners[i + 1])[0]]
        # Whichever way it drags: what lies there has to stay in both.
        level = max(_level(ways, (1.0, slack)), _level(ways, (slack, 1.0)))
        yield _Press(state, at, touch, [max(part.sides[i - 1]) for part in parts], level)


def _level(ways: Sequence[Vec], tensions: Sequence[float]) -> float:
    """The level part of some tensions together."""
    x, y = (sum(t * way[c] for t, way in zip(tensions, ways, strict=True)) for c in (0, 1))
    return hypot(x, y)


def _in_arrays(some: Sequence[_Press]) -> Pressing:
    """All presses on one point of the ground."""
    lefts, loads = [one.touch.left for one in some], [one.at for one in some]
    here = Touched(
        spot=some[0].touch.spot,
        turn=max(one.touch.turn for one in some),
        left_from=min(lefts),
        left_to=max(lefts),
        load_from=min(loads),
        load_to=max(loads),
    )
    return Pressing(
        here,
        np.array([one.state for one in some]),
        np.array([one.most for one in some]),
        np.array([2.0 * sin(one.touch.turn / 2.0) for one in some]),
        np.array([one.level for one in some]),
    )
