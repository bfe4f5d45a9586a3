"""Where nothing lets the load down, what is printed as a cure does, and a little less does not."""

from dataclasses import replace

import pytest

from catalogue.gear import Block, Rope
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion
from optimiser.rig.setup import Miss
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.lower.slope_site import site_text
from tests.piped import printed


@pytest.fixture(scope="module")
def site() -> Site:
    """The demonstration site, let down the bank again; changed in the tests, so the ends of its ranges are
    not what its file has."""
    return replace(read_site(), origin=None)


def roped(site: Site, length: float) -> Site:
    """Every rope so long."""
    gear = tuple(replace(p, length=length) if isinstance(p.gear, Rope) else p for p in site.gear)
    return replace(site, gear=gear)


def held(site: Site) -> bool:
    return bool(lower(site, LowerQuestion(top=1)).setups)


def nearest(site: Site, limit: str) -> Miss:
    """The nearest miss by a kind of limit, where nothing lets the load down."""
    answer = lower(site, LowerQuestion(top=1))
    assert not answer.setups
    assert "one hold would do" in answer.reasons[-1]
    return next(miss for miss in answer.misses if miss.limit == limit)


def test_so_much_more_rope_lets_it_down(site: Site) -> None:
    more = nearest(roped(site, 9.0), "length of rope").change.amount
    assert held(roped(site, 9.0 + more + 1e-6))
    assert not held(roped(site, (9.0 + more) * 0.98))


def test_so_much_more_side_pull_would_have_to_be_guided(site: Site) -> None:
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Block)))
    most = nearest(bare, "side pull on the load").short_by * bare.preferences.side_pull_rolling

    def guided(limit: float) -> Site:
        return replace(bare, preferences=replace(bare.preferences, side_pull_rolling=limit))

    assert held(guided(most * 1.000001))
    assert not held(guided(most * 0.97))


def test_where_no_one_change_does_it_reports_it(site: Site) -> None:
    heavy = replace(site, load=replace(site.load, weight=site.load.weight * 10))
    answer = lower(heavy, LowerQuestion(top=1))
    assert answer.stuck_at is not None
    assert any("no change of gear, hand or anchors" in reason for reason in answer.reasons)
    assert not answer.misses


def test_so_many_blocks_of_that_strength_let_it_down(site: Site) -> None:
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Block)))
    miss = nearest(bare, "number of blocks")
    assert miss.change.amount == 1.0
    blocks = tuple(replace(p, count=1) for p in site.gear if isinstance(p.gear, Block))
    assert any(held(replace(bare, gear=(*bare.gear, block))) for block in blocks)


def test_so_much_more_in_the_hand_lets_it_down() -> None:
    """A slope with one oak: as many turns as a rope may have leave more to the hand than it may hold."""
    site, weak = read_site(site_text(3.0, '"0.05"')), LowerQuestion(top=1, hold=3.0)
    answer = lower(site, weak)
    assert not answer.setups
    (miss,) = (miss for miss in answer.misses if miss.limit == "hold of the hand")
    most = 3.0 + miss.change.amount
    assert lower(site, replace(weak, hold=most * 1.000001)).setups
    assert not lower(site, replace(weak, hold=most * 0.98)).setups


def test_a_near_miss_says_how_its_rope_runs() -> None:
    """From the end that is made fast to the hand, or to what pays out: it is rigged by that."""
    _, text = printed(site_text(3.0, '"0.05"'), "lower", "--hold", "3 N")
    printed_text = " ".join(text.split())
    assert "made fast to the load; turns round oak" in printed_text
    assert "then the hand" in printed_text
