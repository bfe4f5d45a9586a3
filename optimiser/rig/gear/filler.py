"""The one filler: finds the best choice of pieces for the variants of a rig.

Variants are taken best first by an upper bound on their margin. Matchings fill most of them; what they
cannot decide, and whatever is shown to people, goes to the constraint solver. Every question that hangs
gear in a rig uses it.
"""

import heapq
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from optimiser.rig.gear import assign
from optimiser.rig.gear.assign import NO_BUDGET, Filled, Spending
from optimiser.rig.gear.fill import Prefer, fill, loose_margin
from optimiser.rig.gear.room import Undecided
from optimiser.rig.gear.slots import Variant
from optimiser.rig.order import Order

Sort = tuple[float, ...]
_Reach = tuple[Sort, int, float, Variant]
"""A variant with the sort key and margin that it may reach, and its turn among others."""
JOINT = 12
"""Most variants that the constraint solver looks at together. More at a time find the best in fewer
calls, each of which takes longer."""
ROUNDING = 1e-12
"""By how much a least ratio is lowered so that a filling that just reaches it counts."""
BELOW_BAND = 1e-6
"""How far below the edge of a band of margins the next trial begins."""


@dataclass(frozen=True)
class Found:
    """The filling of the best variant, if any; and the variants that were not tried, each with the sort
    key that it can reach at best: they cannot be better than the filling by the order, or, where there is
    none, not as good as a limit requires."""

    filled: Filled | None
    ahead: tuple[tuple[Sort, Variant], ...] = ()


