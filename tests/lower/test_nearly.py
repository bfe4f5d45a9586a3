"""Where nothing lets the load down, what is printed as a cure does, and a little less does not."""

import re
from dataclasses import replace

import pytest

from catalogue.gear import Block, Rope
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion
from optimiser.site.model import Site
from optimiser.site.reading import read_site


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


def figure(site: Site, pattern: str) -> float:
    """The figure in one of the reasons."""
    answer = lower(site, LowerQuestion(top=1))
    assert not answer.setups
    found = [m for reason in answer.reasons if (m := re.search(pattern, reason))]
    assert found, answer.reasons
    return float(found[0][1])


def test_so_much_more_rope_lets_it_down(site: Site) -> None:
    more = figure(roped(site, 9.0), r"would do with ([\d.]+) m more rope")
    assert held(roped(site, 9.0 + more))
    assert not held(roped(site, (9.0 + more) * 0.98))


def test_so_much_more_side_pull_would_have_to_be_guided(site: Site) -> None:
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Block)))
    most = figure(bare, r"pulls up to ([\d.]+) sideways")

    def guided(limit: float) -> Site:
        return replace(bare, preferences=replace(bare.preferences, side_pull_rolling=limit))

    assert held(guided(most))
    assert not held(guided(most * 0.97))


def test_where_no_one_change_does_it_reports_it(site: Site) -> None:
    heavy = replace(site, load=replace(site.load, weight=site.load.weight * 10))
    answer = lower(heavy, LowerQuestion(top=1))
    assert answer.stuck_at is not None
    assert any("no one change" in reason for reason in answer.reasons)
