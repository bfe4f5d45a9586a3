"""The machine that makes faults: what it changes by hand, and that every change is still a program."""

import ast
import importlib
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.mutation.faults import ROOT
from tests.mutation.machine import report
from tests.mutation.machine.areas import AREAS, sample
from tests.mutation.machine.bench import Verdict
from tests.mutation.machine.edits import edits
from tests.mutation.machine.forked import BROKEN, Chosen, in_a_fork
from tests.mutation.machine.in_memory import Loaded, Place

TEXT = '''\
def worst(force, limit):
    """Docstrings stay: 0.5."""
    if force < 0.0 and limit > 2:
        return -force
    return max(force * sin(limit), force + 0.5, key=lambda x: x)
'''
DATA = '[oak]\nstrength = "40 MPa"\nbark = 0.03\nsource = "12 pages"\ncount = 4\n'


def test_changes_of_a_small_program() -> None:
    found = {(edit.kind, edit.old, edit.new) for edit in edits("a.py", TEXT)}
    assert ("a comparison flipped", "force < 0.0", "(force >= 0.0)") in found
    assert ("a condition dropped", "force < 0.0 and limit > 2", "((limit > 2))") in found
    assert ("an early return dropped", "return -force", "pass") in found
    assert ("a sign or a not dropped", "-force", "(force)") in found
    assert ("swapped with its like", "max", "min") in found
    assert ("swapped with its like", "sin", "cos") in found
    assert ("an operator swapped", "force * sin(limit)", "((force) / (sin(limit)))") in found
    assert ("a term of a sum dropped", "force + 0.5", "(force)") in found
    assert ("a number shifted", "0.5", "0.6") in found
    assert not [edit for edit in edits("a.py", TEXT) if "Docstrings" in edit.old]
    assert {edit.function for edit in edits("a.py", TEXT)} == {1}


def test_what_is_looked_at_along_an_axis_only_at_one_end() -> None:
    found = {edit.new for edit in edits("a.py", "worst = table.max(axis=1)\n")}
    assert {"(table).take(0, axis=1)", "(table).take(-1, axis=1)"} <= found


def test_changes_of_data() -> None:
    found = {(edit.line, edit.new) for edit in edits("a.toml", DATA)}
    assert found == {(2, "48"), (2, "32"), (3, "0.036"), (3, "0.024"), (5, "5"), (5, "3")}


def test_a_small_whole_number_goes_up_and_down_by_one() -> None:
    found = {edit.new for edit in edits("a.toml", "[oak]\ncount = 1\n")}
    assert found == {"2", "0"}


@pytest.mark.parametrize("area", AREAS)
def test_every_change_is_still_a_program(area: str) -> None:
    listed = sample(area, 7)
    assert listed == sample(area, 7)
    for edit in listed[:60]:
        changed = edit.applied((ROOT / edit.file).read_text(encoding="utf-8"))
        (tomllib.loads if edit.file.endswith(".toml") else ast.parse)(changed)


LOADED = """\
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rope:
    length: float

    @property
    def half(self):
        return self.length / 2

    def parts(self, count):
        def one():
            return self.length / count
        return [one() for _ in range(count)]


def twice(length):
    return length * 2
"""


@pytest.fixture
def loaded_module(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A file of a program, which is loaded."""
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    path = tmp_path / "rope_for_faults.py"
    path.write_text(LOADED)
    importlib.import_module(path.stem)
    yield path
    del sys.modules[path.stem]


def _line(text: str) -> int:
    return next(n for n, line in enumerate(LOADED.splitlines(), 1) if text in line)


@pytest.mark.parametrize(
    ("at", "old", "new", "half", "parts", "twice"),
    [
        ("@property", "self.length / 2", "self.length / 4", 2.0, [4.0, 4.0], 16.0),
        ("def parts", "range(count)", "range(1)", 4.0, [4.0], 16.0),
        ("def one", "self.length / count", "self.length * count", 4.0, [16.0, 16.0], 16.0),
        ("def twice", "length * 2", "length * 3", 4.0, [4.0, 4.0], 24.0),
    ],
)
def test_a_changed_function_is_put_into_what_is_loaded(
    loaded_module: Path, at: str, old: str, new: str, half: float, parts: list[float], twice: float
) -> None:
    module = sys.modules[loaded_module.stem]
    rope = module.Rope(8.0)
    loaded = Loaded(loaded_module.parent, ran=set(), opened=set())
    loaded_module.write_text(LOADED.replace(old, new))
    assert loaded.as_if_new(loaded_module.name, _line(at))
    assert loaded.put(loaded_module.name, _line(at))
    assert (rope.half, rope.parts(2), module.twice(8.0)) == (half, parts, twice)


def test_what_may_have_run_already_is_not_put_in(loaded_module: Path) -> None:
    place: Place = (str(loaded_module), _line("def one"))
    data = loaded_module.parent / "ropes.toml"
    loaded = Loaded(loaded_module.parent, ran={place}, opened={str(data)})
    assert not loaded.as_if_new(loaded_module.name, _line("def one"))
    assert not loaded.as_if_new(
        loaded_module.name, _line("def parts")
    )  # the nested function is a part of it
    assert loaded.as_if_new(loaded_module.name, _line("def twice"))
    assert not loaded.as_if_new(loaded_module.name, 0)  # what stands outside of any function
    assert not loaded.as_if_new(data.name, 1)
    assert loaded.as_if_new("straps.toml", 1)


def test_how_a_fork_ends() -> None:
    def endless(_: Chosen) -> int:
        while True:
            pass

    def broken(_: Chosen) -> int:
        raise ValueError("by itself")

    assert in_a_fork(lambda _: 7, [], 1.0, 5.0).code == 7
    assert in_a_fork(endless, [], 1.0, 1.0).code is None
    ended = in_a_fork(broken, [], 1.0, 5.0)
    assert ended.code == BROKEN
    assert ended.how.endswith("ValueError: by itself\n")


def test_the_report_counts_what_reading_came_to(monkeypatch: pytest.MonkeyPatch) -> None:
    def verdict(line: int, by: str) -> Verdict:
        return Verdict("gear", "a.py", line, 0, "a number shifted", "1 -> 2", by, "", 3, 0.1)

    def reason(line: int, came_to: str) -> report.Reason:
        return report.Reason("a.py", line, "1 -> 2", came_to, "because")

    words = ("equivalent", "looser", "test added", "slower test", "own choice", "open")
    monkeypatch.setattr(report, "reasons", lambda: [reason(n, w) for n, w in enumerate(words, 1)])
    verdicts = [verdict(0, "tests/x.py::test_a"), *(verdict(n, "") for n in range(1, 8))]
    text = report.markdown(verdicts, 1)
    assert "Of 8 the tests noticed 1; 2 of the others change no answer, 1 are noticed" in text
    assert "50.0% of those that change an answer" in text
    assert text.count("**not read yet**") == 1
    assert "| gear | " in text
    assert "| 8 | 1 | 0 | 2 | 2 | 1 | 2 |" in text
