"""Computes forces of tackle on tackle, on the same evaluator: the two ropes' nodes one after the other.

Nodes: the first rope's places, the grip as its hauling end, then the second rope's places and the
puller. Between the two ropes there is a segment without rope, which carries nothing. What the
second rope gives at the grip is the tension of the first there: its segments carry that many times
the pull.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Self

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.line.tackle import along_rope
from optimiser.rig.forces.evaluate import Evaluation, States
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene
from optimiser.rig.two_ropes.second_rope import Tackle
from shared.effort import Effort, note

EMPTY = Tackle(())


@dataclass(frozen=True)
class CompoundEvaluation(Evaluation):
    """`walks` has all nodes, the grip as GRIP_NUMBER. X states, n rigs whose second ropes are alike but
    for their lead blocks: `tackle` is the first one's."""

    tackle: Tackle = EMPTY
    span: Array | None = None  # (n, X) m from the first rope's last place to the second's anchor

    @property
    def of_two_ropes(self) -> bool:
        return True

    @property
    def steering(self) -> None:
        """Two ropes and a steering line together are not in the space."""
        return

    def alone(self, row: int) -> Self:
        one = super().alone(row)
        tackle = Tackle(tuple(int(n) for n in one.walks[0, self.grip + 1 : -1]))
        span = None if self.span is None else self.span[row : row + 1].copy()
        return replace(one, tackle=tackle, span=span)

    def turning(self, row: int, etas: Array, rubbing: Mask | None = None) -> "CompoundEvaluation":
        """See the base; `etas` with the ones at the grip. Neither rope runs over an edge."""
        own = self.grip
        seconds = np.tile(np.array(self.walks[row, own + 1 : -1]), (len(etas), 1))
        first = np.tile(self.walks[row, :own], (len(etas), 1))
        turned = np.concatenate([etas[:, : own - 1], etas[:, own + 1 :]], axis=1)
        return evaluate_pairs(self.scene, first, seconds, turned)

    def with_ring_at_rest(self, rows: slice) -> "CompoundEvaluation":
        """See the base; where the first rope leads to the grip from the load, the second's parts there lie
        along it."""
        out = super().with_ring_at_rest(rows)
        units, first = out.units.copy(), self.grip - 1
        if self.walks[rows][0, first] == 0:
            for k, (one, two) in enumerate(self.tackle.segments, start=self.grip + 1):
                if GRIP_NUMBER in (one, two):
                    units[k] = units[first] if one == GRIP_NUMBER else -units[first]
        return replace(out, units=units, span=None)

    @property
    def led(self) -> tuple[tuple[int, int], ...]:
        """See the base; to the grip as far as the second rope's anchor, which lies beyond it."""
        ends = ((one, two) for one, two in super().led)
        return tuple((one, self.tackle.anchor if two == GRIP_NUMBER else two) for one, two in ends)

    @property
    def grip(self) -> int:
        """The node at which the first rope ends; the next one is the second's standing end."""
        return int(self.walks.shape[1]) - len(self.tackle.numbers) - 2

    @property
    def beyond(self) -> tuple[int, ...]:
        """The second rope's segments that do not come to the grip."""
        begin, nodes = self.grip + 1, (*self.tackle.numbers, self.scene.puller_number)
        pairs = pairwise(nodes)
        return tuple(begin + i for i, pair in enumerate(pairs) if GRIP_NUMBER not in pair)

    @cached_property
    def anchors(self) -> Numbers:
        """See the base; the grip is at no anchor."""
        known = self.scene.anchor_of[np.maximum(self.walks, 0)]
        return np.where(self.walks == GRIP_NUMBER, -1, known)

    @cached_property
    def gained(self) -> Array:
        """(n,) tension of the first rope at the grip / pull."""
        return np.asarray(self.tau[self.grip - 1, :, 0])

    @cached_property
    def clear(self) -> Mask:
        """(n, X) every run of rope is free; the first rope's last one as far as the anchor."""
        walks, grip = self.walks, self.grip
        runs = [(walks[:, k], walks[:, k + 1]) for k in range(grip - 1)]
        end = np.full(len(walks), self.tackle.anchor)
        runs.append((walks[:, grip - 1], end))
        runs += [(walks[:, k], walks[:, k + 1]) for k in self.beyond]
        out = np.ones((len(walks), len(self.states.station)), dtype=bool)
        for a, b in runs:
            out &= self.runs_free(a, b)
            if self.scene.over_edges:  # a grip cannot pass an edge
                out &= ~self.scene.lines(a, b, self.states.station, self.states.spot).bent
        return out if self.ring is None else out & self._ring_clear(self.ring)

    @cached_property
    def ideal_advance(self) -> Array:
        """(n, X) g.t without friction."""
        alone = super().ideal_advance
        return np.asarray(alone * self.tackle.parts)


