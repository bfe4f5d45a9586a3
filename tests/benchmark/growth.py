"""How the time grows with anchors and with sheaves."""

import time
from dataclasses import replace
from statistics import median

import numpy as np

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.search.stopwatch import go_by
from tests.benchmark.cases import REGIMES, SIZES
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page
from tests.benchmark.stages import searched
from tests.generated import Recipe, made_up


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    del reached
    seeds = range(1, 2) if quick else range(1, 4)
    trees = (12, 24, 48) if quick else (6, 12, 24, 48, 96)
    sheaves = (3, 4, 5) if quick else (3, 4, 5, 6, 7)
    middle = replace(SIZES["mid"], trees=30)
    rows: list[list[object]] = []
    for regime in REGIMES:
        by_trees = [_at(replace(SIZES["mid"], regime=regime, trees=many), seeds) for many in trees]
        rows.append([regime, "anchors", _list(trees), *_growth(trees, by_trees)])
        by_sheaves = [_at(replace(middle, regime=regime, sheaves=many), seeds) for many in sheaves]
        rows.append([regime, "sheaves", _list(sheaves), *_growth(sheaves, by_sheaves)])
    page.table(
        "Growth",
        ("regime", "with", "sizes", "s", "time ~ size^", "last step", "walks", "walks ~ size^"),
        rows,
        "Tables, search and proof, s of one processor, median of the seeds. The other sizes are those of "
        "mid (for sheaves: 30 trees). The exponent is that of a straight line through the logarithms of "
        "all sizes; the last step is that between the two largest alone.",
    )


def _at(recipe: Recipe, seeds: range) -> tuple[float, float]:
    """(s, walks in the space), the median of the seeds."""
    times, spaces = [], []
    go_by(time.process_time)
    for seed in seeds:
        found = rank(made_up(recipe, seed), RankQuestion(explain=False, compound=False))
        times.append(searched(dict(found.timings)))
        spaces.append(float(found.space))
    go_by(time.perf_counter)
    return median(times), median(spaces)


def _growth(sizes: tuple[int, ...], found: list[tuple[float, float]]) -> list[object]:
    log = np.log(np.array(sizes))
    times, spaces = (np.log(np.array(column)) for column in zip(*found, strict=True))
    last = (times[-1] - times[-2]) / (log[-1] - log[-2])
    return [
        " ".join(f"{seconds:.2g}" for seconds, _ in found),
        f"{np.polyfit(log, times, 1)[0]:.1f}",
        f"{last:.1f}",
        " ".join(f"{space:.0e}" for _, space in found),
        f"{np.polyfit(log, spaces, 1)[0]:.1f}",
    ]


def _list(sizes: tuple[int, ...]) -> str:
    return " ".join(str(size) for size in sizes)
