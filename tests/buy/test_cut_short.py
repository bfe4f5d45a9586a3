"""A purchase cut short states what every purchase costs at least, and never too much of it."""

from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.gear import Rope
from catalogue.prices import load_prices
from optimiser import read_site
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion
from optimiser.search.clock import Clock
from optimiser.telling.buy import purchases_json, report
from shared.effort import spent
from tests.long import long

EXAMPLES = Path(__file__).parents[2] / "examples"


@long
def test_nothing_costs_less_than_what_is_stated() -> None:
    site = read_site(EXAMPLES / "short-rope.toml")
    question = BuyQuestion(most_stages=1, steps=0, explain=False, compound=False)
    before = spent()
    whole = buy(site, question)
    effort = spent() - before
    least = min(option.cost for option in whole.options)
    assert whole.unsearched is None

    stated = []
    for share in (0.05, 0.1, 0.2, 0.3, 0.4):
        cut = buy(site, question, clock=Clock(None, None).within(share * effort))
        if cut.unsearched is not None and cut.unsearched.cost:
            stated.append(cut.unsearched.cost)
            assert not cut.proven
            assert purchases_json(cut)["could_reach"]["cost"] == cut.unsearched.cost
            text = " ".join(str(body) for _, body in report(site, cut))
            assert "in one stage with a single line nothing does that costs less than" in text
    assert len(set(stated)) >= 3
    assert max(stated) <= least


MEADOW = (
    (EXAMPLES / "meadow.toml")
    .read_text()
    .replace('length = "60 m"', 'length = "40 m"')
    .replace('id = "snatch-100-bronze"\ncount = 3', 'id = "snatch-100-bronze"\ncount = 1')
)
"""A meadow with a rope too short and one block: much of what a shop has would do, in many ways."""


def test_what_takes_too_long_is_given_up_by_itself_and_says_what_it_costs_at_least(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("optimiser.jobs.buy.shop.IN_ONE_STAGE", 0.8)
    site = read_site(MEADOW)
    before = spent()
    found = buy(site, BuyQuestion(steps=0, explain=False))
    assert spent() - before < 2.5

    assert not found.proven
    assert found.unsearched is not None
    assert 0.0 < (found.unsearched.cost or 0.0) <= 78.0  # the least, found by a longer search
    assert all(not option.proven and option.cost >= 78.0 for option in found.options)


def test_a_rope_whose_ends_nothing_holds_is_not_looked_at() -> None:
    site = read_site(MEADOW)
    none = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Rope)))
    # No clips are owned, and knots do not hold on wire: however much of it a shop has, nothing hauls.
    wire = {
        id: item
        for id, item in load_prices().items()
        if not isinstance(item.gear, Rope) or (item.gear.is_wire and item.length == 50.0)
    }
    before = spent()
    found = buy(none, BuyQuestion(most_stages=1, explain=False), items=wire)
    assert found.proven
    assert not found.options
    assert spent() - before < 1.5  # 30 where all is looked at