def evaluate(scene: Scene, paths: Numbers, tackle: Tackle, etas: Array) -> CompoundEvaluation:
    """`evaluate_pairs` with one second rope."""
    seconds = np.tile(np.array(tackle.numbers), (len(paths), 1))
    return evaluate_pairs(scene, paths, seconds, etas)


def evaluate_pairs(
    scene: Scene, paths: Numbers, seconds: Numbers, etas: Array
) -> CompoundEvaluation:
    """Evaluate first ropes (n, m1 + 1), from the standing end to the last place before the grip, each
    with its second one (n, m2 + 1), from the standing end to the last place before the puller; `etas`
    (n, m1 + m2) of the sheaves of both. The second ropes differ in their lead blocks only."""
    n, own = paths.shape
    states = States.of(scene)
    note(Effort.EVALUATION)
    note(Effort.STATE, n * (own + seconds.shape[1] + 1) * len(states.station))
    tackle = Tackle(tuple(int(number) for number in seconds[0]))
    pullers = np.full((n, 1), scene.puller_number)
    second = np.concatenate([seconds, pullers], axis=1)
    walks = np.concatenate([paths, np.full((n, 1), GRIP_NUMBER), second], axis=1)
    one = np.ones((n, 2))
    all_etas = np.concatenate([etas[:, : own - 1], one, etas[:, own - 1 :]], axis=1)
    near = _points(scene, states, paths[:, -1])
    far = _points(scene, states, np.full(n, tackle.anchor))
    # Directions are all that counts at the grip: seen from either side it lies towards the other.
    nodes = [_points(scene, states, paths[:, k]) for k in range(own)]
    nodes += [far]
    for i, number in enumerate(second[0]):
        nodes.append(near if number == GRIP_NUMBER else _points(scene, states, second[:, i]))
    points = np.stack(nodes)
    units = points[1:] - points[:-1]
    units[own] = 0.0
    lengths = np.sqrt((units**2).sum(axis=1))
    units /= np.maximum(lengths, 1e-9)[:, None]
    tau = np.zeros((len(points) - 1, n, 1))
    tau[own + 1 :, :, 0] = along_rope(passed=etas[:, own - 1 :].T)
    at_grip = [own + 1 + i for i, pair in enumerate(tackle.segments) if GRIP_NUMBER in pair]
    hauled = tau[at_grip, :, 0].sum(axis=0)
    tau[:own, :, 0] = along_rope(passed=etas[:, : own - 1].T, hauled=hauled)
    span = np.sqrt(((far - near) ** 2).sum(axis=0))
    return CompoundEvaluation(
        scene, walks, all_etas, states, units, lengths, tau, tackle=tackle, span=span
    )


def _points(scene: Scene, states: States, here: Numbers) -> Array:
    """(3, n, X) where nodes are."""
    out = np.repeat(np.nan_to_num(scene.position[here]).T[:, :, None], len(states.station), axis=2)
    out[:, here == 0, :] = scene.hitch[states.station].T[:, None, :]
    out[:, here == scene.puller_number, :] = scene.spots[states.spot].T[:, None, :]
    return out
