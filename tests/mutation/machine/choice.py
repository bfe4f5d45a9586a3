"""Which tests are to notice a fault: those that run the statement it stands in, and least besides, first."""

import ast
import json
import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from coverage import CoverageData

from tests.mutation.faults import ROOT
from tests.mutation.machine.edits import Edit

FEW = 12
"""Files of tests that are loaded anew for a fault: a file costs as much as several of its tests."""
ANSWERS = "tests/answers/test_answers.py"
OF_A_FILE = defaultdict(lambda: 2, {ANSWERS: 15})
"""Tests of every file of tests that are run in any case, so that dear ones have their turn too."""
AIMED = 15
"""Tests that run little besides and come before answers that are kept."""
ALWAYS_OF_DATA = (
    "tests/catalogue", "tests/terminations", "tests/validation/test_source", "tests/answers",
)  # fmt: skip
"""Tests that read the data themselves, or answer with much of them."""
_NAMED = re.compile(r"[\w-]{4,}")


@dataclass(frozen=True)
class Known:
    """A test, and how long it takes [s of processor]."""

    name: str
    took: float


class Lines:
    """Which tests run which lines, as `touched.py` kept it in the files of a folder."""

    def __init__(self, folder: Path) -> None:
        self._kept = []
        self.tests: dict[str, Known] = {}
        for path in sorted(folder.glob("*.jsonl")):
            kept = CoverageData(basename=str(path.with_suffix("")))
            kept.read()
            self._kept.append(kept)
            for line in path.read_text(encoding="utf-8").splitlines():
                name, took = json.loads(line)
                self.tests[name] = Known(name, took)

    @cached_property
    def breadth(self) -> Mapping[str, int]:
        """How many lines of the program each test runs."""
        found: Counter[str] = Counter()
        for kept in self._kept:
            for file in kept.measured_files():
                for names in kept.contexts_by_lineno(file).values():
                    found.update(names)
        return found

    @cache  # noqa: B019 - there is one for a whole run
    def of_file(self, file: str) -> Mapping[int, frozenset[str]]:
        """By line of a file, the tests that run it."""
        found: dict[int, set[str]] = defaultdict(set)
        for kept in self._kept:
            for line, names in kept.contexts_by_lineno(str(ROOT / file)).items():
                found[line] |= set(names) & self.tests.keys()
        return {line: frozenset(names) for line, names in found.items()}

    def running(self, edit: Edit) -> set[str]:
        """The tests that run the statement of a change; those that run anything of the file where it runs
        while the file is loaded only."""
        by_line = self.of_file(edit.file)
        text = (ROOT / edit.file).read_text(encoding="utf-8")
        found = {name for line in _statement(text, edit.line) for name in by_line.get(line, ())}
        if found or edit.function:
            return found
        return {name for names in by_line.values() for name in names}


def _own_lines(node: ast.stmt) -> range:
    """Lines of a statement without those of the statements in it."""
    within = [one.lineno for one in ast.walk(node) if isinstance(one, ast.stmt) and one is not node]
    last = min(within) - 1 if within else node.end_lineno or node.lineno
    return range(node.lineno, max(last, node.lineno) + 1)


def _statement(text: str, line: int) -> range:
    """The lines of the innermost statement that has a line."""
    around: Iterator[range] = (
        _own_lines(node) for node in ast.walk(ast.parse(text)) if isinstance(node, ast.stmt)
    )
    return min((lines for lines in around if line in lines), key=len, default=range(line, line + 1))


def _mentions(file: str, words: set[str]) -> int:
    """How often a file of tests names any of some words."""
    text = (ROOT / file).read_text(encoding="utf-8")
    return sum(text.count(word) for word in words)


class Choice:
    """Chooses tests for a change, by the lines that they run."""

    def __init__(self, folder: Path) -> None:
        self._lines = Lines(folder)
        self.all = list(self._lines.tests.values())
        self._left_out: set[str] = set()
        self._took: dict[str, float] = {}

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
        able = [self._lines.tests[name] for name in self._lines.running(edit)]
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
            (first if of_file[file] <= OF_A_FILE[file] else rest).append(test)
        chosen, spent = [], 0.0
        for test in (*first, *rest):
            cost = self._cost(test)[0]
            if spent + cost <= seconds:
                chosen.append(test)
                spent += cost
        chosen.sort(key=lambda test: (self._lines.breadth[test.name], self._cost(test)))
        answers = [test for test in chosen if test.name.startswith(ANSWERS)]
        others = [test for test in chosen if not test.name.startswith(ANSWERS)]
        return [test.name for test in (*others[:AIMED], *answers, *others[AIMED:])]
