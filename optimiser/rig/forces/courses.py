"""What the places of a walk say of its ropes: which nodes a rope turns at, where lines run, and of tackle on
tackle where the first rope ends and the second begins.

Tackle on tackle is one walk too: the first rope's places, the grip as its hauling end, then the second
rope's places and the puller. Between the two ropes there is a segment without rope, which carries nothing.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.ground.scene import GRIP_NUMBER
from optimiser.rig.two_ropes.second_rope import Tackle

Pair = tuple[int, int]


@dataclass(frozen=True)
class Course:
    """The numbers of a walk's places from the standing end on, the grip as GRIP_NUMBER."""

    numbers: tuple[int, ...]

    @staticmethod
    def of(walks: Numbers) -> "Course":
        """That of walks (n, nodes) which are alike in it; of no walks, as of one rope."""
        return Course(tuple(walks[0].tolist()) if len(walks) else (0,) * walks.shape[1])

    @cached_property
    def grip(self) -> int | None:
        """The node at which the first of two ropes ends; the next one is the second's standing end."""
        return self.numbers.index(GRIP_NUMBER) if GRIP_NUMBER in self.numbers else None

    @cached_property
    def tackle(self) -> Tackle | None:
        """The second rope, where its tackle hauls the first."""
        return None if self.grip is None else Tackle(self.numbers[self.grip + 1 : -1])

    @property
    def ropes(self) -> tuple[slice, ...]:
        """The nodes of each rope."""
        if self.grip is None:
            return (slice(0, len(self.numbers)),)
        return slice(0, self.grip + 1), slice(self.grip + 1, len(self.numbers))

    @property
    def turning(self) -> tuple[int, ...]:
        """Nodes at which a rope turns on a sheave."""
        return tuple(k for own in self.ropes for k in range(own.start + 1, own.stop - 1))

    @cached_property
    def beyond(self) -> tuple[int, ...]:
        """The second rope's segments that do not come to the grip."""
        begin = len(self.numbers) if self.grip is None else self.grip + 1
        pairs = enumerate(pairwise(self.numbers[begin:]), start=begin)
        return tuple(k for k, pair in pairs if GRIP_NUMBER not in pair)

    @cached_property
    def at_grip(self) -> tuple[int, ...]:
        """The second rope's segments that pull on the grip."""
        begin = len(self.numbers) if self.grip is None else self.grip + 1
        pairs = enumerate(pairwise(self.numbers[begin:]), start=begin)
        return tuple(k for k, pair in pairs if GRIP_NUMBER in pair)

    @cached_property
    def far(self) -> int:
        """The node at the second rope's anchor, which the first leads on to beyond the grip."""
        assert self.grip is not None
        assert self.tackle is not None
        return self.grip + 1 + self.tackle.numbers.index(self.tackle.anchor)

    def seen(self, node: int) -> int:
        """The node whose place stands for a node's. The grip is wherever the haul has it, and all that counts
        is in what direction: seen from either rope it lies towards where the other leads."""
        if self.grip is None or self.numbers[node] != GRIP_NUMBER:
            return node
        return self.far if node == self.grip else self.grip - 1

    @cached_property
    def runs(self) -> tuple[Pair, ...]:
        """The straight runs of rope, by the nodes that they join; the first rope's last one as far as the
        second's anchor, as those to the grip lie along it."""
        if self.grip is None:
            return tuple(pairwise(range(len(self.numbers))))
        own = pairwise((*range(self.grip), self.far))
        return (*own, *((k, k + 1) for k in self.beyond))

    @property
    def as_they_lie(self) -> tuple[tuple[int, ...], ...]:
        """The numbers of places along each rope, the first led on to the second's anchor and the puller."""
        if self.grip is None:
            return (self.numbers,)
        own, anchor, me = self.numbers[: self.grip], self.numbers[self.far], self.numbers[-1]
        after = [n for n in self.numbers[self.far + 1 : -1] if n not in (anchor, GRIP_NUMBER)]
        return (*own, anchor, me), (own[-1], anchor, *after, me)

    def spread(self, etas: Array) -> Array:
        """(n, m) efficiencies by node out of those of the sheaves alone (n, k); 1 where two ropes meet."""
        return etas if self.grip is None else np.insert(etas, [self.grip - 1] * 2, 1.0, axis=1)
