"""The machine that makes faults: what it changes by hand, and that every change is still a program."""

import ast
import tomllib

import pytest

from tests.mutation.faults import ROOT
from tests.mutation.machine.areas import AREAS, sample
from tests.mutation.machine.edits import edits

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


@pytest.mark.parametrize("area", AREAS)
def test_every_change_is_still_a_program(area: str) -> None:
    listed = sample(area, 7)
    assert listed == sample(area, 7)
    for edit in listed[:60]:
        changed = edit.applied((ROOT / edit.file).read_text(encoding="utf-8"))
        (tomllib.loads if edit.file.endswith(".toml") else ast.parse)(changed)
