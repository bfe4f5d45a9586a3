"""A purchase cut short states what every purchase costs at least, and never too much of it."""

from pathlib import Path

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
