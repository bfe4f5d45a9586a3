"""Every question about sites as people write them, each beside that site's own `rank` in the same run."""

from dataclasses import dataclass
from pathlib import Path

from tests.benchmark.cases import REGIMES, Case
from tests.benchmark.children import measured, started
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page

SITES = Path(__file__).with_name("sites")
SEED = 2
SLOWEST = 6.0
"""s of one processor that any of these may take."""
GOALS = {"stages": 4.0, "lower": 4.0, "buy": 8.0, "why": 2.0, "show": 1.3, "sweep": 6.0}
"""Times the site's own `rank`, at most; `sweep`: 49 cells with the boundaries between them."""
AGAIN = {"home": 0.05, "mid": 0.15}
"""s for a ranking in a process that has ranked the site before one number of it changed."""


@dataclass(frozen=True, slots=True)
class Site:
    """A site, what there is to see of it, and the two numbers that are swept."""

    file: str
    what: str
    varied: tuple[str, str]

    @property
    def words(self) -> tuple[str, ...]:
        """The site on the command line: none for the demonstration."""
        return (str(SITES / f"{self.file}.toml"),) if self.what else ()


WRITTEN = (
    Site("farm", "12 trees, three ropes that may be joined, nothing works",
          ("load.weight=2.6..3 t", "puller[1].weight=2..3 t")),
    Site("wood", "24 trees, two ropes that may be joined",
          ("load.weight=200..300 kg", "gear[1].length=60..90 m")),
    Site("garden", "one stage serves, three ropes that may be joined",
          ("load.weight=600..900 kg", "gear[1].length=50..90 m")),
    Site("slip", "18 trees, steep enough to be let down",
          ("load.weight=400..700 kg", "gear[1].length=45..80 m")),
    Site("hut", "a crest, two stages, a log to lay",
          ("load.weight=100..160 kg", "gear[1].length=35..60 m")),
    Site("demonstration", "", ("load.weight=500..800 kg", "gear[1].length=60..90 m")),
)  # fmt: skip


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    """Whole commands, from the start of the interpreter to its end, processes they start included."""
    rounds = 1 if quick else 2
    rows: list[list[object]] = []
    worst = dict.fromkeys(GOALS, (0.0, ""))
    slowest = (0.0, "")
    for one in WRITTEN:
        commands = {
            "rank": ("rank", *one.words),
            **{question: (question, *one.words) for question in GOALS if question != "sweep"},
            "sweep": ("sweep", *one.words, *one.varied),
        }
        took = {name: started(*words, repeats=rounds).processor for name, words in commands.items()}
        row: list[object] = [one.file, one.what or "what ships with the program", took["rank"]]
        for question in GOALS:
            ratio = took[question] / took["rank"]
            row += [took[question], ratio]
            worst[question] = max(worst[question], (ratio, one.file))
        slowest = max(slowest, *((took[name], f"{name} {one.file}") for name in took))
        rows.append(row)
    page.table(
        "Questions about sites as people write them",
        ("site", "what it has", "rank", *(c for q in GOALS for c in (q, "/ rank"))),
        rows,
        "s of one processor for whole commands, and how many times that of the site's own `rank`.",
    )
    for question, limit in GOALS.items():
        ratio, name = worst[question]
        reached.add(f"{question} / rank, at worst ({name})", limit, ratio, "")
    reached.add(f"slowest of these ({slowest[1]})", SLOWEST, slowest[0])
    for size, limit in AGAIN.items():
        names = [Case(size=size, regime=regime, seed=SEED).name for regime in REGIMES]
        runs = [measured("again", name, rounds)["again"] for name in names]
        reached.add(f"{size}, rank again with one number changed", limit, max(runs))
