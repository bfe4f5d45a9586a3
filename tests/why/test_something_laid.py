"""The steep-then-level bank through the commands: what somebody has to lay on the edge, and what it brings.
Each cure is taken as it stands, and the site then has the answer that was promised."""

import re
from typing import Any

import pytest

from tests.long import long
from tests.piped import answered

CREST = (6.0**2 + 4.0**2) ** 0.5
"""m along the path, of a leg that goes 6 m and rises 4 m."""
SHARP = ((6, 4), (8, 4))
ROUND = ((4, 4), (6, 5), (9, 5))
GEAR = """
[[gear]]
id = "polyester-14"
name = "main rope"
length = "70 m"
ends = ["eye-splice", "bare"]
condition = "good"
[[gear]]
id = "snatch-100-bronze"
count = 3
condition = "good"
[[gear]]
id = "shackle-13"
count = 5
condition = "good"
[[gear]]
id = "sling-60-3m"
count = 3
condition = "good"
"""


def bank(
    path: tuple[tuple[float, float], ...] = SHARP, weight: int = 180, more: str = "",
    margin: float = 1.0,
) -> str:  # fmt: skip
    """A trough on skids, an oak and six people back from the crest."""
    legs = "".join(
        f'[[path.leg]]\nto = ["{x} m", "0 m", "{z} m"]\nsurface = "grass-sliding"\n'
        for x, z in path
    )
    z = path[-1][1]
    return f"""
title = "Steep then level"
[path]
start = ["0 m", "0 m", "0 m"]
{legs}
[load]
name = "trough"
weight = "{weight} kg"
rests_on = "skids"
length = "1.4 m"
overhang = "0.7 m"
[[load.hitch]]
name = "eye"
ahead = "0.7 m"
left = "0 m"
height = "0.25 m"
rating = "20 kN"
eye = "30 mm"
[[tree]]
name = "oak"
at = ["16 m", "0.5 m", "{z} m"]
diameter = "45 cm"
species = "oak-bur"
strap_lowest = "0.2 m"
strap_highest = "1.5 m"
[[puller]]
kind = "people"
name = "six of us"
count = 6
footing = "grass"
at = ["15 m", "3 m", "{z} m"]
towards = ["11 m", "13 m", "{z} m"]
run = "10 m"
{GEAR}{more}
[preferences]
margin_wanted = {margin}
knots = ["bowline", "round-turn-two-half-hitches"]
"""


def piece(id: str, count: int = 1, length: str = "") -> str:
    long = f'length = "{length}"\n' if length else ""
    return f'[[gear]]\nid = "{id}"\ncount = {count}\n{long}'


def first_miss(text: str) -> dict[str, Any]:
    _, answer = answered(text, "rank")
    assert answer["setups"] == []
    found: dict[str, Any] = answer["misses"][0]
    return found


def same_setup(text: str, reeving: list[str]) -> dict[str, Any]:
    found = [
        s for s in answered(text, "rank", "--top", "10")[1]["setups"] if s["reeving"] == reeving
    ]
    assert len(found) == 1
    setup: dict[str, Any] = found[0]
    return setup


def margin_in(text: str) -> float:
    found = re.search(r"margin ([\d.]+)", text)
    assert found, text
    return float(found[1])


def test_the_steep_then_level_bank_takes_a_log_on_the_crest() -> None:
    miss = first_miss(bank())

    cure = miss["change"]["text"]
    assert f"meets the ground at {CREST:.2f} m of the path" in miss["text"]
    assert (
        f"lay a log of 20 cm with its bark on, cut on the spot, on the edge at {CREST:.2f} m"
        in cure
    )
    assert 'id = "log-bark-20"' in cure

    setup = same_setup(bank(more=piece("log-bark-20")), miss["reeving"])
    assert margin_in(cure) == pytest.approx(setup["margin"], abs=0.01)
    assert margin_in(cure) <= setup["margin"] + 1e-9
    assert {c["friction"] for c in setup["contacts"]} == {0.6}


def test_where_a_log_rubs_too_much_a_roller_or_a_log_and_one_more_person_does() -> None:
    """A rounded crest, two places to lay something: the friction of two logs is more than six people can
    take besides."""
    text = bank(ROUND, weight=175)
    misses = answered(text, "rank")[1]["misses"]

    roller = next(m for m in misses if "roller" in m["change"]["text"])
    log = next(m for m in misses if "more person" in m["change"]["text"])
    assert "log" in log["change"]["text"]
    many = re.search(r"buy and lay (\d+) ×", roller["change"]["text"])
    assert many
    rollers = piece("roller-frame", int(many[1]))
    setup = same_setup(bank(ROUND, weight=175, more=rollers), roller["reeving"])
    assert margin_in(roller["change"]["text"]) == pytest.approx(setup["margin"], abs=0.01)
    assert (
        answered(bank(ROUND, weight=175, more=piece("log-peeled-20", 9)), "rank")[1]["setups"] == []
    )


@long
def test_too_few_pieces_are_stated_as_such() -> None:
    """Two lines run 16 cm apart over a log of 40 cm: with 30 cm besides that takes two of them."""
    one = bank(more=piece("log-bark-20", 1, "0.4 m"))
    miss = first_miss(one)
    assert miss["limit"] == "number of edge protectors"
    assert miss["text"].startswith("it takes 2 log-bark-20")
    assert miss["change"]["text"].startswith("1 more log-bark-20: 2 side by side on the edge at")

    reeving = " > ".join(miss["reeving"])
    checks = answered(one, "why", reeving)[1]["checks"]
    (failed,) = [check for check in checks if not check["passed"]]
    assert (failed["check"], failed["value"], failed["limit"]) == ("pieces at hand", 2, 1)
    assert failed["change"]["text"] == "1 more log-bark-20"

    two = bank(more=piece("log-bark-20", 2, "0.4 m"))
    assert same_setup(two, miss["reeving"])["margin"] == pytest.approx(
        margin_in(miss["change"]["text"]), abs=0.01
    )


def test_why_cures_a_line_on_the_ground_by_something_laid() -> None:
    reeving = "load > oak@1.5 m > load > oak@1.5 m > six of us"
    checks = answered(bank(), "why", reeving)[1]["checks"]
    (failed,) = [check for check in checks if not check["passed"]]
    assert failed["check"] == "line runs free"
    cure = failed["change"]["text"]
    assert (
        f"lay a log of 20 cm with its bark on, cut on the spot, on the edge at {CREST:.2f} m"
        in cure
    )
    assert answered(bank(more=piece("log-bark-20")), "why", reeving)[1]["works"]
