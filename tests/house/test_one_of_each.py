"""Each idea that every kind of rig shares stands in one place of the optimiser.

The independent re-check has its own of each, written anew; so has the enumeration in the tests.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.house.imports import ROOT

HERE = ROOT / "optimiser"
PROOF = HERE / "proof"

DEFINED = {
    "list of the pieces a rig loads": ("loads", "rig/gear/assign.py"),
    "slots that pieces fill": ("open_slots", "rig/gear/loads.py"),
    "shackles that a rig takes": ("shackles_wanted", "rig/gear/fill.py"),
    "what fails in a state, and by how much": ("amount", "rig/forces/verdict.py"),
    "demand on an anchor": ("anchor_demand", "rig/forces/evaluation.py"),
    "margin of anchors": ("anchor_margin", "rig/forces/evaluation.py"),
    "margin of the puller": ("puller_margin", "rig/forces/evaluation.py"),
    "tension along a rope": ("along_rope", "mechanics/line/tackle.py"),
    "strap that goes round a trunk": ("least_length", "mechanics/hardware/strap.py"),
}
"""By idea: the function that is it, and where it stands."""

CALLED = {
    "the constraint solver, for a filling": ("assign.best", {"rig/gear/filler.py"}),
    "matchings, for a filling": ("fill", {"rig/gear/filler.py"}),
    "efficiencies multiplied up": ("cumprod", set()),
    "a force resolved in plan": ("hypot", {"rig/ground/pulling.py"}),
    "length of the widest basket": ("basket_length", {"mechanics/hardware/strap.py"}),
}
"""By idea: what is called for it, and the only modules of these rooms that may: beside them there would be a
second copy."""
ROOMS = {
    "a force resolved in plan": ("rig/forces", "rig/two_ropes", "rig/gear", "rig/ground/pulling.py")
}
"""Where an idea is looked for; everywhere if left out."""


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(HERE.rglob("*.py")):
        if PROOF not in path.parents:
            text = path.read_text(encoding="utf-8")
            yield path.relative_to(HERE).as_posix(), ast.parse(text)


def called(node: ast.Call) -> str:
    """The name that is called, with that of its module where it is called through one."""
    match node.func:
        case ast.Name(id=name):
            return name
        case ast.Attribute(value=ast.Name(id=of), attr=name):
            return f"{of}.{name}"
        case _:
            return ""


@pytest.mark.parametrize("idea", DEFINED)
def test_an_idea_is_defined_once(idea: str) -> None:
    name, home = DEFINED[idea]
    found = [
        where
        for where, tree in modules()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef) and node.name == name and not _only_named(node)
    ]

    assert found == [home]


def _only_named(node: ast.FunctionDef) -> bool:
    """Whether a function has no body of its own: it only says what others have."""
    return len(node.body) == 1 and ast.unparse(node.body[0]) == "..."


@pytest.mark.parametrize("idea", CALLED)
def test_nobody_else_does_the_same_by_hand(idea: str) -> None:
    name, homes = CALLED[idea]
    found = {
        where
        for where, tree in modules()
        if where.startswith(ROOMS.get(idea, ""))
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and called(node) in {name, f"np.{name}", f"math.{name}"}
    }

    assert found == homes


def test_there_is_something_to_look_at() -> None:
    assert len(list(modules())) > 200
    assert Path(PROOF / "pieces" / "strength.py").exists()
