"""A run of the machine: a sample of faults of every area, judged one after the other, kept as they come."""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path

import click

from tests.mutation.faults import ROOT
from tests.mutation.machine.areas import AREAS, sample
from tests.mutation.machine.bench import Machine, Verdict
from tests.mutation.machine.choice import Choice
from tests.mutation.machine.edits import Edit

LOOKED_AT = (
    "mechanics", "geometry", "gear", "proof", "validation", "laws", "properties", "lower", "uncertainty",
    "stages", "compound", "holding", "terminations", "catalogue", "search", "tracks", "made", "shared",
    "edges", "lever", "measured", "survey", "pulled", "conditions", "ranking", "buy", "why", "site",
    "answers", "sheet",
)  # fmt: skip
"""Folders of tests that may notice a fault of the machine's."""
LONG_TOO = (
    "stages", "lower", "uncertainty", "compound", "holding", "tracks", "measured", "edges", "proof",
    "validation", "ranking", "sweep", "shared", "terminations", "made", "conditions",
)  # fmt: skip
"""Those whose tests that are marked long may notice it too."""


def cache() -> Path:
    """A folder outside the project for the map of tests and the verdicts."""
    home = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    out = Path(home) / "bankhaul-mutation"
    out.mkdir(parents=True, exist_ok=True)
    return out


def make_map(folder: Path) -> None:
    """Run the tests once, those marked long of some folders only, noting which lines each runs. Folders of
    tests that are noted already are left out."""
    folder.mkdir(exist_ok=True)
    quick = [(name, name, "not long") for name in LOOKED_AT]
    for name, called, marked in (*quick, *((name, f"{name}-long", "long") for name in LONG_TOO)):
        notes = folder / called
        if notes.exists():
            continue
        click.echo(f"looking at tests/{name} ({marked})")
        subprocess.run(
            [
                sys.executable, "-m", "pytest", "-q", "-m", marked, "-p", "no:cacheprovider",
                "-p", "tests.mutation.machine.touched", f"tests/{name}",
            ],
            cwd=ROOT,
            env={**os.environ, "TOUCHED": str(notes), "HYPOTHESIS_PROFILE": "ci"},
            check=False,
            stdout=subprocess.DEVNULL,
        )  # fmt: skip


def chosen(count: int, seed: int) -> Iterator[tuple[str, Edit]]:
    """`count` faults, the areas by turns, each area's in the order of its sample."""
    each = [[(area, edit) for edit in sample(area, seed)] for area in AREAS]
    turns = (one for turn in zip_longest(*each) for one in turn if one is not None)
    for _, one in zip(range(count), turns, strict=False):
        yield one


Key = tuple[str, int, str]


def kept_verdicts(kept: Path) -> dict[Key, Verdict]:
    """What was judged before, by file, place and change; of a fault that was judged again the last."""
    lines = kept.read_text(encoding="utf-8").splitlines() if kept.exists() else []
    verdicts = [Verdict(**json.loads(line)) for line in lines]
    return {(verdict.file, verdict.start, verdict.what): verdict for verdict in verdicts}


def run(count: int, seed: int, *, again: bool, last_first: bool) -> list[Verdict]:
    """Judge a sample; what an earlier run of the same seed has judged is taken from there, and so is what
    another process judges meanwhile. `again`: survivors are judged once more. `last_first`: in the other
    order."""
    notes, kept = cache() / "touched", cache() / f"verdicts-{seed}.jsonl"
    make_map(notes)
    faults = list(chosen(count, seed))
    before = {key for key, verdict in kept_verdicts(kept).items() if again and not verdict.caught}
    with tempfile.TemporaryDirectory() as folder, Machine(Path(folder), Choice(notes)) as machine:
        for number, (area, edit) in enumerate(reversed(faults) if last_first else faults, 1):
            known = kept_verdicts(kept)
            if edit.key in known and edit.key not in before:
                continue
            verdict = machine.judge(area, edit)
            with kept.open("a", encoding="utf-8") as file:
                file.write(verdict.line_of_json() + "\n")
            named = verdict.by or ("NOT NOTICED" if verdict.tests else "NO TEST ENTERS IT")
            click.echo(
                f"{number:4} {verdict.took:5.1f} s  {edit.file}:{edit.line} {edit.what}: {named}"
            )
            sys.stdout.flush()
    known = kept_verdicts(kept)
    return [known[edit.key] for _, edit in faults]
