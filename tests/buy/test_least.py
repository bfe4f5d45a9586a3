"""The least purchase, against plain enumeration: every set of a short price list is tried, by rising cost,
with the ranking as judge."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from catalogue.gear import Block, Chain, Rope, Shackle, Strap
from catalogue.prices import PricedItem, load_prices
from optimiser.buying.shop import FEWEST_PIECES, LEAST_MONEY, NOTHING, buy
from optimiser.gear.kit import kit_of
from optimiser.ranking import rank
from optimiser.site.model import Owned, Site
from tests.generated import NEW, Recipe, made_up

Set = tuple[int, ...]
SMALL = Recipe(trees=4, heights=2, sheaves=3, items=10, spacing=1.0)
COPIES = 2


def short_list(rng: np.random.Generator, many: int) -> dict[str, PricedItem]:
    """A few things of every kind at made-up prices, at most two of each in stock."""
    everything = list(load_prices().values())
    kinds: tuple[tuple[type, ...], ...] = ((Block,), (Shackle,), (Strap, Chain), (Rope,))
    out: dict[str, PricedItem] = {}
    for number in range(many):
        kind = kinds[number % len(kinds)]
        able = [i for i in everything if isinstance(i.gear, kind) and useful(i)]
        item = able[int(rng.integers(len(able)))]
        price = float(rng.integers(1, 40))
        out[item.id] = replace(item, price=price, stock=COPIES, placeholder=False)
    return out


def useful(item: PricedItem) -> bool:
    """Of a size that the made-up sites can use."""
    gear = item.gear
    if isinstance(gear, Rope):
        return 0.01 <= gear.diameter <= 0.014 and (item.length or 0.0) >= 50.0 and gear.knottable
    if isinstance(gear, Block):
        return gear.rope_least <= 0.012 <= gear.rope_most
    return True


def lacking(seed: int) -> tuple[Site, dict[str, PricedItem]]:
    """A small site whose owner lacks something, and a short price list."""
    rng = np.random.default_rng(seed)
    recipe = replace(SMALL, regime=("easy", "puller", "anchor")[seed % 3], mixed=seed % 2 == 1)
    site = made_up(recipe, seed)
    gear: list[Owned] = []
    for piece in site.gear:
        what = rng.integers(4)
        if isinstance(piece.gear, Rope):
            gear.append(replace(piece, length=float(rng.uniform(15.0, 70.0))))
        elif what == 0:
            gear.append(replace(piece, count=max(piece.count - 1, 0)))
        elif what == 1 and isinstance(piece.gear, Block | Strap | Shackle):
            weak = replace(piece.gear, wll=(piece.gear.wll or 0.0) / 4.0)
            gear.append(replace(piece, gear=weak, count=1))
        elif what == 2:
            gear.append(replace(piece, count=1))
    wanted = float(rng.choice([1.0, 1.0, 1.3]))
    site = replace(site, gear=tuple(gear), preferences=replace(site.preferences, margin_wanted=wanted))
    return site, short_list(rng, 6)


def purchases(items: list[PricedItem]) -> Iterator[Set]:
    yield from product(
        *(range(2 if isinstance(i.gear, Rope) else COPIES + 1) for i in items)
    )


def does(site: Site, items: list[PricedItem], many: Set) -> bool:
    extra = [
        Owned(name=f"bought {i.id}", gear=i.gear, count=n, condition=NEW, length=i.length)
        for i, n in zip(items, many, strict=True)
        if n
    ]
    found = rank(site, top=1, kit=kit_of(site, extra).rated_only, explain=False, compound=False)
    return any(not setup.unrated for setup in found.setups)


def cost(items: list[PricedItem], many: Set) -> float:
    return sum(i.price * n for i, n in zip(items, many, strict=True))


def plainly(site: Site, items: list[PricedItem], pieces_first: bool) -> tuple[float, int] | None:
    """Cost and pieces of the least purchase by trying all, in rising order. Whatever is more than a
    purchase that does, does; whatever is less than one that does not, does not."""
    if not does(site, items, tuple(1 if isinstance(i.gear, Rope) else COPIES for i in items)):
        return None

    def order(many: Set) -> tuple[float, float]:
        return (sum(many), cost(items, many)) if pieces_first else (cost(items, many), sum(many))

    failed: list[Set] = []
    for many in sorted(purchases(items), key=lambda m: (order(m), m)):
        if any(all(a <= b for a, b in zip(many, more, strict=True)) for more in failed):
            continue
        if does(site, items, many):
            return cost(items, many), sum(many)
        failed.append(many)
    raise AssertionError("everything does, so something must")


@pytest.mark.parametrize("seed", range(24))
def test_the_least_is_what_trying_everything_finds(seed: int) -> None:
    site, listed = lacking(seed)
    found = buy(site, items=listed, steps=0)
    items = list(listed.values())
    assert found.proven
    by_money = plainly(site, items, pieces_first=False)
    if by_money is None:
        assert not found.options
        assert found.misses
        return
    if by_money[1] == 0:
        assert not found.needed
        assert found.options[0].goals == (NOTHING,)
        return
    by_goal = {goal: option for option in found.options for goal in option.goals}
    money, pieces = by_goal[LEAST_MONEY], by_goal[FEWEST_PIECES]
    assert (money.cost, money.pieces) == by_money
    assert (pieces.cost, pieces.pieces) == plainly(site, items, pieces_first=True)


def test_the_sites_of_this_test_ask_for_something() -> None:
    """Else the comparison above compares nothing: most sites lack something that the list has."""
    asked = [bool(buy(site, items=listed, steps=0).needed) for site, listed in map(lacking, range(24))]
    assert sum(asked) >= 10
