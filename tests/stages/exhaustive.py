"""Staged plans by plain enumeration: every walk on every stretch between marks, every chain of
them.

Slow on purpose: no bounds, no reuse, no reasoning about how far anything reaches. What a setup is worth comes
from the enumeration, which takes nothing of the program but the site.
"""

from itertools import accumulate
from math import dist

from optimiser.site.model import Site
from tests.oracle.stretches import Path

Score = tuple[int, int, int, float]
"""(stages, resets in all, band, rope) of one plan."""


def plans(
    site: Site, grain: float, most_stages: int, *, longer: bool = False, two_ropes: bool = False
) -> set[Score]:
    """What every plan of the site is worth, those left out that another beats or equals on all.
    `longer`: with ropes that a strap or chain lengthens too. `two_ropes`: tackle on tackle in any stage as
    well."""
    marks = marks_of(site, grain)
    last, path = len(marks) - 1, Path(site, longer=longer, two_ropes=two_ropes)
    setups = {
        (i, j): path.worths(marks[i], marks[j]) for i in range(last) for j in range(i + 1, last + 1)
    }
    out: set[Score] = set()
    level: set[tuple[int, Score]] = {(0, (0, -1, 10_000, 0.0))}
    for _ in range(most_stages):
        ahead: dict[int, set[Score]] = {}
        for mark, (stages, resets, band, rope) in level:
            for end in range(mark + 1, last + 1):
                for r, b, m in setups[mark, end]:
                    score = (stages + 1, resets + 1 + r, min(band, b), max(rope, m))
                    ahead.setdefault(end, set()).add(score)
        level = {(mark, s) for mark, scores in ahead.items() for s in _unbeaten(scores)}
        out |= {score for mark, score in level if mark == last}
    return _unbeaten(out)


def _unbeaten(scores: set[Score]) -> set[Score]:
    def beats(a: Score, b: Score) -> bool:
        return a != b and a[0] <= b[0] and a[1] <= b[1] and a[2] >= b[2] and a[3] <= b[3]

    return {s for s in scores if not any(beats(other, s) for other in scores)}


def marks_of(site: Site, grain: float) -> list[float]:
    """m along the path: every multiple of the grain, every bend and the finish."""
    bends = list(accumulate((dist(leg.start, leg.end) for leg in site.legs), initial=0.0))
    steps = [k * grain for k in range(int(bends[-1] / grain) + 1)]
    apart = max(1e-6, grain * 1e-3)
    return sorted(
        [*bends, *(step for step in steps if all(abs(step - bend) >= apart for bend in bends))]
    )
