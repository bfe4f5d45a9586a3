"""Programs that read answers get what `bankhaul schema --answers` says, key by key.

The schema is read by jsonschema, which knows nothing of this program.
"""

import json
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator

from optimiser.cli import cli
from optimiser.commands.reference.schema import COMMANDS
from optimiser.telling.fields import answers
from tests.lower.slope_site import site_text
from tests.uncertainty.straight import text

HEAVY = text(weight="9000 kg")
"""Nothing pulls that."""
RUNS: dict[str, tuple[list[str], str | None]] = {
    "rank": (["rank", "-"], text()),
    "rank, nothing works": (["rank", "-"], HEAVY),
    "rank, the rules": (["rank", "--rules"], None),
    "show": (["show", "-", "1"], text()),
    "show, a pull was read": (["show", "examples/read-pull.toml"], None),
    "show, with a steering line": (["show", "examples/side-tree.toml", "--hold"], None),
    "show, measured": (["show", "examples/dinghy.toml"], None),
    "stages": (["stages", "-"], text()),
    "stages, nothing works": (["stages", "-"], HEAVY),
    "buy": (["buy", "-", "--stages", "1"], text()),
    "buy, one option": (["buy", "-", "--stages", "1", "--show", "1"], text()),
    "buy, both ways": (["buy", "-", "--both", "--stages", "1"], site_text(0.6, "0.03")),
    "buy, both ways, one option": (
        ["buy", "-", "--both", "--stages", "1", "--show", "1"],
        site_text(0.6, "0.03"),
    ),
    "lower": (["lower", "-"], text()),
    "lower, one hold": (["lower", "examples/sledge.toml", "--show", "1"], None),
    "lever": (["lever"], None),
    "why": (["why", "-"], text()),
    "why, nothing works": (["why", "-"], HEAVY),
    "sweep": (
        ["sweep", "-", "load.weight=300..9000 kg", "--steps", "2", "--processes", "1"],
        text(),
    ),
    "check": (["check", "-"], text()),
    "check, a pull was read": (["check", "examples/read-pull.toml"], None),
    "check, measured": (["check", "examples/dinghy.toml"], None),
    "gear": (["gear", "log"], None),
    "gear, a knot": (["gear", "bowline"], None),
    "words": (["words"], None),
}


OPTIONAL = frozenset({"left_open", "next", "trips", "force_N", "moment_Nm"})
"""Keys that not every object of a kind has."""


@cache
def answer(name: str) -> Any:
    words, site = RUNS[name]
    done = CliRunner().invoke(cli, [*words, "--format", "json"], input=site)
    assert done.exit_code in (0, 3), done.output
    return json.loads(done.stdout)


@cache
def printed(command: str) -> dict[str, Any]:
    done = CliRunner().invoke(cli, ["schema", "--answers", command])
    assert done.exit_code == 0
    found: dict[str, Any] = json.loads(done.stdout)
    Draft202012Validator.check_schema(found)
    return found


def reader(name: str) -> Draft202012Validator:
    return Draft202012Validator(printed(RUNS[name][0][0]))


@pytest.mark.parametrize("name", RUNS)
def test_every_answer_is_as_its_schema_says(name: str) -> None:
    assert [error.message for error in reader(name).iter_errors(answer(name))] == []


@pytest.mark.parametrize("name", ["rank", "show", "lever", "check", "words"])
def test_a_key_that_is_missing_or_of_the_wrong_type_is_noticed(name: str) -> None:
    """Every required key of the first of each kind of object, one at a time."""
    whole, found = short(answer(name)), reader(name)
    assert found.is_valid(whole)
    tried = 0
    for path in places(whole):
        for spoil in (removed, mistyped):
            spoilt = deepcopy(whole)
            spoil(spoilt, path)
            assert not found.is_valid(spoilt), (spoil.__name__, path)
            tried += 1
    assert tried > 2


def short(value: Any) -> Any:
    """The answer with one entry in each of its lists."""
    if isinstance(value, dict):
        return {key: short(item) for key, item in value.items()}
    return [short(item) for item in value[:1]] if isinstance(value, list) else value


def places(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every key of the answer, of lists the first entry's."""
    if isinstance(value, dict):
        for key, item in value.items():
            if key not in OPTIONAL and not key.startswith("Understood: "):
                yield (*path, key)
            yield from places(item, (*path, key))
    elif isinstance(value, list) and value:
        yield from places(value[0], (*path, 0))


def removed(whole: Any, path: tuple[str | int, ...]) -> None:
    del holder(whole, path)[path[-1]]


def mistyped(whole: Any, path: tuple[str | int, ...]) -> None:
    holder(whole, path)[path[-1]] = {"no": "such thing"}


def holder(whole: Any, path: tuple[str | int, ...]) -> Any:
    for key in path[:-1]:
        whole = whole[key]
    return whole


@pytest.mark.parametrize("command", COMMANDS)
def test_every_key_is_described_and_every_number_has_a_unit(command: str) -> None:
    objects = printed(command)["$defs"]
    assert objects
    for name, found in objects.items():
        assert found["description"], name
        keys = found["properties"] | found.get("patternProperties", {})
        for key, described in keys.items():
            assert described["description"], (name, key)
            for kind in kinds(described):
                if {"number", "integer"} & set(listed(kind)):
                    assert kind["unit"], (name, key)


def listed(kind: dict[str, Any]) -> list[str]:
    found = kind.get("type", [])
    return found if isinstance(found, list) else [found]


def kinds(described: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """A kind of value, and what lists and maps have in them."""
    yield described
    for key in ("items", "additionalProperties"):
        if isinstance(described.get(key), dict):
            yield from kinds(described[key])


def test_a_unit_in_a_keys_name_is_the_one_that_is_stated() -> None:
    keys = {
        key: one
        for found in printed("show")["$defs"].values()
        for key, one in found["properties"].items()
    }

    assert keys["pull_N"]["unit"] == "N"
    assert keys["rope_needed_m"]["unit"] == "m"
    assert keys["slope_rad"]["unit"] == "rad"
    assert keys["margin"]["unit"] == "1"


def test_two_kinds_of_object_never_have_one_name() -> None:
    """Else one of them would be missing in the schema."""
    for command in COMMANDS:
        named: dict[str, set[int]] = {}
        for name, record in answers.described(command):
            named.setdefault(name, set()).add(id(record))
        assert {name for name, records in named.items() if len(records) > 1} == set()


def test_the_commands_are_those_that_print_json() -> None:
    options = {
        name
        for name in cli.list_commands(cli.make_context("bankhaul", [], resilient_parsing=True))
        for option in cli.get_command(
            cli.make_context("bankhaul", [], resilient_parsing=True), name
        ).params  # type: ignore[union-attr]
        if option.name == "form"
    }

    assert set(COMMANDS) == options == set(answers.COMMANDS)
