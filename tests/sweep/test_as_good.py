"""A search for the best and what is as good finds what a whole list has of these, and no block changes a
list that takes none of the ropes."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from catalogue.gear import Block
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from tests.generated import made_up
from tests.properties.jobs import RECIPES, TIED, UNRATED

LIST = RankQuestion(top=6, explain=False)
EVERY = (*RECIPES, *TIED, *UNRATED)
MARKED = 0.5
"""By how much a setup counts less whose puller stands where a parted rope may reach it."""


def counts(site: Site, setup: Setup) -> float:
    """The margin that counts: no more than is enough."""
    return min(setup.margin, site.preferences.enough) - MARKED * setup.marked_down


def as_good(site: Site, listed: Sequence[Setup]) -> list[Setup]:
    """The best, and those whose margin is at most a tenth lower, with no more resets, rated alike."""
    by_margin = str(site.preferences.order[0]) == "margin"
    best = listed[0]
    others = [
        other
        for other in listed[1:]
        if by_margin
        and counts(site, best) - counts(site, other) <= 0.1 + 1e-9
        and other.resets <= best.resets
        and bool(other.unrated) == bool(best.unrated)
    ]
    return [best, *others]


@pytest.mark.parametrize("seed", range(len(EVERY)))
def test_what_is_as_good_is_that_of_the_whole_list(seed: int) -> None:
    site = made_up(EVERY[seed], seed)
    whole = rank_hauls(site, LIST)
    some = rank_hauls(site, LIST, as_good=True)

    assert whole.proven
    assert some.proven
    expected = as_good(site, whole.setups) if whole.setups else []
    found = [replace(setup, rank=0) for setup in some.setups]
    assert found == [replace(setup, rank=0, cautions=()) for setup in expected]


def test_some_are_as_good_and_some_are_not() -> None:
    """So that the comparison above can fail."""
    sites = [made_up(recipe, seed) for seed, recipe in enumerate(EVERY)]
    lists = [(site, rank_hauls(site, LIST).setups) for site in sites[:6]]
    many = [(len(as_good(site, listed)), len(listed)) for site, listed in lists if listed]

    assert any(good > 1 for good, _ in many)
    assert any(good < listed for good, listed in many)


@pytest.mark.parametrize("seed", range(3))
def test_a_block_that_takes_no_rope_changes_nothing(seed: int) -> None:
    """Its sheave is for ropes twice as thick as the thickest, and it turns better than any other."""
    site = made_up(EVERY[seed], seed)
    like = next(piece for piece in site.gear if isinstance(piece.gear, Block))
    assert isinstance(like.gear, Block)
    thick = 2.0 * like.gear.rope_most
    huge = replace(
        like, name="huge", count=4,
        gear=replace(
            like.gear, id="huge", rope_least=thick, rope_most=2.0 * thick, eta=0.99,
            wll=10.0 * (like.gear.wll or 1e5),
        ),
    )  # fmt: skip
    with_it = replace(site, gear=tuple(sorted((*site.gear, huge), key=lambda piece: piece.name)))

    one, other = rank_hauls(site, LIST), rank_hauls(with_it, LIST)

    assert one.setups
    assert other.looked_at == one.looked_at
    assert [replace(setup, cautions=()) for setup in other.setups] == [
        replace(setup, cautions=()) for setup in one.setups
    ]
