"""One reeving for the way down put to every check: as `lower` rigs it, what stops it, and cures that do while
a little less does not."""

import json
import re
from dataclasses import replace
from functools import cache
from math import hypot
from pathlib import Path

import pytest

from optimiser import cli
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion, WhyQuestion
from optimiser.jobs.why.ways_down.let_down import ExplainedDown, explain_down
from optimiser.jobs.why.why import explain_reeving
from optimiser.rig.notation import parse_way_down
from optimiser.site.anchors import Tree
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from shared.errors import InputError
from tests.lower.slope_site import answer, site_text
from tests.lower.small_sites import small_site

DOWN = WhyQuestion(down=True)
STRAIGHT = "load > oak@0.5 m"


@cache
def slope() -> Site:
    return read_site(site_text(3.0, '"0.05"'))


def why(site: Site, reeving: str) -> ExplainedDown:
    found = explain_reeving(site, reeving, DOWN)
    assert isinstance(found, ExplainedDown)
    return found


def names(found: ExplainedDown) -> list[str]:
    return [check.name for check in found.failed]


def roped(length: float) -> Site:
    site = slope()
    gear = tuple(replace(p, length=length) if p.name == "rope" else p for p in site.gear)
    return replace(site, gear=gear)


def weighing(factor: float) -> Site:
    site = slope()
    return replace(site, load=replace(site.load, weight=site.load.weight * factor))


@pytest.mark.parametrize("seed", [5])
def test_each_listed_way_down_passes_every_check(seed: int) -> None:
    """With the pieces that the list has, on sites of another prover's."""
    site = small_site(seed)
    listed = lower(site, LowerQuestion(top=4, most_sheaves=2)).setups
    assert listed
    for setup in listed:
        found = explain_down(site, setup.walk, setup.turns or None)
        assert found.works, names(found)
        assert found.setup is not None
        assert found.setup.margin == pytest.approx(setup.margin)
        assert found.setup.turns == setup.turns
        assert found.setup.line == pytest.approx(setup.line)


def test_it_reads_what_lower_prints() -> None:
    site = slope()
    (setup,) = lower(site, LowerQuestion(top=1)).setups
    assert why(site, setup.reeving).setup == setup
    assert why(site, STRAIGHT).setup == setup  # the turns that are comfortable


def test_with_too_few_turns_the_hand_gives_out() -> None:
    found = why(slope(), f"{STRAIGHT} x 1 turn")
    assert not found.works
    assert names(found) == ["the hand holds the line"]
    (hand,) = found.failed
    assert hand.value is not None
    texts = [change.text for change in found.cures]
    assert "2 full turns in place of 1" in texts
    requested = next(m for text in texts if (m := re.match(r"(\d+) N in the hand", text)))
    assert float(requested[1]) == pytest.approx(hand.value, abs=1.0)
    assert why(slope(), f"{STRAIGHT} x 2 turns").works


def test_so_much_more_rope_would_do() -> None:
    found = why(roped(10.0), STRAIGHT)
    assert names(found) == ["rope is long enough"]
    more = next(m for c in found.cures if (m := re.match(r"([\d.]+) m more rope", c.text)))
    length = 10.0 + float(more[1])
    assert why(roped(length), STRAIGHT).works
    assert not why(roped(length - 0.03), STRAIGHT).works


def test_an_overloaded_part_is_named_with_what_it_would_have_to_stand() -> None:
    """The margin is 1.54 at that weight, so with 1.7 times as much the weakest part fails."""
    (setup,) = lower(slope(), LowerQuestion(top=1)).setups
    assert why(weighing(setup.margin * 0.999), STRAIGHT).works
    found = why(weighing(setup.margin * 1.1), STRAIGHT)
    failed = {check.where: check for check in found.failed if check.name == "stands its load"}
    assert failed
    worst = max(failed.values(), key=lambda c: (c.value or 0.0) / (c.limit or 1.0))
    assert (worst.value or 0.0) / (worst.limit or 1.0) == pytest.approx(1.1, rel=1e-6)


