"""Imperial answers have nothing metric in them: every command's, on a site written in feet and pounds."""

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser import cli
from optimiser.rig.notation import parse_reeving
from optimiser.rig.walk import LOAD, Place, PlaceKind, notation
from optimiser.site.reading import demonstration_text, read_site
from shared.reworded import _IN_WORDS, _OTHERS, reworded
from tests.long import rare
from tests.site.small import SMALL
from tests.words.imperial import imperial, metric_in

EXAMPLES = Path(__file__).parents[2] / "examples"
DEMONSTRATION = imperial(demonstration_text())
HEAVY = imperial(SMALL.replace('"260 kg"', '"6000 kg"'))
SHORT = imperial(demonstration_text().replace('length = "78 m"', 'length = "20 m"'))
MISREAD = imperial((EXAMPLES / "misread-tape.toml").read_text(encoding="utf-8"))
ODD = imperial(SMALL.replace('"260 kg"', '"260 N"'))
REEVING = "load > near pine@1 m > load > young ash@0.75 m > small tractor"
WRONG = "load > sycamore@20 ft > load > near pine@1 m > small tractor"
FAILS = "load > sycamore@0.4 m > small tractor"

PRICES = Path(__file__).parent / "prices.toml"

REQUESTS = [
    ("rank", DEMONSTRATION, ["--samples", "200"]),
    ("rank", DEMONSTRATION, ["--format", "markdown"]),
    ("show", DEMONSTRATION, ["1"]),
    ("stages", DEMONSTRATION, []),
    ("buy", DEMONSTRATION, ["--time-limit", "5"]),
    ("lower", DEMONSTRATION, []),
    ("why", DEMONSTRATION, []),
    ("why", DEMONSTRATION, [REEVING]),
    ("why", DEMONSTRATION, [FAILS]),
    ("why", DEMONSTRATION, [WRONG]),
    ("sweep", imperial(SMALL), ["load.weight=400..700 lb", "--steps", "3"]),
    ("check", DEMONSTRATION, []),
    ("check", ODD, []),
    ("check", MISREAD, []),
    ("lever", DEMONSTRATION, []),
    ("rank", HEAVY, []),
    ("show", HEAVY, ["1"]),
    ("stages", HEAVY, []),
    ("buy", SHORT, ["--only-my-list", "--prices", str(PRICES), "--stages", "1"]),
    ("buy", SHORT, ["--only-my-list", "--prices", str(PRICES), "--stages", "1", "--show", "1"]),
    ("lower", HEAVY, []),
]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Any:
    """Runs a command on a site file: standard output and error together."""

    def answer(command: str, text: str, options: list[str]) -> str:
        site = tmp_path / "site.toml"
        site.write_text(text, encoding="utf-8")
        cli.main([command, str(site), *options])
        out, err = capsys.readouterr()
        return str(out + err)

    return answer


ALIKE = [("show", HEAVY, ["1"]), ("stages", HEAVY, []), REQUESTS[18]]
"""Where nothing works `show` and `stages` print what `rank` does; of a purchase the last has all."""


@pytest.mark.parametrize(
    ("command", "text", "options"),
    [pytest.param(*one, marks=[rare] * (one in ALIKE)) for one in REQUESTS],
)
def test_no_command_prints_anything_metric(
    command: str, text: str, options: list[str], run: Any
) -> None:
    """Names of gear, reevings, cautions, what figures come from, near misses and cures included."""
    printed = run(command, text, options)

    assert re.search(r"\d (?:ft|in|lb|lbf)\b", printed)
    # what the site file itself says is quoted as it stands there
    quoted = [line for line in metric_in(printed) if "meant so?" not in line]
    assert quoted == []


