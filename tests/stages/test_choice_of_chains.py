"""Chains of stages, chosen by any order of counts, against every chain there is, on rigs made of numbers.

Each rig works between two marks and on every stretch there; the longer the stretch, the more resets and rope
it takes and the less margin it has. That is all that the choice of a chain knows of rigs.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import ceil, inf
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from optimiser.search.stages.choose import Choice, Limits, choose
from optimiser.search.stages.finder import Caps, Finder
from optimiser.site.counts import Count, OfPlan, PlanCount

MARKS, RIGS, MOST_STAGES = 9, 7, 4
WANTED, ENOUGH = 1.0, 2.5
ORDERS: tuple[tuple[PlanCount, ...], ...] = (
    (OfPlan.STAGES, Count.MARGIN, Count.RESETS, Count.ROPE),
    (OfPlan.STAGES, Count.RESETS, Count.MARGIN, Count.ROPE),
    (Count.RESETS, OfPlan.STAGES, Count.ROPE, Count.MARGIN),
    (Count.MARGIN, Count.ROPE, Count.RESETS, OfPlan.STAGES),
    (Count.ROPE, Count.MARGIN, OfPlan.STAGES, Count.RESETS),
)


@dataclass(frozen=True)
class MadeRig:
    """`band`: of its margin on a stretch of no length, in tenths; it falls by `falls` a mark."""

    first: int
    last: int
    band: int
    falls: int
    marks_a_stroke: int
    rope: int  # cm

    def on(self, begin: int, end: int) -> tuple[int, int, int] | None:
        """Band of margin, resets and cm of rope on a stretch; None where it does not work."""
        if begin < self.first or end > self.last:
            return None
        long = end - begin
        band = self.band - self.falls * long
        return (
            None
            if band < 10 * WANTED
            else (band, ceil(long / self.marks_a_stroke) - 1, self.rope + 37 * long)
        )


class MadeFinder:
    """Answers what a `Finder` is asked, from a list of rigs."""

    def __init__(self, rigs: list[MadeRig]) -> None:
        self.rigs = rigs
        self.track = SimpleNamespace(end=MARKS)
        self.task = SimpleNamespace(enough=ENOUGH)

    def _within(self, begin: int, end: int, caps: Caps) -> Iterator[tuple[int, int, int]]:
        for rig in self.rigs:
            found = rig.on(begin, end)
            if found is not None and begin < end:
                band, resets, rope = found
                fits = 0.1 * band + 0.05 >= caps.margin and rope / 100.0 <= caps.rope + 1e-9
                if fits and resets <= caps.resets:
                    yield found

    def furthest(self, begin: int, caps: Caps) -> int:
        return max(
            (e for e in range(begin + 1, MARKS + 1) if any(self._within(begin, e, caps))),
            default=begin,
        )

    def earliest(self, end: int, caps: Caps) -> int:
        return min((b for b in range(end) if any(self._within(b, end, caps))), default=end)

    def least_resets(self, begin: int, end: int, caps: Caps) -> int | None:
        return min((resets for _, resets, _ in self._within(begin, end, caps)), default=None)

    def top_band(self, begin: int, end: int, caps: Caps) -> int | None:
        bands = (band for band, _, _ in self._within(begin, end, caps))
        return min(max(bands, default=0), round(10 * ENOUGH)) or None

    def best(self, begin: int, end: int, caps: Caps, names: tuple[Count, ...]) -> Any:
        assert names == (Count.ROPE,)
        rope = min((rope for _, _, rope in self._within(begin, end, caps)), default=None)
        return None if rope is None else SimpleNamespace(key=SimpleNamespace(rope=rope / 100.0))


def made_up(seed: int) -> MadeFinder:
    rng = np.random.default_rng(seed)
    rigs = []
    for _ in range(RIGS):
        first, long = int(rng.integers(0, MARKS - 1)), int(rng.integers(2, MARKS))
        first = 0 if rng.random() < 0.3 else first
        rigs.append(
            MadeRig(
                first, min(first + long, MARKS), int(rng.integers(13, 29)), int(rng.integers(0, 3)),
                int(rng.integers(1, 4)), int(rng.integers(500, 900)),
            )
        )  # fmt: skip
    return MadeFinder(rigs)


def least_in_all(made: MadeFinder, band: int, rope: float, stages: int) -> float:
    """The fewest resets, changes of stage among them, of any chain of at most so many stages."""
    caps = Caps(max(WANTED, 0.1 * band), rope=rope)
    best = {0: 0.0}
    least = inf
    for stage in range(stages):
        reached: dict[int, float] = {}
        for (begin, spent), end in product(best.items(), range(1, MARKS + 1)):
            many = made.least_resets(begin, end, caps) if end > begin else None
            if many is not None:
                total = spent + many + (stage > 0)
                reached[end] = min(reached.get(end, inf), total)
        least = min(least, reached.get(MARKS, inf))
        best = reached
    return least


def by_trying(
    made: MadeFinder, order: tuple[PlanCount, ...]
) -> tuple[int, float, int, float] | None:
    """Stages, resets, band and rope that the best chain keeps within: each count in turn by trying all."""
    stages, resets, band, rope = MOST_STAGES, inf, 0, inf

    def able(s: int, r: float, b: int, c: float) -> bool:
        least = least_in_all(made, b, c, s)
        return least < inf and least <= r

    if not able(stages, resets, band, rope):
        return None
    for count in order:
        match count:
            case OfPlan.STAGES:
                stages = min(s for s in range(1, stages + 1) if able(s, resets, band, rope))
            case Count.RESETS:
                resets = least_in_all(made, band, rope, stages)
            case Count.MARGIN:
                tried = range(round(10 * WANTED), round(10 * ENOUGH) + 1)
                band = max(b for b in tried if able(stages, resets, b, rope))
            case Count.ROPE:
                most = sorted({found[2] for rig in made.rigs for found in _all(rig)})
                rope = next(c / 100.0 for c in most if able(stages, resets, band, c / 100.0))
    return stages, resets, band, rope


def _all(rig: MadeRig) -> Iterator[tuple[int, int, int]]:
    for begin, end in product(range(MARKS), range(1, MARKS + 1)):
        found = rig.on(begin, end) if begin < end else None
        if found is not None:
            yield found


def chosen(made: MadeFinder, order: tuple[PlanCount, ...]) -> Choice | None:
    limits = Limits(Caps(WANTED), MOST_STAGES)
    return choose(cast("Finder[Caps]", made), order, limits, lambda _: None)


@pytest.mark.parametrize(
    "order", ORDERS, ids=lambda order: "-".join(str(count.value) for count in order)
)
@pytest.mark.parametrize("first", range(0, 120, 40))
def test_the_chain_is_the_best_of_all(first: int, order: tuple[PlanCount, ...]) -> None:
    works = 0
    for seed in range(first, first + 40):
        made = made_up(seed)
        wanted, choice = by_trying(made, order), chosen(made, order)
        assert (wanted is None) == (choice is None), seed
        if wanted is None or choice is None:
            continue
        stages, resets, band, rope = wanted
        links = choice.chain.links
        works += len(links) > 1
        assert (links[0].begin, links[-1].end) == (0, MARKS)
        assert all(a.end == b.begin for a, b in pairwise(links))
        if len(links) == 1 == stages:
            continue  # the order of a ranking chooses the setup
        assert choice.limits.stages == stages, seed
        assert choice.limits.resets == resets, seed
        assert choice.limits.caps.rope == pytest.approx(rope), seed
        assert choice.limits.caps.margin == pytest.approx(0.1 * band, abs=1e-6), seed
        assert len(links) <= stages
        assert choice.chain.resets <= resets
        for link in links:
            caps = replace(choice.limits.caps, resets=link.resets)
            assert made.least_resets(link.begin, link.end, caps) is not None, seed
    assert works > 5
