"""The page in the browser: how soon it is there, and how soon the list follows a tree that is dragged."""

import time
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory

from optimiser.site.text.edited import Put, edited
from optimiser.telling.page.answering import Answers, Wanted
from tests.benchmark.as_file import site_file
from tests.benchmark.cases import REGIMES, Case
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page
from tests.page.opened import opened

SEED = 2
SOON = 1.0
"""s after the command until the page's own document is there; its answer follows."""
FOLLOWS = {"home": 0.15, "mid": 0.5}
"""s until a tree that is dragged has its new list (the first few; all follow when it is dropped)."""
WHILE_MOVED = 3


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    """Wall-clock for the first; processor time of the process that answers for the second."""
    rows: list[list[object]] = []
    slowest: dict[str, float] = {}
    for size in FOLLOWS:
        took = [_dragged(size, regime, 2 if quick else 6) for regime in REGIMES]
        rows.append([size, *took])
        slowest[size] = max(took)
    soon = min(_first_paint() for _ in range(1 if quick else 3))
    page.table(
        "The page",
        ("dragged tree, s", *REGIMES),
        rows,
        f"The page's document is there {soon:.2f} s after the command (wall clock). Least of several times.",
    )
    reached.add("page, its document after the command", SOON, soon)
    for size, limit in FOLLOWS.items():
        reached.add(f"page, list after a dragged tree, {size}", limit, slowest[size])


def _first_paint() -> float:
    with TemporaryDirectory() as folder:
        began = time.monotonic()
        with opened(folder=Path(folder)) as found:
            assert found.get().status == 200
            return time.monotonic() - began


def _dragged(size: str, regime: str, many: int) -> float:
    """s of one processor from the new text to its list, the program having answered the one before."""
    text = site_file(Case(size=size, regime=regime, seed=SEED).site())
    answers, best = Answers(), float("inf")
    x = float(str(tomllib.loads(text)["tree"][0]["at"][0]).split()[0])
    for step in range(many + 1):
        moved = edited(text, [Put(key=("tree", 0, "at", 0), value=f"{x + 0.1 * step:.2f} m")])
        began = time.process_time()
        for part in answers.of(Wanted(text=moved, name="site.toml", top=WHILE_MOVED)):
            if part["part"] == "list":
                break
        if step:
            best = min(best, time.process_time() - began)
    return best