def test_a_load_that_rests_needs_no_rope(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, data = answer(tmp_path, capsys, site_text(1.0, '"0.5"'), "why", STRAIGHT, "--down")
    assert code == 0
    assert (data["works"], data["needs_hold"], data["setup"]) == (True, False, None)


@pytest.mark.parametrize(
    ("reeving", "wrong"),
    [
        ("oak@0.5 m > load", "what holds"),
        ("load > people x 2 turns", "pays the rope out"),
        ("load > oak@0.5 m x 0 turns", "with no turn"),
        ("load > elm@0.5 m", "no place"),
    ],
)
def test_a_reeving_that_cannot_be_says_why(reeving: str, wrong: str) -> None:
    with pytest.raises(InputError, match=wrong):
        parse_way_down(reeving, slope())


def test_the_command_in_every_form(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "slope.toml"
    file.write_text(site_text(3.0, '"0.05"'), encoding="utf-8")
    assert cli.main(["why", str(file), "--down"]) == 0
    assert "IT WORKS with margin" in capsys.readouterr().out
    words = ["why", str(file), f"{STRAIGHT} x 1 turn", "--down"]
    assert cli.main(words) == 3
    assert "What would cure it" in capsys.readouterr().out
    assert cli.main([*words, "--format", "json"]) == 3
    data = json.loads(capsys.readouterr().out)
    assert data["works"] is False
    assert data["cures"][0]["amount"] == 1.0
    assert cli.main([*words, "--format", "csv"]) == 3
    assert "the hand holds the line" in capsys.readouterr().out
    assert cli.main([*words, "--hold"]) == 2


def test_a_line_that_leads_aside_slews_the_load() -> None:
    """At the top the oak stands 0.4 m to the side and 3.23 m ahead in plan of the hitch: sideways over the
    part along the path, where that is more than the limit."""
    tight = site_text(3.0, '"0.05"').replace("side_pull_rolling = 0.5", "side_pull_rolling = 0.05")
    found = why(read_site(tight), STRAIGHT)
    assert not found.works
    assert names(found) == ["the pull is in line with the path"]
    (aside,) = found.failed
    rise, run = 3.0, 10.0
    long = hypot(rise, run)
    ahead, up = 14.0 - (run + 0.8 * run / long), 0.5 - 0.4 - 0.8 * rise / long
    along = (ahead * run + up * rise) / long
    assert aside.value == pytest.approx(0.4 / along, rel=1e-6)
    assert any("side line" in change.text for change in found.cures)


def test_what_stands_beside_a_check_cures_it() -> None:
    """The rope leads aside; with its anchor moved as is printed, seen up the path, it does not."""
    site, walk = read_site(), "load > near pine@1 m"
    (slews,) = why(site, walk).failed
    assert slews.change is not None
    moved = re.search(r"an anchor ([\d.]+) m further left \(seen up", slews.change.text)
    assert moved, slews.change.text

    def shifted(by: float) -> Site:
        leg = site.legs[-1]
        x, y = (leg.end[i] - leg.start[i] for i in (0, 1))
        left = (-y / hypot(x, y), x / hypot(x, y))
        tree = site.anchor("near pine")
        assert isinstance(tree, Tree)
        there = (tree.position[0] + by * left[0], tree.position[1] + by * left[1], tree.position[2])
        other = replace(tree, position=there)
        return replace(site, anchors=tuple(other if a is tree else a for a in site.anchors))

    by = float(moved[1])
    assert why(shifted(by), walk).works
    assert not why(shifted(by * 0.9), walk).works
    assert not why(shifted(-by), walk).works


def test_beside_too_weak_a_hand_stands_what_it_takes() -> None:
    (hand,) = why(slope(), f"{STRAIGHT} x 1 turn").failed
    assert hand.change is not None
    assert hand.change.text.startswith("311 N in the hand")
    assert hand.change.amount == pytest.approx((hand.value or 0.0) - (hand.limit or 0.0))
