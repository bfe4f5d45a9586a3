"""The map in DEVELOPERS.md is the house as it stands: nine rooms, imports one way, no circles."""

import re
from collections.abc import Iterator
from math import ceil
from pathlib import Path

import networkx as nx
import pytest

from tests.house.imports import ROOT, TOPS, graph, modules, room

MAP = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
ORDER = ("commands", "telling", "sheet", "jobs", "search", "proof", "rig", "site", "mechanics")
"""From the top down; `search` and `proof` stand side by side."""
MOST_IN_A_ROOM = 17
"""Modules beside each other without a corner of their own."""

ALIKE = {
    "a command, how its answer is printed, and what works it out": (
        "buy lever lower ranges rank stages sweep why"
    ),
    "what a job is answered with, by its folder": "answer build cautions ranked results words",
    "the same step for one rope and for tackle on tackle": "evaluate variants",
    "tackle on tackle, in the room that the folder says": "two_ropes",
    "a part of a site, and its keys in the file": "anchors",
    "the same rules by the same names": "rules",
    "a pull that was read: its keys in the file, its formulas, how it is printed": "pulled",
    "what was read and what it comes to, of places and of pulls": "outcome placing readings",
    "the same question, answered anew by the re-check": "pulling room",
}
"""Why modules in several folders may have one name: they do the same for what their folder is about."""


def files_of(top: str) -> Iterator[Path]:
    return (path for path in (ROOT / top).rglob("*") if path.is_file())


def rows() -> dict[str, tuple[set[str], set[str]]]:
    """By room: its corners, and the rooms it imports, as the map says."""
    found = {}
    for line in MAP.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")]
        if line.startswith("| `") and len(cells) == 4 and cells[0].strip("`/") in ORDER:
            corners, imports = (set(re.findall(r"`([a-z_]+)/?`", cell)) for cell in cells[2:])
            found[cells[0].strip("`/")] = (corners, imports)
    return found


def test_the_map_has_every_room_from_the_top_down() -> None:
    assert tuple(rows()) == ORDER


@pytest.mark.parametrize("name", ORDER)
def test_the_corners_of_a_room_are_its_folders(name: str) -> None:
    inside = (ROOT / "optimiser" / name).iterdir()
    folders = {p.name for p in inside if p.is_dir() and (p / "__init__.py").exists()}
    assert rows()[name][0] == folders


@pytest.mark.parametrize("name", ORDER)
def test_a_room_imports_the_rooms_that_the_map_says(name: str) -> None:
    seen = {room(b) for a, b in graph().edges if room(a) == name and room(b) in ORDER} - {name}
    assert rows()[name][1] == seen


def test_each_room_imports_only_what_stands_below_it() -> None:
    level = {name: i for i, name in enumerate(ORDER)}
    level["proof"] = level["search"]
    wrong = [
        (a, b)
        for a, b in graph().edges
        if {room(a), room(b)} <= set(ORDER)
        and room(a) != room(b)
        and level[room(a)] >= level[room(b)]
    ]
    assert wrong == []


def test_no_modules_import_each_other_in_a_circle() -> None:
    """Imports inside functions and for types counted."""
    circles = [sorted(c) for c in nx.strongly_connected_components(graph()) if len(c) > 1]
    assert circles == []


def test_nothing_is_loose_on_the_first_floor() -> None:
    loose = {room(name) for name in modules() if room(name)} - set(ORDER)
    assert loose == {"cli", "__main__"}


@pytest.mark.parametrize(
    "name", sorted({str(p.parent.relative_to(ROOT)) for p in modules().values()})
)
def test_a_folder_states_what_it_contains_and_is_no_crowd(name: str) -> None:
    folder = ROOT / name
    text = (folder / "__init__.py").read_text(encoding="utf-8").lstrip()
    assert text.startswith('"""')
    inside = [path for path in folder.glob("*.py") if not path.name.startswith("__")]
    assert len(inside) <= MOST_IN_A_ROOM, [path.name for path in inside]


def test_modules_of_one_name_do_the_same_thing() -> None:
    """A name seen in a trace or a search says what the module does without its folder."""
    names = [path.stem for name, path in modules().items() if room(name) in ORDER]
    twice = {name for name in names if names.count(name) > 1} - {"__init__"}
    assert twice == {name for alike in ALIKE.values() for name in alike.split()}


def test_the_architecture_fits_a_page() -> None:
    """Sixty lines of a hundred characters."""
    page = MAP.split("## The architecture on one page")[1].split("\n## ")[0]
    assert sum(max(1, ceil(len(line) / 100)) for line in page.splitlines()) <= 60


def test_every_file_that_the_map_names_is_there() -> None:
    files = [str(path.relative_to(ROOT)) for top in (*TOPS, "tests") for path in files_of(top)]
    named = set(re.findall(r"`((?:\w+/)+\w+\.(?:py|toml|txt))`", MAP))
    assert len(named) > 20
    lost = [name for name in named if not any(f"/{f}".endswith(f"/{name}") for f in files)]
    assert lost == []


def test_a_name_of_an_array_stands_in_one_place() -> None:
    """What an array's axes are is said once, beside its name."""
    homes: dict[str, list[Path]] = {}
    for path in modules().values():
        for alias in re.findall(
            r"^(Array|Mask|Numbers) = ", path.read_text(encoding="utf-8"), re.M
        ):
            homes.setdefault(alias, []).append(path.relative_to(ROOT))
    assert {alias: len(where) for alias, where in homes.items()} == {
        "Array": 1,
        "Mask": 1,
        "Numbers": 1,
    }


def test_nothing_is_kept_by_the_number_of_an_object() -> None:
    """`id()` of something that is gone may be another's."""
    wrong = [
        str(path.relative_to(ROOT))
        for path in modules().values()
        if re.search(r"(?<![\w.])id\(", path.read_text(encoding="utf-8"))
        or "__dict__" in path.read_text(encoding="utf-8")
    ]
    assert wrong == []
