"""A search that begins where the best of another site lay proves the same list: the walks it begins with are
grown by its own rules and bounds, and whatever could still be better is looked at afterwards."""

from dataclasses import replace

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import Kept, rank
from optimiser.rig.setup import Setup
from optimiser.search.trail import Trail
from optimiser.site.model import Site
from tests.generated import made_up
from tests.properties.jobs import RECIPES, TIED

QUESTION = RankQuestion(top=4, explain=False)
EVERY = (*RECIPES, *TIED)


def changed(site: Site, weight: float, rope: float) -> Site:
    """The site with another load, and ropes of other lengths."""
    load = replace(site.load, weight=weight * site.load.weight)
    gear = [p if p.length is None else replace(p, length=rope * p.length) for p in site.gear]
    return replace(site, load=load, gear=tuple(gear))


def listed(site: Site, kept: Kept | None = None) -> tuple[Setup, ...]:
    found = rank(site, QUESTION, kept=kept)
    assert found.proven
    return tuple(replace(setup, site=None) for setup in found)


@pytest.mark.parametrize("seed", range(6))
def test_the_list_is_the_same(seed: int) -> None:
    site = made_up(EVERY[seed % len(EVERY)], seed)
    kept = Kept()
    for weight, rope in ((1.0, 1.0), (0.5, 1.0), (1.6, 0.7), (1.0, 1.4)):
        there = changed(site, weight, rope)
        assert listed(there, kept) == listed(there)


def test_a_bad_beginning_does_no_harm() -> None:
    """The worst of a long list first, and walks that are none here."""
    site = made_up(EVERY[0], 2)
    every = rank(site, replace(QUESTION, top=60, everything=True)).setups
    strange = made_up(EVERY[1], 7)
    others = rank(strange, QUESTION).setups
    assert len(every) > 12
    walks = [(setup.walk, setup.attachment) for setup in (*others, *every[-6:])]
    kept = Kept(trail=Trail(walks=tuple(walks)))
    assert listed(site, kept) == listed(site)


def test_a_trail_keeps_what_was_best_last() -> None:
    site = made_up(EVERY[0], 2)
    kept = Kept(trail=Trail(most=2))
    found = rank(site, QUESTION, kept=kept)
    assert kept.trail.walks == tuple((setup.walk, setup.attachment) for setup in found)
