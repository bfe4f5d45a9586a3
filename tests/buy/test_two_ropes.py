"""The least purchase where tackle on tackle counts, against every set of a short price list, each judged by
the ranking (which is compared with an enumeration of its own in tests/compound)."""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import product
from math import inf
from pathlib import Path

import numpy as np
import pytest

from catalogue.gear import AnyGear, Block, Rope, Shackle, Strap
from catalogue.prices import PricedItem, load_prices
from optimiser.jobs.buy.goals import FEWEST_PIECES, LEAST_MONEY, NOTHING
from optimiser.jobs.buy.results import Option, Purchases
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import kit_of
from optimiser.search.buying.tackled import Tackles
from optimiser.search.rules import Rules
from optimiser.search.stages.finder import Caps, Finder, Task
from optimiser.search.stages.shortest_chain import forward
from optimiser.search.stages.track import track
from optimiser.site.model import Owned, Site
from optimiser.site.reading import read_site
from optimiser.telling.buy import report, shown
from tests.compound.sites import site as with_two_ropes
from tests.generated import NEW
from tests.long import cases, long, rare

HELPED = (14, 19, 21, 24, 42, 48, 60, 66, 69, 80, 81, 86, 91, 102, 104, 105, 114)
"""Sites where tackle on tackle does for less than a single line, mostly where nothing else does."""
OTHERS = (4, 5, 10, 12, 32, 46, 51, 56, 57, 74, 83, 100)
SEEDS = (*HELPED, *OTHERS)
QUICK = (21, 24, 12)
SELDOM = (4, 14, 19, 32, 56, 60, 66, 80, 86, 102, 104, 105, 114)
LONG = tuple(seed for seed in SEEDS if seed not in SELDOM)
GRAIN = 1.0
IN_STAGES = (19, 21, 24, 42, 46, 48, 66, 69, 80, 81, 86, 91)
Set = tuple[int, ...]
Worth = tuple[float, int]


def lacking(seed: int) -> tuple[Site, dict[str, PricedItem]]:
    """A small site where tackle on tackle may be rigged, whose owner has lost some of the gear, and a stall
    with five things, some of them longer than what is owned."""
    rng = np.random.default_rng(seed)
    site = with_two_ropes(seed)
    ropes = [p for p in site.gear if isinstance(p.gear, Rope)]
    kept = ropes[0].name if rng.integers(3) else ropes[-1].name
    gear: list[Owned] = []
    for piece in site.gear:
        if isinstance(piece.gear, Rope):
            if piece.name == kept or rng.integers(4) == 0:
                gear.append(
                    replace(piece, length=(piece.length or 0.0) * float(rng.uniform(0.6, 1.1)))
                )
        elif isinstance(piece.gear, Block | Shackle):
            gear.append(replace(piece, count=max(piece.count - int(rng.integers(3)), 1)))
        else:
            gear.append(piece)
    items: dict[str, PricedItem] = {}

    def offer(thing: AnyGear, length: float | None = None) -> None:
        id = f"item{len(items)}"
        named = replace(thing, id=id, name=id)
        price = float(5 * rng.integers(1, 9))
        items[id] = PricedItem(id=id, gear=named, price=price, stock=1, length=length)

    def one(kind: type) -> AnyGear:
        able = [p.gear for p in site.gear if isinstance(p.gear, kind)]
        return able[int(rng.integers(len(able)))]

    rope, block, strap, shackle = one(Rope), one(Block), one(Strap), one(Shackle)
    assert isinstance(rope, Rope)
    assert isinstance(block, Block)
    longer = float(rng.choice([1.0, 1.0, 6.0]))
    offer(rope, float(rng.uniform(15.0, 35.0)))
    offer(replace(rope, mbs=2.0 * (rope.mbs or 0.0)), float(rng.uniform(40.0, 90.0)))
    offer(replace(block, wll=2.0 * (block.wll or 0.0), length=longer * block.length))
    offer(strap)
    offer(shackle)
    heavy = site.load.weight * float(rng.choice([1.0, 1.3, 1.7]))
    return replace(site, gear=tuple(gear), load=replace(site.load, weight=heavy)), items


