"""Holds what a line does to the load and to what it hangs on, with the load at each point of the path and in
each variant: every friction it is looked at with, the puller at every spot of its run.

Letters: P points, V variants, K parts of the line, so K + 1 nodes; 3 for x, y, z.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.values import Vec
from optimiser.proof.loads.pressing import Touched
from optimiser.proof.loads.taut_line import Look
from optimiser.proof.place.course import Course
from optimiser.proof.place.points import Hold
from optimiser.proof.sling import AtRest

Nodes = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Nodes whose forces come together on one thing. `levers`: what each force is multiplied with;
    `level`: only the horizontal part counts; `leg`: 0 or 1, the leg of a bridle that is meant; `faces`: it
    matters which way the force goes."""

    nodes: Nodes
    levers: tuple[float, ...] = ()
    level: bool = False
    leg: int | None = None
    faces: bool = False


class Pulled(NamedTuple):
    """What the rope does to the load per newton at its end: the forces on the load's nodes together,
    the same without friction (P, V, 3), and what the puller can pull that way (P, V), N."""

    onto: Array
    ideal: Array
    limit: Array


class Needs(NamedTuple):
    """What the end of the rope has to pull, and what comes of it: (P, V), in newtons; `sideways`, `advance`
    and `ideal` over the pull. `why`: in which states it does not work, by the reason."""

    pull: Array
    reaction: Array
    sideways: Array
    advance: Array
    ideal: Array
    limit: Array
    steer: Array
    why: tuple[tuple[str, Mask], ...]


class Duty(Protocol):
    """What a line is for."""

    def looks(self, every: Sequence[Sequence[float]], *, edges: bool) -> list[Look]:
        """The frictions at which the line is looked at. `every`: efficiencies along the walk, at each
        combination of ends of their ranges, all low first; `edges`: whether it may run over any."""

    def needs(self, course: Course, pulled: Pulled) -> Needs:
        """What the end of the rope has to pull at every point, and what comes of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Worst:
    """The greatest force on a group: at the profile's points, m along the path and N (one each), and anywhere
    between."""

    at: Array
    force: Array
    between: float

    @property
    def value(self) -> float:
        return float(self.force.max(initial=0.0))


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """All states of a rig, and the worst force on each group. `spot`, `look`: which of each a variant is,
    (V,); `tau`: tension over pull of each part of the line, where it is tighter, (P, V, K); lengths in m,
    at the profile's points. `looks`: at how many frictions, `rated` of them, the first, with every sheave as
    rated; `slips`: the rope runs towards the load.
    `touched`: by part of the line and m along the path; `shackles`: where one on a sling comes to rest;
    `ways`: for groups of which it matters which way the force goes, that force over the pull at the
    profile's points."""

    course: Course
    spot: Numbers
    look: Numbers
    needs: Needs
    tau: Array
    worst: dict[Group, Worst]
    near: list[float]
    far: list[float]
    shortest: list[float]
    looks: int
    rated: int
    slips: bool = False
    touched: dict[tuple[int, float], Touched] = field(default_factory=dict)
    shackles: list[AtRest] = field(default_factory=list)
    ways: dict[Group, list[Vec]] = field(default_factory=dict)

    @property
    def pull(self) -> Array:
        """At the rope's end at every point, (P, V), N."""
        return self.needs.pull

    @property
    def listed(self) -> Mask:
        """Which points are rows of the profile, (P,)."""
        return self.course.listed

    def pulls(self, *, anywhere: bool = False) -> list[float]:
        """Worst pull at the rope's end in each look, at the profile's points or anywhere, N."""
        there = self.pull if anywhere else self.pull[self.listed]
        top = there.max(axis=0, initial=0.0)
        return [float(top[self.look == look].max()) for look in range(self.looks)]

    def along(self, parts: Sequence[int]) -> Array:
        """Force in the tightest of some parts of the line at every point, (P, V), N; no parts: the pull."""
        if not parts:
            return self.pull
        tau = self.tau[:, :, parts[0]] if len(parts) == 1 else self.tau[:, :, list(parts)].max(2)
        return np.asarray(self.pull * tau)


def accounted(
    course: Course, hold: Hold, force: Array, needs: Needs, groups: Sequence[Group]
) -> tuple[dict[Group, Worst], dict[Group, list[Vec]]]:
    """The worst on each group, and which way the force goes where that matters. `force`: on the nodes, per
    newton at the rope's end, (P, V, K + 1, 3)."""
    listed, at = course.listed, course.at[course.listed]
    worst: dict[Group, Worst] = {}
    ways: dict[Group, list[Vec]] = {}
    for group in groups:
        each = force_on(group, force, needs.pull, course, hold).max(axis=1)
        worst[group] = Worst(at, each[listed], float(each[~listed].max(initial=0.0)))
        if group.faces:
            there = force[listed][:, :, list(group.nodes)].sum(axis=2).reshape(-1, 3)
            ways[group] = [(x, y, z) for x, y, z in there.tolist()]
    return worst, ways


def force_on(group: Group, force: Array, pull: Array, course: Course, hold: Hold) -> Array:
    """What a group carries at those pulls, (P, V): N, or N·m where it has levers."""
    there = force[:, :, list(group.nodes)]
    if group.levers:
        there = there * np.array(group.levers)[:, None]
    whole = there.sum(axis=2)
    if group.leg is not None:
        return np.asarray(pull * _bridle_leg(group.leg, whole, course, hold))
    if group.level:
        whole = whole[..., :2]
    return np.asarray(pull * np.sqrt((whole * whole).sum(axis=-1)))


def _bridle_leg(leg: int, pull: Array, course: Course, hold: Hold) -> Array:
    """Tension of one of two equal legs, (P, V). The ring lies in the plane of the hitch points and the
    pull; along the hitch points the legs' difference, across them their sum balances it."""
    assert hold.leg is not None
    a, b = (course.carried(h.ahead, h.left, h.height) for h in hold.hitches)
    apart = np.sqrt(((b - a) ** 2).sum(axis=1))
    way = (b - a) / apart[:, None]
    size = np.sqrt((pull * pull).sum(axis=2))
    forward = (pull * way[:, None]).sum(axis=2)
    across = np.sqrt(np.maximum(size * size - forward * forward, 0.0))
    cos = (apart / 2.0 / hold.leg)[:, None]
    sine = np.sqrt(1.0 - cos * cos)
    first = (across / sine + forward / cos) / 2.0
    second = (across / sine - forward / cos) / 2.0
    # Where one would be pushed, it hangs loose, and the other has everything.
    loose, own = (second, first) if leg == 0 else (first, second)
    other_loose = np.where(loose < 0.0, size, 0.0)
    return np.where((first < 0.0) | (second < 0.0), other_loose, own)
