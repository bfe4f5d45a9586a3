"""Which tests are to notice a fault: those that enter the function it stands in, the quickest first."""

import json
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.faults import ROOT
from tests.mutation.machine.edits import Edit

FEW = 12
"""Files of tests that are loaded anew for a fault: a file costs as much as several of its tests."""
OF_A_FILE = 2
"""Tests of every file of tests that are run in any case, so that dear ones have their turn too."""
ALWAYS_OF_DATA = ("tests/catalogue", "tests/terminations", "tests/validation/test_source")
"""Tests that read the data themselves."""
_NAMED = re.compile(r"[\w-]{4,}")


@dataclass(frozen=True)
class Known:
    """What a test enters, and how long it takes [s of processor]."""

    name: str
    took: float
    entered: frozenset[str]


def _mentions(file: str, words: set[str]) -> int:
    """How often a file of tests names any of some words."""
    text = (ROOT / file).read_text(encoding="utf-8")
    return sum(text.count(word) for word in words)


class Choice:
    """The map from functions to tests, as `touched.py` wrote it."""

    def __init__(self, notes: Path) -> None:
        self.by_function: dict[str, list[Known]] = defaultdict(list)
        self.by_file: dict[str, list[Known]] = defaultdict(list)
        self.all: list[Known] = []
        self._left_out: set[str] = set()
        self._took: dict[str, float] = {}
        for line in notes.read_text(encoding="utf-8").splitlines():
            name, took, entered = json.loads(line)
            test = Known(name, took, frozenset(entered))
            self.all.append(test)
            for function in test.entered:
                self.by_function[function].append(test)
            for file in {function.rsplit(":", 1)[0] for function in test.entered}:
                self.by_file[file].append(test)

    def leave_out(self, name: str) -> None:
        """Choose a test no more."""
        self._left_out.add(name)

    def learn(self, took: Mapping[str, float]) -> None:
        """Of tests that ran among few others: that takes longer where they work out what tests share."""
        for name, seconds in took.items():
            self._took[name] = max(seconds, self._took.get(name, 0.0))

    def _cost(self, test: Known) -> tuple[float, str]:
        return self._took.get(test.name, test.took), test.name

    def tests(self, edit: Edit, seconds: float) -> list[str]:
        """Tests in the order to run them, of some `seconds` of work in all."""
        if edit.file.endswith(".toml"):
            return self._spread(self._naming(edit), seconds)
        able = self.by_function.get(f"{edit.file}:{edit.function}") or self.by_file.get(
            edit.file, []
        )
        return self._spread(able, seconds)

    def of_few_files(self, edit: Edit, tests: list[str]) -> list[str]:
        """Those of some tests that stand in the files which name most of what is changed."""
        words = {*_NAMED.findall(edit.old), Path(edit.file).stem}
        files = dict.fromkeys(name.split("::")[0] for name in tests)
        named = {file: _mentions(file, words) for file in files}
        few = sorted(files, key=lambda file: -named[file])[:FEW]
        return [name for name in tests if name.split("::")[0] in few]

    def _naming(self, edit: Edit) -> list[Known]:
        """Tests in files that name the entry of the data, or that look at all data."""
        names = set(_NAMED.findall(edit.old.split("]")[0]))
        found = {
            file
            for file in {test.name.split("::")[0] for test in self.all}
            if file.startswith(ALWAYS_OF_DATA)
            or any(name in (ROOT / file).read_text(encoding="utf-8") for name in names)
        }
        return [test for test in self.all if test.name.split("::")[0] in found]

    def _spread(self, able: Iterable[Known], seconds: float) -> list[str]:
        able = [test for test in able if test.name not in self._left_out]
        listed = sorted(able, key=self._cost)
        of_file: dict[str, int] = defaultdict(int)
        first: list[Known] = []
        rest: list[Known] = []
        for test in listed:
            file = test.name.split("::")[0]
            of_file[file] += 1
            (first if of_file[file] <= OF_A_FILE else rest).append(test)
        chosen, spent = [], 0.0
        for test in (*first, *rest):
            cost = self._cost(test)[0]
            if spent + cost <= seconds:
                chosen.append(test)
                spent += cost
        chosen.sort(key=self._cost)
        return [test.name for test in chosen]