@dataclass(frozen=True)
class Filler:
    """Fills variants by an order of counts, to a margin of at least `floor`.

    `on_solver` is called each time the constraint solver is called for a single filling.
    """

    order: Order
    floor: float
    on_solver: Callable[[], None] = lambda: None

    def sort(self, variant: Variant, margin: float) -> Sort:
        """The sort key of a variant that reaches `margin`; less is better."""
        return self.order.sort(variant, margin)

    def reaching(self, variant: Variant, least: float) -> Filled | None:
        """A filling in which every ratio is at least `least`, or None where there is none."""
        try:
            return fill(variant, least)
        except Undecided:
            self.on_solver()
            return assign.best([variant], self.order, floor_margin=least)

    def possible(self, variant: Variant) -> bool:
        """False where matchings show that no filling reaches the floor."""
        try:
            return fill(variant, self.floor - ROUNDING) is not None
        except Undecided:
            return True

    def first(self, variants: Iterable[Variant], limits: Sequence[Sort]) -> Found:
        """The filling of the best variant, in the best band of margins that one can be filled to.

        Only a filling that reaches the floor with a sort key within all `limits` counts. Within its band
        the margin is not the greatest yet: `settled` sees to that once a setup is listed.
        """
        ahead: list[tuple[Sort, int, float, Variant]] = []
        for variant in variants:
            loose = loose_margin(variant)
            if loose >= self.floor:
                heapq.heappush(ahead, (self.sort(variant, loose), len(ahead), loose, variant))
        tried: set[int] = set()
        while ahead:
            sort, number, reachable, variant = heapq.heappop(ahead)
            if any(sort > limit for limit in limits):
                return Found(None, ((sort, variant), *((e[0], e[3]) for e in ahead)))
            filled = self._in_band(variant, reachable, easily=number not in tried)
            if filled is not None:
                return Found(filled, tuple((e[0], e[3]) for e in ahead))
            if number not in tried and not self.possible(variant):
                continue
            tried.add(number)
            lower = self.order.band_of(reachable) * self.order.band - BELOW_BAND
            if lower >= self.floor:
                heapq.heappush(ahead, (self.sort(variant, lower), number, lower, variant))
        return Found(None)

    def _in_band(self, variant: Variant, reachable: float, *, easily: bool) -> Filled | None:
        """A filling in the band that a margin falls into; first at the margin itself if that is easy."""
        if easily:
            try:
                filled = fill(variant, reachable - ROUNDING)
            except Undecided:
                filled = None
            if filled is not None:
                return filled
        band = self.order.band_of(reachable)
        edge = max(min(band * self.order.band, reachable), self.floor)
        return self.reaching(variant, edge - ROUNDING)

    def best(self, variants: Iterable[Variant]) -> Filled | None:
        """The best filling of all variants: by the order, and of equal ones the greatest margin. None where
        none reaches the floor. Ties go to the earlier variant."""
        able = self._reachable(variants)
        return self._at_once(able) or self._improved(able, None)

    @staticmethod
    def _at_once(able: Sequence[_Reach]) -> Filled | None:
        """The filling that reaches the most that any variant may; None where matchings find none."""
        if not able:
            return None
        _, _, most, hopeful = min(able, key=lambda e: (e[0], -e[2], e[1]))
        return _strongest(hopeful, most)

    def settled(self, known: Filled, rivals: Iterable[Variant]) -> Filled:
        """The best filling of a variant that is filled already and of its rivals; of equal fillings the one
        with the strongest pieces that `fill` finds. RuntimeError where the solver denies a known filling."""
        least = replace(self, floor=min(self.floor, known.margin))
        others = (variant for variant in rivals if variant is not known.variant)
        useful = least._ahead_of(known, least._reachable(others))
        loose = loose_margin(known.variant)
        own: _Reach = (self.sort(known.variant, loose), -1, loose, known.variant)
        reached = self._at_once((own, *useful))
        if reached is not None:
            return reached
        together = [known.variant, *(e[3] for e in useful[: JOINT - 1])]
        first = assign.best(together, self.order, floor_margin=least.floor)
        if first is None:
            raise RuntimeError(
                "the constraint solver denies a filling that exists: wrong solver release?"
            )
        found = least._improved(useful[JOINT - 1 :], first)
        assert found is not None
        return _strongest(found.variant, found.margin) or found

    def _reachable(self, variants: Iterable[Variant]) -> list[_Reach]:
        """The variants that may reach the floor, the best first."""
        able = []
        for number, variant in enumerate(variants):
            loose = loose_margin(variant)
            if loose >= self.floor:
                able.append((self.sort(variant, loose), number, loose, variant))
        return sorted(able, key=lambda entry: entry[:2])

    def _ahead_of(self, best: Filled, able: list[_Reach]) -> list[_Reach]:
        """Those that may be better than a filling, by the order or by a greater margin."""
        mark = self.sort(best.variant, best.margin)
        return [e for e in able if (e[0], -e[2]) < (mark, -best.margin)]

    def _improved(self, able: list[_Reach], best: Filled | None) -> Filled | None:
        """The best of a filling and of what some variants can be filled to."""
        while able:
            level = False
            if best is not None:
                able = self._ahead_of(best, able)
                mark = self.sort(best.variant, best.margin)
                level = all(e[0] == mark for e in able[:JOINT])
            batch, able = able[:JOINT], able[JOINT:]
            if not batch:
                break
            # Where all are level with the best by the order, only a greater margin is of use.
            least = best.margin if best is not None and level else self.floor
            found = assign.best([e[3] for e in batch], self.order, floor_margin=least)
            if found is not None and (best is None or self._better(found, best)):
                best = found
        return best

    def _better(self, one: Filled, other: Filled) -> bool:
        mine, its = (self.sort(f.variant, f.margin) for f in (one, other))
        return (mine, -one.margin) < (its, -other.margin)

    def cheapest(
        self,
        variants: Iterable[Variant],
        spend: Spending,
        most: Mapping[Spending, float] = NO_BUDGET,
        *,
        refine: bool = False,
    ) -> Filled | None:
        """The filling that spends least, the best of equal ones by the order; None where none reaches the
        floor within what may be spent at `most`. `refine`: of those still equal the one of the greatest
        margin, else any."""
        able = [variant for variant in variants if self.possible(variant)]
        if not able:
            return None
        return assign.best(
            able, self.order, floor_margin=self.floor, spend=spend, most=most, refine=refine
        )


def _strongest(variant: Variant, margin: float) -> Filled | None:
    """A filling that reaches a margin, with the strongest pieces; None where matchings find none."""
    try:
        return fill(variant, margin - ROUNDING, Prefer.STRONG)
    except Undecided:
        return None
