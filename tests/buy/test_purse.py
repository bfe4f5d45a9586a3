"""What a budget buys at most: the bounds of the search with a price list."""

from dataclasses import replace

import numpy as np
import pytest

from catalogue.gear import Block, MadeTo, Rope, Shackle
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.rules import Rules
from optimiser.search.stock.offers import Offer, offers, owned_with
from optimiser.search.stock.purse import Purse
from optimiser.site.model import Fixture, Site
from tests.buy.test_shop import ropes
from tests.generated import HOME, made_up


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(HOME, 2)


def only_ropes(site: Site) -> Kit:
    return Kit(tuple(p for p in site.gear if isinstance(p.gear, Rope)), ())


def blocks(site: Site, *kinds: tuple[float, float, int]) -> tuple[Offer, ...]:
    """Blocks for sale: (efficiency, price, how many)."""
    like = next(p for p in site.gear if isinstance(p.gear, Block))
    item = ropes(site, 1.0)["rope 1"]
    out = []
    for eta, price, many in kinds:
        assert isinstance(like.gear, Block)
        gear = replace(like.gear, id=f"block {eta:g}", eta=eta)
        piece = replace(like, name=gear.id, gear=gear, price=price)
        out.append(Offer(piece, replace(item, gear=gear), most=many))
    return tuple(out)


def test_bearings_that_nobody_has_pass_on_nothing(site: Site) -> None:
    """Three sheaves of 0.9 and none owned: the tension falls by a tenth at each."""
    bare = only_ropes(site)
    purse = Purse(bare, blocks(site, (0.9, 10.0, 3)), 100.0)

    assert purse.tau_most(3) == pytest.approx([1.0, 0.9, 0.81, 0.729])


def test_no_more_of_the_best_bearings_than_are_on_offer(site: Site) -> None:
    bare = only_ropes(site)
    purse = Purse(bare, blocks(site, (0.95, 10.0, 1), (0.9, 10.0, 3)), 100.0)

    assert purse.tau_most(3) == pytest.approx([1.0, 0.95, 0.95 * 0.9, 0.95 * 0.81])


def test_what_the_rope_costs_buys_no_bearings(site: Site) -> None:
    """With 25 and ropes at 10 and 20, one block at 10 can be bought, beside the cheaper rope."""
    short, long = offers(site, ropes(site, 10.0, 20.0).values())
    on_offer = (short.counted(10.0), long.counted(20.0), *blocks(site, (0.9, 10.0, 3)))
    purse = Purse(Kit((), ()), on_offer, 25.0)

    assert purse.most_sheaves == 1
    assert purse.tau_most(1) == pytest.approx([1.0, 0.9])


@pytest.mark.parametrize(("budget", "spent"), [(25.0, True), (29.0, True), (30.0, False)])
def test_whether_money_is_left_for_one_more(site: Site, budget: float, spent: bool) -> None:
    """Two at 10 each are on offer: with 30 a third could be paid for, if there were one."""
    owned = Kit(tuple(p for p in site.gear if isinstance(p.gear, Rope | Shackle)), ())
    purse = Purse(owned, blocks(site, (0.9, 10.0, 2)), budget)
    (piece,) = purse.kit.blocks

    assert piece.count == 2
    assert purse.spent_with(piece) is spent


def test_a_rope_that_just_stands_the_pull_with_the_least_margin_is_strong_enough(
    site: Site,
) -> None:
    """Pull x dynamic factor x margin against the strength of the rope at its hauling end."""
    owned = owned_with(site, ())
    purse = Purse(owned, (), 0.0)
    (rope,) = owned.ropes
    (scene,) = [scene for scene in scenes(site, lay_stations(site)) if scene.rated][:1]
    floor = 1.5
    tables = Tables(scene, purse.kit, Rules.of(frozenset()), floor, purse=purse)
    just = purse._strength_of(rope, scene.puller.fixture)[1] / (scene.puller.dynamic * floor)

    least = tables.rope_price(purse, np.array([1.0, 1.0]), np.array([just, 1.01 * just]))

    assert least.tolist() == [0.0, np.inf]


def test_the_least_for_a_rope_that_is_long_and_strong_enough(site: Site) -> None:
    """Looked up in a table, against going through the ropes one by one."""
    owned = owned_with(site, ())
    dear = ropes(site, 20.0, 40.0, 60.0, 90.0)
    thick = {
        f"thick {id}": replace(
            item, id=f"thick {id}", price=3.0 * item.price, gear=replace(item.gear, mbs=60_000.0)
        )
        for id, item in dear.items()
        if isinstance(item.gear, Rope)
    }
    purse = Purse(owned, offers(site, [*dear.values(), *thick.values()]), 1e6)
    hitch = Fixture(kind=MadeTo.EYE)
    lengths = np.array([5.0, 20.0, 20.5, 41.0, 77.0, 90.0, 91.0])
    forces = np.array([1.0, 2_000.0, 3_500.0, 8_000.0, 50_000.0])

    for length in lengths:
        for force in forces:
            does = [
                purse.price_of(rope)
                for rope in purse.kit.ropes
                if (rope.length or 0.0) >= length - 1e-3
                and purse._strength_of(rope, hitch)[1] >= force
            ]
            least = purse.strong_rope(np.array([length]), np.array([force]), hitch)
            assert least[0] == min(does, default=np.inf)
