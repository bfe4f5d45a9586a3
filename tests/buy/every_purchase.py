"""What `buy` calls the least, against every set of up to three pieces of a ten-piece price list: each set
is put among the gear owned, and the ranking (or the planning of stages) says whether that does. `--shops`:
of two shops that share the list out and sell some of the same, and of a neighbour who lends two worn pieces,
one for nothing and one for a fee.

`python -m tests.buy.every_purchase --sites 200` compares so many made-up sites, prints one line for each
that differs and a count of what was compared, and ends with 1 where any differs.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations_with_replacement

import numpy as np

from catalogue.book import load_catalogue
from catalogue.gear import AnyGear, Block, Chain, MadeTo, Needs, Rope, Shackle, Strap, Termination
from catalogue.prices import PricedItem
from optimiser.jobs.buy.goals import FEWEST_PIECES, LEAST_MONEY, NOTHING
from optimiser.jobs.buy.results import Option
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion, RankQuestion, StagesQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.site.model import Owned, Site
from tests.generated import NEW, Recipe, made_up
from tests.many import Counts, compare_staged

PIECES = 3
"""Pieces in a set at most."""
GRAIN = 0.5
SMALL = Recipe(trees=3, heights=1, sheaves=2, items=12, spacing=2.0, protected=True)
BEND = Termination(
    id="bend", name="bend", source="made up", keeps=0.5, eats_diameters=20.0, eats=0.1,
    made_to=frozenset({MadeTo.ROPE_END}), needs=Needs.FREE_END,
)  # fmt: skip
Set = tuple[str, ...]


def lacking(number: int) -> tuple[Site, dict[str, PricedItem]]:
    """A small site and a list of ten things, most of them in stock twice. The owner's rope is shorter than
    the least that does, by a little or by much; some blocks, straps or shackles are missing or weak."""
    rng = np.random.default_rng((number, 7))
    site = made_up(replace(SMALL, mixed=number % 4 == 3), number)
    chain = Chain(
        id="chain", name="chain", source="made up", grade="8", size=0.008,
        length=float(rng.uniform(2.0, 6.0)), wll=20_000.0, choker_factor=0.8, basket_factor=2.0,
    )  # fmt: skip
    knots = (*site.preferences.knots, *((BEND,) if number % 3 else ()))
    light = replace(site.load, weight=site.load.weight * float(rng.choice([0.3, 0.4, 0.6])))
    site = replace(site, load=light, preferences=replace(site.preferences, knots=knots))
    needed = _needed(site)
    gear: list[Owned] = []
    for piece in site.gear:
        lost = rng.integers(4) == 0
        if isinstance(piece.gear, Rope):
            short = needed - float(rng.choice([0.5, 2.0, 6.0, 20.0]))
            gear.append(replace(piece, length=max(short, 4.0), ends=(None, None)))
        elif isinstance(piece.gear, Block) and lost:
            gear.append(replace(piece, count=1))
        elif isinstance(piece.gear, Strap | Shackle) and lost:
            weak = replace(piece.gear, wll=(piece.gear.wll or 0.0) / 4.0)
            gear.append(replace(piece, gear=weak))
        else:
            gear.append(piece)
    if rng.integers(2):
        gear.append(Owned(name="own chain", gear=chain, count=1, condition=NEW))
    return replace(site, gear=tuple(gear)), _stall(rng, site, chain, needed)


def _needed(site: Site) -> float:
    """m of the shortest rope that does with all there is."""
    found = rank(
        site, RankQuestion(compound=False, top=1, by=("rope",), explain=False, join_ropes=False)
    ).setups
    return found[0].rope_needed if found else 40.0


def _stall(
    rng: np.random.Generator, site: Site, chain: Chain, needed: float
) -> dict[str, PricedItem]:
    def one(kind: type) -> AnyGear:
        able = [p.gear for p in site.gear if isinstance(p.gear, kind)]
        return able[int(rng.integers(len(able)))]

    rope, block, strap, shackle = one(Rope), one(Block), one(Strap), one(Shackle)
    assert isinstance(rope, Rope)
    assert isinstance(block, Block)
    assert isinstance(strap, Strap)
    assert isinstance(shackle, Shackle)
    strong = replace(rope, mbs=2.0 * (rope.mbs or 0.0))
    things: list[tuple[AnyGear, float | None, float]] = [
        (rope, needed * float(rng.uniform(0.3, 0.7)), 1.0),
        (rope, needed - float(rng.choice([0.5, 1.5, 3.0])), 2.0),
        (strong, needed + float(rng.uniform(0.5, 20.0)), 4.0),
        (replace(strap, length=float(rng.uniform(1.2, 4.0))), None, 0.5),
        (replace(strap, wll=3.0 * (strap.wll or 0.0)), None, 0.7),
        (replace(chain, length=float(rng.uniform(1.5, 7.0))), None, 0.8),
        (block, None, 1.0),
        (replace(block, eta=0.95, wll=3.0 * (block.wll or 0.0)), None, 1.5),
        (shackle, None, 0.3),
        (replace(shackle, wll=3.0 * (shackle.wll or 0.0)), None, 0.4),
    ]
    out = {}
    for i, (gear, length, dear) in enumerate(things):
        id, price = f"item{i}", max(round(dear * 20.0 * float(rng.uniform(0.4, 1.6))), 1)
        out[id] = PricedItem(
            id=id, gear=replace(gear, id=id, name=id), price=float(price),
            stock=1 + int(rng.integers(2)), length=length,
        )  # fmt: skip
    return out


def with_shops(number: int, items: dict[str, PricedItem]) -> dict[str, PricedItem]:
    """The list shared out between two shops, with two things that both sell at different prices, and two that
    a neighbour lends worn, one for nothing and one for a fee."""
    rng = np.random.default_rng((number, 11))
    out: dict[str, PricedItem] = {}
    for place, id in enumerate(rng.permutation(sorted(items))):
        near, far = place % 2 == 0 or place < 2, place % 2 == 1 or place < 2
        price = max(round(items[id].price * float(rng.uniform(0.5, 1.5))), 1)
        for shop, cost in (("near", items[id].price),) * near + (("far", float(price)),) * far:
            sold = replace(items[id], id=f"{id} at {shop}", price=cost, shop=shop, label=id)
            out[sold.id] = replace(sold, stock=1) if near and far else sold
    worn = load_catalogue().conditions["worn"]
    for fee, id in zip((0.0, 2.0), rng.choice(sorted(items), 2, replace=False), strict=True):
        lent = replace(items[id], id=f"{id} lent", price=fee, lent=True, label=id, condition=worn)
        out[lent.id] = replace(lent, stock=1)
    return out


def sets(items: dict[str, PricedItem]) -> Iterator[Set]:
    """Every set of up to PIECES pieces that the stock allows, the largest first."""
    for many in range(PIECES, -1, -1):
        for some in combinations_with_replacement(sorted(items), many):
            if all(n <= (items[id].stock or 0) for id, n in Counter(some).items()):
                yield some


def owning(site: Site, items: dict[str, PricedItem], some: Set) -> Site:
    """The site whose owner has a set besides."""
    more = []
    for id, many in Counter(some).items():
        item = items[id]
        ropes = isinstance(item.gear, Rope)  # each rope is an entry of its own
        for copy in range(many if ropes else 1):
            more.append(
                Owned(
                    name=f"bought {id}{'*' * copy}",
                    gear=item.gear,
                    count=1 if ropes else many,
                    condition=item.condition,
                    length=item.length,
                )
            )
    return replace(site, gear=(*site.gear, *more))


def margin_of(site: Site, stages: int, *, whole_ropes: bool = False) -> float | None:
    """Margin of the best fully rated setup, or of the best plan in up to so many stages."""
    join = False if whole_ropes else None
    if stages == 1:
        question = RankQuestion(
            compound=False, top=1, explain=False, join_ropes=False if whole_ropes else None
        )
        found = rank(site, question).setups
        return found[0].margin if found and not found[0].unrated else None
    plan = plan_stages(
        site,
        StagesQuestion(
            most_stages=stages,
            explain=False,
            compound=False,
            grain=GRAIN,
            join_ropes=join,
        ),
    )
    rated = plan.stages and not any(setup.unrated for setup in plan.stages)
    return plan.margin if rated else None


@dataclass
class Compared:
    """What one site came to. `wrong`: how what was found differs, none where it does not."""

    needed: bool = False
    helped: bool = False
    put_together: bool = False
    lent: bool = False
    shops: int = 0
    tried: int = 0
    wrong: list[str] = field(default_factory=list)


def compare(number: int, stages: int = 1, *, shops: bool = False) -> Compared:
    """One site, hauled in up to so many stages; `shops`: with two of them, and a lender."""
    site, items = lacking(number)
    items = with_shops(number, items) if shops else items
    question = BuyQuestion(
        most_stages=stages,
        steps=1,
        explain=False,
        time_limit=600.0,
        compound=False,
        grain=GRAIN,
    )
    found = buy(site, question, items=items)
    out = Compared()
    if not (found.proven and found.staged):
        out.wrong.append("not proven")
        return out
    by_goal = {goal: option for option in found.options for goal in option.goals}
    money = by_goal.get(LEAST_MONEY) or by_goal.get(NOTHING)
    pieces = by_goal.get(FEWEST_PIECES) or money
    out.needed, out.helped = money is None or bool(money.items), money is not None
    out.put_together = money is not None and money.setup.rope.joined is not None
    out.lent = money is not None and bool(money.lent)
    out.shops = 0 if money is None else len({item.shop for item in money.bought})
    failed: list[Counter[str]] = []
    for some in sets(items):
        cost = sum(items[id].price for id in some)
        cheaper = money is None or cost < money.cost - 1e-6
        fewer = pieces is not None and (len(some), cost) < (pieces.pieces, pieces.cost - 1e-6)
        if not (cheaper or fewer) or any(Counter(some) <= more for more in failed):
            continue
        out.tried += 1
        if margin_of(owning(site, items, some), stages) is None:
            failed.append(Counter(some))  # what is less does not do either
        else:
            requested = "nothing" if money is None else f"{money.cost:g} in {money.pieces}"
            out.wrong.append(
                f"{', '.join(some) or 'nothing'} for {cost:g} does, asked was {requested}"
            )
    out.wrong += [text for option in found.options if (text := _promised(site, items, option))]
    return out


def _promised(site: Site, items: dict[str, PricedItem], option: Option) -> str:
    """How an option put among the gear owned falls short of what it names; "" where it does not."""
    some = tuple(item.id for item in option.items for _ in range(item.count))
    margin = margin_of(owning(site, items, some), option.stages)
    if margin is not None and margin >= option.margin - 1e-9:
        return ""
    found = ", ".join(option.goals)
    return f"{found}: {', '.join(some)} promises margin {option.margin:.4f}, gives {margin}"


def compared(number: int, stages: int, shops: bool) -> tuple[Counts, list[str]]:
    """What there was of one site, and what differs."""
    found = compare(number, stages, shops=shops)
    counts = {
        "tried": found.tried, "needed": found.needed, "helped": found.needed and found.helped,
        "put together": found.put_together, "lent": found.lent, "of two shops": found.shops > 1,
    }  # fmt: skip
    return {name: int(many) for name, many in counts.items()}, found.wrong


if __name__ == "__main__":
    sys.exit(compare_staged(__doc__, compared, many=200, flag="shops"))
