"""The re-check notices a puller that does not stand where it says, on its track or in its area."""

from collections.abc import Iterator
from dataclasses import replace
from math import atan2, cos, degrees, sin
from pathlib import Path

import pytest

from optimiser import RankQuestion, rank, read_site
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import Notes, VerificationError
from optimiser.proof.place import stand
from optimiser.rig.setup import Setup
from optimiser.site.model import Obstacle, Puller, Site
from optimiser.site.roaming.stands import stands
from tests.laws.judged import changed, listed, violated
from tests.tampering.answers import Answer
from tests.tampering.spoiling import stands_otherwise
from tests.tracks.lane import LANE, YARD, site_text


def _answer(where: str) -> tuple[Site, Setup]:
    site = read_site(site_text(where))
    return site, rank(site, RankQuestion(top=1, explain=False))[0]


def _turned(puller: Puller, by: float) -> Puller:
    x, y, z = puller.heading
    return replace(puller, heading=(cos(by) * x - sin(by) * y, sin(by) * x + cos(by) * y, z))


def _at(puller: Puller, *by: float) -> Puller:
    x, y, z = (p + d for p, d in zip(puller.position, by, strict=True))
    return replace(puller, position=(x, y, z))


def _tampered(puller: Puller, track: bool) -> Iterator[tuple[str, Puller]]:
    assert puller.stand is not None
    hx, hy, _ = puller.heading
    yield "stands 2 m aside", _at(puller, -2.0 * hy, 2.0 * hx, 0.0)
    yield "stands 30 m behind", _at(puller, -30.0 * hx, -30.0 * hy, 0.0)
    yield "hovers", _at(puller, 0.0, 0.0, 0.5)
    yield "has sunk in", _at(puller, 0.0, 0.0, -0.5)
    yield "goes further than it can", replace(puller, run=puller.run + 40.0)
    yield "goes nowhere", replace(puller, run=0.0)
    yield "pulls more", replace(puller, limit=puller.limit * 1.1)
    yield "has no stand", replace(puller, stand=None)
    yield "has another name", replace(puller, name="lorry")
    if track:
        yield (
            "stands elsewhere along it",
            replace(puller, stand=replace(puller.stand, along=puller.stand.along + 0.5)),
        )
        yield "heads off it", _turned(puller, 0.05)


@pytest.mark.parametrize("where", [LANE, YARD])
def test_every_tampering_with_a_stand_is_noticed(where: str) -> None:
    site, setup = _answer(where)
    verify(site, setup)
    for what, puller in _tampered(setup.puller, where == LANE):
        notes = Notes()
        stand.check(site, puller, (), notes)  # by itself, before any force is looked at
        assert notes.found, what
        with pytest.raises(VerificationError):
            verify(site, replace(setup, puller=puller))


def test_a_run_over_the_end_of_the_lane_is_noticed() -> None:
    """The van could go 9 m, but from 16 m along 22 m of lane only 2 m, being 4 m long."""
    site, _ = _answer(LANE)
    short = next(p for p in stands(site, site.pullers[0]) if p.run == pytest.approx(2.0))
    notes = Notes()
    stand.check(site, short, (), notes)
    assert not notes.found
    stand.check(site, replace(short, run=6.0), (), notes)
    assert notes.found == ["van leaves its track on its run"]


def test_a_post_on_the_way_is_noticed() -> None:
    site, setup = _answer(LANE)
    x, y, z = (
        p + 5.0 * h for p, h in zip(setup.puller.position, setup.puller.heading, strict=True)
    )
    post = Obstacle(name="bollard", position=(x, y, z), radius=0.1, top=0.2)
    with pytest.raises(VerificationError, match="meets bollard"):
        verify(replace(site, obstacles=(post,)), setup)


def test_a_load_that_comes_to_the_van_is_noticed() -> None:
    site, setup = _answer(LANE)
    (leg,) = site.legs
    notes = Notes()
    stand.check(
        replace(site, legs=(replace(leg, end=setup.puller.position),)), setup.puller, (), notes
    )
    assert any("where the load comes" in text for text in notes.found)


@pytest.mark.parametrize("where", [LANE, YARD])
def test_everything_that_is_printed_of_the_spot_is_checked_too(where: str) -> None:
    """The rows of the table of tamperings that are about it."""
    site, setup = _answer(where)
    tried = 0
    for on, rig in stands_otherwise(Answer("haul", "van", site, setup, lambda *_: None)):
        tried += 1
        assert isinstance(rig, Setup)
        with pytest.raises(VerificationError):
            verify(on, rig)
    assert tried >= 20


@pytest.mark.parametrize("where", [LANE, YARD])
def test_the_words_for_which_way_it_goes_are_checked_too(where: str) -> None:
    site, setup = _answer(where)
    assert setup.standing is not None
    words = setup.standing.faces
    for wrong in (
        "facing the start of it" if words == "facing the end of it" else "facing the end of it",
        f"facing {_degrees(site, setup.puller, 'lime') + 2.0:.0f}° to the left of straight away from lime",
        "facing straight away from the path's start",
        "facing straight away from the moon",
        "facing north",
    ):
        with pytest.raises(VerificationError, match="fac"):
            verify(site, replace(setup, standing=replace(setup.standing, faces=wrong)))
    left = _degrees(site, setup.puller, "lime")
    side = "left" if left > 0.0 else "right"
    true = f"facing {abs(left):.0f}° to the {side} of straight away from lime"
    verify(site, replace(setup, standing=replace(setup.standing, faces=true)))


def _degrees(site: Site, puller: Puller, name: str) -> float:
    """How far to the left of straight away from a tree the van goes, by two bearings."""
    x, y = (p - q for p, q in zip(puller.position[:2], site.anchor(name).position[:2], strict=True))
    turn = degrees(atan2(puller.heading[1], puller.heading[0]) - atan2(y, x))
    return (turn + 180.0) % 360.0 - 180.0


def test_half_a_width_past_the_end_of_the_lane_is_noticed() -> None:
    """The lane is 3 m wide, so a body that leaves it over its end is still within half of that."""
    site, _ = _answer(LANE)
    short = next(p for p in stands(site, site.pullers[0]) if p.run == pytest.approx(2.0))
    assert short.stand is not None
    notes = Notes()
    stand.check(site, replace(short, run=3.2), (), notes)  # it has 2.006 m
    assert notes.found == ["van leaves its track on its run"]


def test_what_the_load_reaches_ahead_of_the_end_of_its_path_counts() -> None:
    site, setup = _answer(LANE)
    (leg,) = site.legs
    x, y, z = setup.puller.position
    end = replace(site, legs=(replace(leg, start=(x - 6.0, y, z), end=(x - 3.0, y, z)),))
    notes = Notes()
    stand.check(end, setup.puller, (), notes)
    assert not notes.found  # its nose 1 m ahead comes to 2 m before the van's middle
    notes = Notes()
    stand.check(replace(end, load=replace(site.load, overhang=2.0)), setup.puller, (), notes)
    assert any("where the load comes" in text for text in notes.found)


def test_a_bend_lies_anew_where_the_puller_is_moved_by_less(tmp_path: Path) -> None:
    """The line to the tractor is longer between its candidate spots: more of the second rope is needed there,
    and the bend may come no nearer to the standing end than that leaves."""
    _, heavier = changed("heavier", 502) or ({}, {})
    (best, *_) = listed(heavier, tmp_path)

    assert best["joined"]["bend"] is not None
    assert best["standing"]["refined"]
    assert violated("heavier", 502, tmp_path) == ""
