"""A piece without a rating fails whatever it carries; a rated one in its place is the cure, and nothing is
ever assumed of what has none."""

from dataclasses import replace

import pytest

from catalogue.gear import Block, Condition, Rope, Shackle, Strap
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion, MissesQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.why.cures.smallest import for_sale
from optimiser.jobs.why.misses.nearest import nearest_misses
from optimiser.jobs.why.why import explain
from optimiser.rig.setup import Setup
from optimiser.site.model import Owned, Site
from tests.generated import HOME, made_up

NEW = Condition(id="new", name="new", source="made up", keeps=1.0)


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(HOME, 2)


@pytest.fixture(scope="module")
def setup(site: Site) -> Setup:
    return next(
        s for s in rank(site, RankQuestion(top=10)).setups if s.parts >= 2 and len(s.walk) >= 4
    )


def unrated(site: Site, kind: type) -> Site:
    """The site with every piece of a kind without a rating."""
    gear = tuple(replace(p, unrated=True) if isinstance(p.gear, kind) else p for p in site.gear)
    return replace(site, gear=gear)


def without_ratings(site: Site, what: str) -> Site:
    """The site with the trees, the load's hitch or the puller's hitch without a rating."""
    load = replace(site.load, hitches=tuple(replace(h, rating=None) for h in site.load.hitches))
    trees = tuple(
        replace(a, strength=replace(a.strength, capacity=None))  # type: ignore[type-var]
        for a in site.anchors
    )
    pullers = tuple(replace(p, hitch_rating=None) for p in site.pullers)
    return {
        "load": replace(site, load=load),
        "trees": replace(site, anchors=trees),
        "puller": replace(site, pullers=pullers),
    }[what]


@pytest.mark.parametrize("kind", [Rope, Block, Shackle, Strap])
def test_the_rated_piece_that_is_named_does_in_its_place(
    site: Site, setup: Setup, kind: type
) -> None:
    bearings = [
        replace(p, gear=replace(p.gear, eta=0.909)) if isinstance(p.gear, Block) else p
        for p in site.gear
    ]  # as some blocks that are for sale
    loose = unrated(replace(site, gear=tuple(bearings)), kind)
    before = explain(loose, setup.walk)
    checks = [c for c in before.failed if c.name == "rated"]
    assert checks
    assert {c.name for c in before.failed} == {"rated"}
    assert all(c.limit is None for c in checks)
    by_name = {g.name: g for g in for_sale()}
    gear = list(loose.gear)
    for check in checks:
        assert check.change is not None
        text, _, named = check.change.text.partition(", such as ")
        old = text.rpartition(" in place of ")[2]
        new = by_name[named]
        assert isinstance(new, kind)
        length = next(p.length for p in site.gear if p.name == old)
        bought = Owned(
            name=f"bought for {old}", gear=new, count=4, condition=NEW, length=length,
            ends=next(p.ends for p in site.gear if p.name == old),
        )  # fmt: skip
        gear = [p for p in gear if p.name != bought.name] + [bought]
    gear = [p for p in gear if not p.unrated]
    after = explain(replace(loose, gear=tuple(gear)), setup.walk)
    assert "rated" not in {c.name for c in after.failed}
    assert "stands its load" not in {c.name for c in after.failed}


@pytest.mark.parametrize("what", ["load", "trees", "puller"])
def test_what_cannot_be_bought_is_to_be_found_out(site: Site, setup: Setup, what: str) -> None:
    found = explain(without_ratings(site, what), setup.walk)
    (check,) = found.failed
    assert check.name == "rated"
    assert check.change is not None
    assert "find out whether" in check.change.text
    assert check.value is not None
    assert check.change.amount == pytest.approx(check.value * site.preferences.margin_wanted)


@pytest.mark.parametrize("what", ["load", "trees", "puller"])
def test_buying_answers_on_the_condition_that_what_is_not_rated_holds(
    site: Site, what: str
) -> None:
    (option,) = buy(without_ratings(site, what), BuyQuestion(most_stages=1), items={}).options
    assert not option.items
    assert option.if_stands == option.setup.if_stands
    loose = [c for c in option.setup.components if c.capacity is None]
    assert loose
    wanted = site.preferences.margin_wanted
    stands = {(one.item, one.place): one.force for one in option.if_stands}
    assert stands == {(c.item, c.place): pytest.approx(c.demand * wanted) for c in loose}


def test_a_rope_without_a_rating_is_reported_where_only_rated_gear_counts(site: Site) -> None:
    misses = nearest_misses(unrated(site, Rope), MissesQuestion(rated_only=True))
    assert misses[0].limit == "rating not known"
    assert "rope0" in misses[0].change.text
