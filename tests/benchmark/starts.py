"""How long a command takes that needs no search: help and bad input."""

import tempfile
from pathlib import Path

from optimiser.site.reading import demonstration_text
from tests.benchmark.cases import examples
from tests.benchmark.children import HEAVY, imports_only, started
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page


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
    _whole(page, repeats)
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


def _whole(page: Page, repeats: int) -> None:
    """Commands as a person types them, from the start of the interpreter to the printed list."""
    rows: list[list[object]] = []
    for path in examples():
        run = started("rank", str(path), repeats=repeats)
        floor = imports_only("rank", str(path), repeats=repeats)
        rows.append([f"rank {path.name}", run.wall, run.processor, floor, run.processor / floor])
    page.table(
        "Whole commands",
        ("command", "s on the wall", "s of the processor", "imports only", "ratio"),
        rows,
        f"Best of {repeats}. Imports only: a bare interpreter that imports the same modules of other "
        "libraries and nothing else.",
    )
