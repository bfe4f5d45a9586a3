"""Pickets driven where the van might stand or go: who uses them keeps the van off them."""

from dataclasses import replace
from math import hypot

import pytest

from optimiser import RankQuestion, rank, read_site
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.site.model import Puller, Site
from optimiser.site.roaming.stands import stands
from tests.oracle.enumeration import enumerate_setups
from tests.search.test_against_oracle import _agree as agree
from tests.tracks.against_oracle import at_candidates
from tests.tracks.lane import LANE, pickets_text


def _site(y: float) -> Site:
    """Pickets in the lane, and no tree to use in their place."""
    return read_site(
        pickets_text(LANE.replace('"12 m", "4 m"', '"12 m", "-3 m"').replace('"2 m"', '"4 m"'), y)
    )


def _gap(site: Site, van: Puller) -> float:
    """m from the pickets to the ground between the van's hitch and where its front comes to."""
    (pickets,) = site.anchors
    x, y = (p - q for p, q in zip(pickets.position[:2], van.position[:2], strict=True))
    hx, hy, _ = van.heading
    ahead, aside = x * hx + y * hy, abs(y * hx - x * hy)
    return hypot(max(-ahead, ahead - van.run - 4.0, 0.0), max(aside - 1.0, 0.0))


@pytest.mark.parametrize("y", [0.2, 1.0])
def test_the_search_finds_what_the_enumeration_finds(y: float) -> None:
    site = _site(y)
    found = at_candidates(site)
    agree(found, enumerate_setups(site))
    made = [setup for setup in found if setup.made]
    assert made
    assert all(_gap(site, setup.puller) >= 1.0 for setup in made)
    assert any(_gap(site, van) < 1.0 for van in stands(site, site.pullers[0]))


def test_the_recheck_refuses_a_van_that_goes_over_them() -> None:
    site = _site(0.2)
    setup = next(s for s in rank(site, RankQuestion(explain=False, compound=False)) if s.made)
    verify(site, setup)
    x, y, z = (
        p + 5.0 * h for p, h in zip(setup.puller.position, setup.puller.heading, strict=True)
    )
    moved = tuple(replace(anchor, position=(x, y, z)) for anchor in site.anchors)  # type: ignore[type-var]
    with pytest.raises(VerificationError, match="meets 1-1-1 pickets at lane on its run"):
        verify(replace(site, anchors=moved), setup)
