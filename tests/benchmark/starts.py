"""How long whole commands take, from the start of the interpreter to its end: those that search, and help
and bad input."""

import tempfile
from pathlib import Path

from optimiser.site.reading import demonstration_text
from tests.benchmark.as_file import site_file
from tests.benchmark.cases import cases, examples
from tests.benchmark.children import HEAVY, compared, loaded, started
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page

SEED = 2


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
        heavy = {
            name: [m for m in HEAVY if words and m in loaded(*words)]
            for name, words in commands.items()
        }
        _whole(page, reached, Path(folder), repeats)
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
            [name, run.wall, run.processor, run.processor / bare.processor, " ".join(heavy[name])]
            for name, run in found.items()
        ],
        f"Best of {repeats}. The last column: which of these libraries were imported.",
    )
    for name, run in found.items():
        if name != "python -c pass":
            reached.add(f"{name}, s of the processor", 0.25, run.processor)
    solver = sum("ortools" in names for names in heavy.values())
    reached.add("commands without a search that import the solver", 0, solver, "")


def _whole(page: Page, reached: Reached, folder: Path, repeats: int) -> None:
    """Commands as a person types them, from the start of the interpreter to the printed list."""
    rows: list[list[object]] = []
    home: list[float] = []
    paths = examples()
    for case in cases("home", range(SEED, SEED + 1)):
        paths.append(folder / f"{case.name}.toml")
        paths[-1].write_text(site_file(case.site()), encoding="utf-8")
    for path in paths:
        run = compared("rank", str(path), repeats=repeats)
        used = run.whole.processor
        if path.parent == folder:
            home.append(used / run.by_name)
        rows.append(
            [
                f"rank {path.name}", run.whole.wall, used, run.by_name,
                used / run.by_name, run.every_module, used / run.every_module,
                "yes" if any("ortools" in name for name in run.libraries) else "",
            ]
        )  # fmt: skip
    page.table(
        "Whole commands",
        (
            "command", "s on the wall", "s of the processor", "libraries only", "ratio",
            "their modules only", "ratio", "with the solver",
        ),
        rows,
        f"Best of {repeats}: reading, search, proof, words, re-check and printing, from the start of the "
        "interpreter to its end, with the program compiled as it is once installed. Libraries only: a bare "
        "interpreter that imports the libraries which that command uses, each by its name as anyone would, "
        "and ends. Their modules only: it imports every single module of other libraries that the command "
        "ended up with, and no more; pandas, which the solver's name brings along, is not among them. "
        "Measured in turn. The home sites are written as site files; their trees are oaks, the rest is as "
        "generated.",
    )  # fmt: skip
    reached.add("home, whole command / libraries only", 1.5, max(home), "")
