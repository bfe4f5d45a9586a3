"""Many seeds of the largest sites: the slowest is what a person remembers."""

from statistics import median

from tests.benchmark.cases import REGIMES, Case
from tests.benchmark.children import measured
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page
from tests.benchmark.stages import searched


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    seeds = range(1, 4 if quick else 21)
    rows: list[list[object]] = []
    slowest, unproven = 0.0, 0
    for regime in REGIMES:
        runs = [
            measured("rank", Case(size="yard", regime=regime, seed=seed).name) for seed in seeds
        ]
        times = [searched(run) for run in runs]
        slowest = max(slowest, *times)
        unproven += sum(not run["proven"] for run in runs)
        rows.append(
            [
                regime, len(runs), min(times), median(times), max(times),
                max(run["MB"] for run in runs), sum(run["setups"] >= 10 for run in runs),
                sum(run["proven"] for run in runs),
            ]
        )  # fmt: skip
    page.table(
        "Seeds of yard",
        ("regime", "seeds", "least", "median", "most", "MB", "with ten setups", "proven"),
        rows,
        "Tables, search and proof, s of one processor.",
    )
    reached.add(f"yard, slowest of {len(seeds)} seeds in any regime", 25.0, slowest)
    reached.add("yard, seeds that are not proven", 0, unproven, "")
