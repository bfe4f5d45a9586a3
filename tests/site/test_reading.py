"""Sites that ship read without a fault; arbitrary documents never lead to a traceback."""

import io
import re
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.site.document.quantity import Corner
from optimiser.site.document.site import site_schema
from optimiser.site.reading import (
    demonstration_text,
    measured_starter_text,
    read_document,
    read_site,
    site_from_document,
    starter_text,
)
from shared.errors import Fault, InputError
from tests.site.small import SMALL

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
TEXTS = [
    starter_text(),
    measured_starter_text(),
    demonstration_text(),
    SMALL,
    *(path.read_text() for path in EXAMPLES),
]


def test_there_are_four_examples() -> None:
    """Each of them is read by the next test."""
    assert len(EXAMPLES) >= 4


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("corner", ["worst", "best", "stated"])
def test_what_ships_reads_without_a_fault(text: str, corner: Corner) -> None:
    """Starter, demonstration and examples, at every corner."""
    site = site_from_document(read_document(text), corner)

    assert site.title
    assert site.gear


def test_what_the_starter_leaves_in_comments_reads_too() -> None:
    """A user who takes the mark from an offered line gets a file that still reads."""
    text = starter_text()
    offered = re.sub(r"(?m)^# (?=\[\[|\w+ = )", "", text).replace('girth = "1 m"', 'girth = "1 m"')
    site = read_site(offered)

    assert {anchor.name for anchor in site.anchors} >= {"gate post"}
    assert [obstacle.name for obstacle in site.obstacles] == ["stump"]
    assert site.legs[1].step == pytest.approx(0.06)
    assert site.legs[0].apparent == pytest.approx(0.5)


def test_standard_input_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """`-` stands for it."""
    stream = io.TextIOWrapper(io.BytesIO(SMALL.encode()))
    monkeypatch.setattr(sys, "stdin", stream)

    assert read_site("-") == read_site(SMALL)


def test_a_byte_order_mark_and_other_line_ends_do_no_harm(tmp_path: Path) -> None:
    """As some editors write them."""
    file = tmp_path / "site.toml"
    file.write_bytes(b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode())

    assert read_site(file) == read_site(SMALL)


@pytest.mark.parametrize("text", TEXTS)
def test_the_schema_accepts_what_reads(text: str) -> None:
    """Editors that check by the schema find no fault in a sound file."""
    schema = site_schema()

    assert list(_against(read_document(text).raw, schema, schema)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('weight = "260 kg"', 'wieght = "260 kg"'),
        ('weight = "260 kg"', "weight = 260"),
        ("polyester-14", "polyster-14"),
        ('kind = "vehicle"', 'kind = "vehical"'),
        ("oak-european", "oak-europaen"),
        ('name = "oak"', 'name = ""'),
    ],
)
def test_the_schema_refuses_what_does_not_read(old: str, new: str) -> None:
    """The schema is not so loose that an editor would keep silent."""
    import tomllib

    schema = site_schema()
    raw = tomllib.loads(SMALL.replace(old, new, 1))

    assert list(_against(raw, schema, schema))


def test_the_schema_explains_every_key() -> None:
    """Each key of each table has a text that an editor shows."""
    for name, table in site_schema()["$defs"].items():
        for key, entry in table.get("properties", {}).items():
            assert entry.get("description") or "const" in entry, f"{name}.{key}"


SCRAPS: st.SearchStrategy[Any] = st.recursive(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(-(10**20), 10**20),
        st.floats(),
        st.sampled_from(
            ["oak", "3 m", "1..2 kg", "unknown", "vehicle", "grass", "", "load", "\x07"]
        ),
        st.text(max_size=8),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(
            st.sampled_from(["name", "at", "kind", "id", "leg", "to", "hitch", "weight"]),
            inner,
            max_size=4,
        ),
    ),
    max_leaves=8,
)
KEYS = [
    "load",
    "load.weight",
    "load.hitch",
    "load.hitch[1].name",
    "path",
    "path.start",
    "path.leg[1]",
    "path.leg[1].to",
    "path.leg[2].surface",
    "tree",
    "tree[1]",
    "tree[2].strap_highest",
    "anchor[1].rating",
    "obstacle",
    "puller[1].kind",
    "puller[2].anchor",
    "puller[3]",
    "gear",
    "gear[1].ends",
    "gear[3].kind",
    "gear[2]",
    "preferences",
    "preferences.knots",
    "nonsense",
]