def test_nor_does_a_sheet(tmp_path: Path) -> None:
    """Its text and the texts of its pictures."""
    site, page = tmp_path / "site.toml", tmp_path / "sheet.html"
    site.write_text(DEMONSTRATION, encoding="utf-8")
    cli.main(["sheet", str(site), "-o", str(page)])
    body = re.sub(r"<style.*?</style>", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    printed = "\n".join(unescape(text) for text in re.findall(r">([^<]+)<", body))

    assert re.search(r"\d (?:ft|in|lbf)\b", printed)
    assert metric_in(printed) == []


def test_nor_does_the_list_of_gear(capsys: pytest.CaptureFixture[str]) -> None:
    """All of the catalogue, but for the ids that site files use."""
    cli.main(["gear", "--units", "imperial", "--format", "markdown"])
    printed = capsys.readouterr().out

    assert re.search(r"rope, three-strand, 1/2 in \(nominal\)", printed)
    assert "bow shackle 1/2 in" in printed
    ids = {row["id"] for row in _gear(capsys)}
    words = [[word for word in line.split() if word not in ids] for line in printed.splitlines()]
    assert metric_in("\n".join(map(" ".join, words))) == []


def _gear(capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    cli.main(["gear", "--format", "json"])
    found: list[dict[str, Any]] = json.loads(capsys.readouterr().out)
    return found


@pytest.mark.parametrize("words", ["rank --top 3", "check", "lever"])
def test_json_has_the_same_keys_and_si_values(words: str, run: Any) -> None:
    """Only texts and the units' own name differ from those of the same site in metric units."""
    command, *options = [*words.split(), "--format", "json"]
    ours = _numbers(json.loads(run(command, DEMONSTRATION, options)))
    theirs = _numbers(json.loads(run(command, demonstration_text(), options)))

    found, expected = dict(ours), dict(theirs)
    assert found.keys() == expected.keys()
    assert found == pytest.approx(expected, rel=1e-6, abs=1e-9, nan_ok=True)


def _numbers(value: Any, place: str = "") -> Iterator[tuple[str, float]]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _numbers(item, f"{place}.{key}")
    elif isinstance(value, list):
        for number, item in enumerate(value):
            yield from _numbers(item, f"{place}[{number}]")
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        yield place, value


def test_names_that_the_site_gives_stay(run: Any) -> None:
    """ "12 m line" is what its owner calls it; what the catalogue calls it is put into inches."""
    printed = run("check", DEMONSTRATION.replace('"long rope"', '"12 m line"'), [])

    (line,) = [line for line in printed.splitlines() if "12 m line" in line]
    assert "three-strand, 0.47 in" in line


@given(st.integers(400, 1600))
def test_a_reeving_is_read_back_to_the_same_places(millimetres: int) -> None:
    """Whatever the strap's height: feet with three decimals are finer than what tells places apart."""
    site = read_site()
    near = Place(PlaceKind.ANCHOR, "near pine", millimetres / 1000)
    far = Place(PlaceKind.ANCHOR, "far pine", 1.0)
    walk = (LOAD, near, LOAD, far, Place(PlaceKind.PULLER, "small tractor"))
    shown = reworded(notation(walk), "imperial")

    assert not metric_in(shown)
    again = parse_reeving(shown, site)
    assert [p.name for p in again] == [p.name for p in walk]
    assert [p.height for p in again] == pytest.approx([p.height for p in walk], abs=2e-4)


@pytest.mark.parametrize(
    ("metric", "shown"),
    [
        ("snatch block, 100 mm sheave", "snatch block, 3.94 in sheave"),
        ("mat, 1.5 x 3 m folded", "mat, 4 ft 11 in x 9 ft 10 in folded"),
        ("as much as 10 kg falling", "as much as 22 lb falling"),
        ("40 to 60 kN", "8992 to 13489 lbf"),
        ("(4 mm per m of a bar)", "(0.048 in per ft of a bar)"),
        ("0.001043 m³", "63.6 in³"),
        ("sling-60-3m, leg 2, 3 resets", "sling-60-3m, leg 2, 3 resets"),
        ("wheels of 10 cm to 1.5 m", "wheels of 3.94 in to 4 ft 11 in"),
    ],
)  # fmt: skip
def test_quantities_in_prose(metric: str, shown: str) -> None:
    """Each number gets its unit; ids and plain numbers stay."""
    assert reworded(metric, "imperial") == shown
    assert reworded(metric, "metric") == metric


def test_factors_are_those_of_a_general_units_library() -> None:
    """pint's own registry knows the pound, the foot and standard gravity by itself."""
    registry: Any = pint.UnitRegistry()
    ours = {
        "lbf·ft": "lbf * ft",
        "ft·lbf": "ft * lbf",
        "lbf·ft/lb": "lbf * ft / lb",
        "miles": "mile",
    }
    ours |= {"oz": "ounce", "t": "tonne", "kg/m3": "kg / m**3"}
    for unit, (name, factor) in _OTHERS.items():
        plain = (
            ours.get(u, u).replace("·", " * ").replace("³", "**3").replace("²", "**2")
            for u in (unit, name)
        )
        theirs, other = plain
        assert registry.Quantity(1.0, theirs).to(other).magnitude == pytest.approx(
            factor, rel=1e-9
        ), unit
    assert not any(metric_in(word) for word in _IN_WORDS.values())
