"""How long a command takes that needs no search: help and bad input."""

import tempfile
from pathlib import Path

from optimiser.site.reading import demonstration_text
from tests.benchmark.children import HEAVY, started
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page

BARE = 0.02
"""s that the goals take an interpreter to start in that does nothing."""


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    repeats = 3 if quick else 9
    with tempfile.TemporaryDirectory() as folder:
        wrong = Path(folder) / "wrong.toml"
        wrong.write_text(demonstration_text().replace("weight =", "wieght =", 1), encoding="utf-8")
        empty = Path(folder) / "empty.toml"
        empty.write_text("", encoding="utf-8")
        commands = {
            "python -c pass": (),
            "--help": ("--help",),
            "rank --help": ("rank", "--help"),
            "a word that is no command": ("rnk",),
            "a file that is not there": ("rank", "missing.toml"),
            "a file with nothing in it": ("rank", str(empty)),
            "a misspelt key": ("rank", str(wrong)),
        }
        found = {name: started(*words, repeats=repeats) for name, words in commands.items()}
    bare = found["python -c pass"]
    page.table(
        "Without a search",
        (
            "command",
            "s on the wall",
            "s of the processor",
            "/ bare interpreter",
            f"of {', '.join(HEAVY)}",
        ),
        [
            [name, run.wall, run.processor, run.processor / bare.processor, " ".join(run.imported)]
            for name, run in found.items()
        ],
        f"Best of {repeats}. The last column: which of these libraries were imported.",
    )
    for name, run in found.items():
        if name != "python -c pass":
            reached.add(f"{name}, s of the processor", 0.25, run.processor)
    solver = sum("ortools" in run.imported for run in found.values())
    reached.add("commands without a search that import the solver", 0, solver, "")
