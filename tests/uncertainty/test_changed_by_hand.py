"""A site with ranges that is changed in Python after it was read: its answers are those of the file that says
the same, but that what was changed is a range no longer."""

from dataclasses import replace
from pathlib import Path

import pytest

from optimiser import LowerQuestion, RankQuestion, left_open, lower, rank, read_site
from optimiser.site.model import Obstacle

EXAMPLES = Path(__file__).parents[2] / "examples"
SLEDGE = (EXAMPLES / "sledge.toml").read_text()
WEIGHT = 'weight = "210..240 kg"'
ALONE = RankQuestion(top=2, explain=False, compound=False)


def test_a_lighter_load() -> None:
    """2.2 kN for the file's range up to 240 kg: the ground's resistance is a range still."""
    assert WEIGHT in SLEDGE
    site = read_site(SLEDGE)
    changed = rank(replace(site, load=replace(site.load, weight=2200.0)), ALONE)
    written = rank(read_site(SLEDGE.replace(WEIGHT, 'weight = "2200 N"')), ALONE)
    assert [s.reeving for s in changed] == [s.reeving for s in written]
    for mine, theirs in zip(changed, written, strict=True):
        assert mine.margin == pytest.approx(theirs.margin, rel=1e-6)
        assert mine.margin_best == pytest.approx(theirs.margin_best, rel=1e-6)
    plain = rank(site, ALONE)[0]
    assert changed[0].margin > plain.margin


def test_another_preference() -> None:
    site = read_site(SLEDGE)
    wanted = replace(site.preferences, rope_spare=6.0)
    changed = rank(replace(site, preferences=wanted), ALONE)
    written = rank(
        read_site(SLEDGE.replace("[preferences]", '[preferences]\nrope_spare = "6 m"')), ALONE
    )
    assert [(s.reeving, s.margin_worst, s.margin_best) for s in changed] == [
        (s.reeving, s.margin_worst, s.margin_best) for s in written
    ]


def test_a_way_down() -> None:
    """Twice the load of the field roller: its way down has the margins of a file that says so."""
    site = read_site((EXAMPLES / "field-roller.toml").read_text())
    assert site.uncertain
    heavier = replace(site, load=replace(site.load, weight=2.0 * site.load.weight))
    plain, found = (lower(each, LowerQuestion(top=1)) for each in (site, heavier))
    assert found.setups
    assert found.setups[0].margin < plain.setups[0].margin


def test_what_readings_leave_open_is_not_known_of_a_site_changed_by_hand() -> None:
    site = read_site((EXAMPLES / "dinghy.toml").read_text())
    cairn = Obstacle(name="cairn", position=(-30.0, 0.0, 0.0), radius=0.5, top=1.0)
    moved = replace(site, obstacles=(*site.obstacles, cairn))
    setup = rank(moved, ALONE)[0]
    found = left_open(moved, setup)
    assert found is not None
    assert "obstacles of the site were changed" in found.unknown