def bought(items: list[PricedItem], many: Set) -> Iterator[Owned]:
    for item, n in zip(items, many, strict=True):
        if n:
            yield Owned(
                name=f"bought {item.id}", gear=item.gear, count=n, condition=NEW,
                length=item.length,
            )  # fmt: skip


@cache
def answers(seed: int) -> tuple[Purchases, dict[str, Worth | None], Worth | None]:
    """What buying finds; what trying everything finds, by money and by pieces; and by money with a single
    line."""
    site, listed = lacking(seed)
    items = list(listed.values())
    every = list(product(range(2), repeat=len(items)))

    @cache
    def does(many: Set, compound: bool) -> bool:
        kit = kit_of(site, bought(items, many)).rated_only
        question = RankQuestion(top=1, explain=False, compound=compound, join_ropes=False)
        found = rank_hauls(site, question, kit=kit)
        return any(not setup.unrated for setup in found.setups)

    def worth(many: Set) -> Worth:
        return sum(i.price * n for i, n in zip(items, many, strict=True)), sum(many)

    def least(*, pieces_first: bool = False, compound: bool = True) -> Worth | None:
        ranked = sorted(every, key=lambda m: worth(m)[::-1] if pieces_first else worth(m))
        return next((worth(many) for many in ranked if does(many, compound)), None)

    found = buy(
        site,
        BuyQuestion(
            most_stages=1, steps=0, explain=False, time_limit=inf, compound=True, join_ropes=False
        ),
        items=listed,
    )
    plainly = {LEAST_MONEY: least(), FEWEST_PIECES: least(pieces_first=True)}
    return found, plainly, least(compound=False)


def by_goal(found: Purchases) -> dict[str, Option]:
    return {goal: option for option in found.options for goal in option.goals}


@pytest.mark.parametrize("seed", cases(SEEDS, quick=QUICK, seldom=SELDOM))
def test_the_least_is_what_trying_everything_finds(seed: int) -> None:
    found, plainly, _ = answers(seed)
    assert found.proven
    by_money = plainly[LEAST_MONEY]
    if by_money is None:
        assert not found.options
        return
    result = by_goal(found)
    if by_money[1] == 0:
        assert NOTHING in result
        return
    assert found.tackles is Tackles.COUNTED or found.tackles is Tackles.NONE
    for goal, least in plainly.items():
        assert (result[goal].cost, result[goal].pieces) == least


@pytest.mark.parametrize(
    "seeds",
    [QUICK, pytest.param(LONG, marks=long), pytest.param(SEEDS, marks=rare)],
    ids=["quick", "long", "all"],
)
def test_these_sites_report_something(seeds: tuple[int, ...]) -> None:
    """Where tackle on tackle is cheaper than any single line, the option is one of two lines."""
    for seed in (seed for seed in seeds if seed in HELPED):
        found, plainly, single = answers(seed)
        least = plainly[LEAST_MONEY]
        assert least is not None
        assert single is None or least < single
        assert by_goal(found)[LEAST_MONEY].setup.second is not None
    if seeds != QUICK:
        assert any(answers(seed)[0].tackles is Tackles.NONE for seed in OTHERS)


@pytest.mark.parametrize("seed", cases(IN_STAGES, quick=[24], seldom=[42, 80, 86]))
def test_in_stages_too(seed: int) -> None:
    """Against planning two stages with every set of the stall."""
    site, listed = lacking(seed)
    items = list(listed.values())
    way = track(site, grain=GRAIN)
    prefs = site.preferences
    rules = replace(Rules.of(prefs.rules), compound=True)

    def does(many: Set) -> bool:
        kit = with_joined(kit_of(site, bought(items, many)).rated_only)
        task = Task(way, kit, rules, only_rated=True, enough=prefs.enough)
        return forward(Finder(task), Caps(prefs.margin_wanted), 2)[-1] == way.end

    def worth(many: Set) -> Worth:
        return sum(i.price * n for i, n in zip(items, many, strict=True)), sum(many)

    every = sorted(product(range(2), repeat=len(items)), key=worth)
    least = next((worth(many) for many in every if does(many)), None)

    question = BuyQuestion(
        most_stages=2,
        steps=0,
        explain=False,
        time_limit=inf,
        compound=True,
        grain=GRAIN,
    )
    found = buy(site, question, items=listed)

    assert found.proven
    assert found.staged
    result = by_goal(found)
    if least is None:
        assert not found.options
    elif least[1] == 0:
        assert NOTHING in result
    else:
        assert (result[LEAST_MONEY].cost, result[LEAST_MONEY].pieces) == least


