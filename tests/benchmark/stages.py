"""Where the time of a ranking goes, on generated sites and on the examples."""

from pathlib import Path
from typing import Any

from tests.benchmark.cases import REGIMES, Case, cases, examples
from tests.benchmark.children import measured
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page

SEED = 2
COLUMNS = (
    "site", "load", "tabulate", "search", "proof", "of these: forces", "items", "solver", "words", "re-check",
    "process", "/ imports", "MB", "walks in the space", "looked at", "confirmed", "setups", "proven",
)  # fmt: skip


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    repeats = 1 if quick else 3
    modules = measured("rank", Case(size="home", regime=REGIMES[0], seed=SEED).name)["modules"]
    floor = measured("imports", " ".join(modules), repeats=2 * repeats)
    rows: list[list[object]] = [
        ["(imports only)", *[""] * 9, floor["process"], 1.0, floor["MB"], *[""] * 5]
    ]
    found: dict[str, list[dict[str, Any]]] = {}
    for size in ("home", "mid", "yard"):
        for case in cases(size, range(SEED, SEED + 1)):
            run = measured("rank", case.name, repeats)
            found.setdefault(size, []).append(run)
            rows.append(_row(case.name, run, floor["process"]))
    for path in examples():
        run = measured("rank", str(path), repeats)
        found.setdefault("examples", []).append(run)
        rows.append(_row(Path(path).stem, run, floor["process"]))
    page.table(
        "Where the time goes",
        COLUMNS,
        rows,
        "s of one processor, best of the repeats, each in a process of its own. Forces and items are "
        "parts of search (the first list) and proof; solver is the constraint solver that fills what is "
        "listed. Imports only: a bare interpreter that imports every module of other libraries that the "
        "ranking of a home site ends up with, and nothing else; for both without leaving the interpreter.",
    )
    for size, limit in (("mid", 1.0), ("yard", 5.0)):
        reached.add(f"{size}, search and proof", limit, max(searched(run) for run in found[size]))
    every = [run for runs in found.values() for run in runs]
    reached.add("peak memory", 250.0, max(run["MB"] for run in every), "MB")
    reached.add("lists that are not proven", 0, sum(not run["proven"] for run in every), "")
    planned = measured("stages", Case(size="mid", regime="puller", seed=SEED).name, repeats)
    reached.add("mid, stages", 5.0, planned["whole"])
    _bought(page, reached, quick=quick)


def _bought(page: Page, reached: Reached, *, quick: bool) -> None:
    """What `buy` takes where loads are too heavy for most of the gear owned."""
    runs = {
        case.name: measured("buy", case.name)
        for case in cases("heavy", range(1, 2 if quick else 5))
    }
    page.table(
        "Buying, mid with heavy loads",
        ("site", "s", "MB", "options", "least in one stage proven", "in up to four"),
        [
            [name, run["whole"], run["MB"], run["setups"], run["proven"], run["staged"]]
            for name, run in runs.items()
        ],
        "s of one processor, in up to four stages as the command does; what it leaves unproven in its own "
        "time is told with the answer.",
    )
    offered = next(iter(runs.values()))["offered"]
    slowest = max(run["whole"] for run in runs.values())
    reached.add(f"mid, buy with {offered} items, slowest", 10.0, slowest)


def searched(run: dict[str, Any]) -> float:
    """s of tables, search and proof."""
    return float(run["tabulate"] + run["search"] + run["proof"])


def _row(name: str, run: dict[str, Any], floor: float) -> list[object]:
    times = ("load", "tabulate", "search", "proof", "evaluate", "fill", "assign", "tell", "verify")
    return [
        name, *(float(run.get(t, 0.0)) for t in times), run["process"], run["process"] / floor,
        run["MB"], run["space"], run["looked_at"], run["confirmed"], run["setups"], run["proven"],
    ]  # fmt: skip