@settings(deadline=None)
@given(st.dictionaries(st.sampled_from(KEYS), SCRAPS, min_size=1, max_size=3))
def test_arbitrary_values_in_a_sound_document_are_reported_not_thrown(
    scraps: dict[str, Any],
) -> None:
    """Whatever stands in place of a value: a site, or an InputError with a place in each fault."""
    import tomllib

    raw = tomllib.loads(SMALL)
    for key, value in scraps.items():
        _put(raw, re.findall(r"[a-z_]+|\d+", key), _without_none(value))
    text = _toml(raw)
    faults = _faults(text)
    assert all("\n" not in fault.message for fault in faults)


@settings(deadline=None)
@given(st.text(max_size=200).map(lambda text: text + "\n"))
def test_arbitrary_text_is_reported_not_thrown(text: str) -> None:
    """Noise is no site."""
    with pytest.raises(InputError):
        read_site(text)


@settings(deadline=None)
@given(
    st.integers(0, len(SMALL) - 1), st.integers(0, 40), st.sampled_from(["", '"', "[", "=", "é"])
)
def test_a_damaged_file_is_reported_not_thrown(start: int, length: int, scrap: str) -> None:
    """A piece cut out or a character put in, anywhere."""
    faults = _faults(SMALL[:start] + scrap + SMALL[start + length :] + "\n")
    assert all(fault.message for fault in faults)


def _faults(text: str) -> tuple[Fault, ...]:
    try:
        read_site(text)
    except InputError as error:
        return error.faults or (Fault(place="", message=""),)
    return ()


def _without_none(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_none(inner) for key, inner in value.items() if inner is not None}
    if isinstance(value, list):
        return [_without_none(inner) for inner in value if inner is not None]
    return 0 if value is None else value


def _put(raw: Any, steps: list[str], value: Any) -> None:
    for number, step in enumerate(steps):
        place: Any = int(step) - 1 if step.isdigit() else step
        if isinstance(raw, list) != isinstance(place, int) or not isinstance(raw, dict | list):
            return
        if isinstance(place, int) and place >= len(raw):
            return
        if number == len(steps) - 1:
            raw[place] = value
        elif isinstance(raw, dict) and place not in raw:
            return
        else:
            raw = raw[place]


def _toml(raw: Mapping[str, Any]) -> str:
    return "\n".join(f"{key} = {_value(value)}" for key, value in raw.items()) + "\n"


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}" = {_value(inner)}' for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(_value(inner) for inner in value) + "]"
    if isinstance(value, str):
        return '"' + "".join(_escaped(char) for char in value) + '"'
    return str(value)


def _escaped(char: str) -> str:
    if char in '"\\' or ord(char) < 32 or ord(char) == 127:
        return f"\\u{ord(char):04x}"
    return "?" if 0xD800 <= ord(char) <= 0xDFFF else char


def _against(value: Any, rule: Mapping[str, Any], schema: Mapping[str, Any]) -> list[str]:
    """Faults of a value by as much of JSON Schema as the site's schema uses."""
    if "$ref" in rule:
        target = schema["$defs"][rule["$ref"].rsplit("/", 1)[1]]
        return _against(value, target, schema)
    for word in ("anyOf", "oneOf"):
        if word in rule:
            fits = sum(not _against(value, option, schema) for option in rule[word])
            return [] if fits == 1 or (fits and word == "anyOf") else [f"{word}: {fits} fit"]
    faults: list[str] = []
    types = {"string": str, "object": dict, "array": list, "boolean": bool, "null": type(None)}
    kind = rule.get("type")
    if kind == "integer" and type(value) is not int:
        return [f"{value!r} is no integer"]
    if kind == "number" and type(value) not in (int, float):
        return [f"{value!r} is no number"]
    if kind in types and not isinstance(value, types[kind]):
        return [f"{value!r} is no {kind}"]
    if "const" in rule and value != rule["const"]:
        faults.append(f"{value!r} is not {rule['const']!r}")
    if "enum" in rule and value not in rule["enum"]:
        faults.append(f"{value!r} is none of the words")
    if isinstance(value, str) and len(value) < rule.get("minLength", 0):
        faults.append("too short")
    if isinstance(value, list):
        if len(value) < rule.get("minItems", 0):
            faults.append("too few")
        for item in value:
            faults += _against(item, rule.get("items", {}), schema)
    if isinstance(value, dict):
        properties = rule.get("properties", {})
        faults += [f"missing {key}" for key in rule.get("required", []) if key not in value]
        for key, inner in value.items():
            if key not in properties and rule.get("additionalProperties") is False:
                faults.append(f"unknown {key}")
            faults += _against(inner, properties.get(key, {}), schema)
    return faults