def test_it_is_reported_how_far_tackle_on_tackle_was_counted() -> None:
    site, listed = lacking(21)
    counted = buy(
        site, BuyQuestion(most_stages=1, steps=0, explain=False, time_limit=inf), items=listed
    )
    never = buy(
        site, BuyQuestion(most_stages=1, steps=0, explain=False, compound=False), items=listed
    )
    assert by_goal(counted)[LEAST_MONEY].cost < by_goal(never)[LEAST_MONEY].cost
    for found, words in ((counted, "Tackle on tackle is counted."), (never, "NOT counted")):
        text = "\n".join(body for _, body in report(site, found) if isinstance(body, str))
        assert words in text


def test_an_option_of_two_lines_is_spelt_out() -> None:
    site, _ = lacking(21)
    option = by_goal(answers(21)[0])[LEAST_MONEY]
    text = "\n".join(str(body) for _, body in shown(site, option))
    assert "grip" in text


def test_the_example_without_its_short_rope() -> None:
    """examples/two-tackles.toml: no single line works; of the cheap ropes for sale, and a few dearer ones, a
    short one is the least to buy. A single line takes a block and a long rope: at least twice the money.
    (Ropes of one piece: joined ones would do no better here, and take long to try.)"""
    whole = read_site(Path("examples/two-tackles.toml"))
    assert not rank(whole, RankQuestion(compound=False, explain=False)).setups
    assert rank(whole, RankQuestion(compound=None))[0].second is not None
    site = replace(whole, gear=tuple(p for p in whole.gear if p.name != "short rope"))

    listed = load_prices()
    cheap = [id for id in listed if id.startswith("polypropylene-")]
    dearer = [id for id in listed if id.startswith(("manila-12", "polyester-10"))]
    ropes = {id: listed[id] for id in (*cheap, *dearer)}
    blocks = [id for id in listed if id.startswith("single-75")]
    question = BuyQuestion(most_stages=1, steps=0, explain=False, time_limit=inf, join_ropes=False)
    counted = buy(site, question, items=ropes)
    plain = {id: listed[id] for id in (*cheap, *blocks)}
    never = buy(site, replace(question, compound=False), items=plain)

    assert counted.tackles is Tackles.COUNTED
    least = by_goal(counted)[LEAST_MONEY]
    assert [type(listed[item.id].gear) for item in least.items] == [Rope]
    assert least.setup.second is not None
    assert least.cost < 0.5 * by_goal(never)[LEAST_MONEY].cost


def test_further_steps_are_looked_for_with_two_ropes() -> None:
    """examples/two-tackles.toml: two ropes do with what is owned, and a single line does with nothing on a
    stall of two blocks. What brings margin 1.7 for the least money is what trying every set finds."""
    site = read_site(Path("examples/two-tackles.toml"))
    stall = {id: load_prices()[id] for id in ("single-75-plain", "single-75-roller")}
    found = buy(
        site, BuyQuestion(most_stages=1, steps=1, explain=False, compound=True), items=stall
    )
    option = next(o for o in found.options if "margin 1.7 or more" in o.goals)

    def reaches(many: Set) -> bool:
        kit = kit_of(site, bought(list(stall.values()), many)).rated_only
        question = RankQuestion(top=1, explain=False, compound=True, join_ropes=False)
        return any(setup.margin >= 1.7 - 1e-9 for setup in rank_hauls(site, question, kit=kit))

    def cost(many: Set) -> float:
        return sum(i.price * n for i, n in zip(stall.values(), many, strict=True))

    every = sorted(product(range(3), repeat=2), key=cost)
    assert option.setup.second is not None
    assert option.cost == next(cost(many) for many in every if reaches(many))
