"""What is bought for chains of four stages or more, on paths that bend at every metre or two, against every
set of up to two pieces, each with every chain of every setup.

`python -m tests.buy.long_chains --sites 12` compares so many made-up paths, prints one line for each that
differs, how many stages are bought for and how many sets were tried, and ends with 1 where any differs.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import combinations_with_replacement

import numpy as np

from catalogue.gear import Block, Rope, Shackle, Strap
from catalogue.prices import PricedItem
from optimiser.jobs.buy.goals import LEAST_MONEY, NOTHING
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion
from optimiser.site.model import Owned, Site
from tests.buy.every_purchase import Set, owning
from tests.stages.exhaustive import plans
from tests.stages.long_chains import GRAIN, winding

PIECES = 2
"""Pieces in a set at most; what costs more pieces is not compared."""
MOST = 8
"""Stages that may be bought for."""
FEWEST_LEGS, MOST_LEGS = 4, 5


def lacking(seed: int) -> tuple[Site, dict[str, PricedItem]]:
    """A winding path whose owner has too short a rope, sometimes no block, or too few straps or shackles; and
    a list of ropes of three lengths and one of each other kind."""
    rng = np.random.default_rng((seed, 31))
    site = winding(seed, FEWEST_LEGS, MOST_LEGS)
    scores = plans(site, GRAIN, MOST)
    needed = min((rope for *_, rope in scores), default=12.0)
    items = _list(rng, site, needed)
    own = [piece for piece in (_left(rng, p, needed) for p in site.gear) if piece is not None]
    return replace(site, gear=tuple(own)), items


def _left(rng: np.random.Generator, piece: Owned, needed: float) -> Owned | None:
    """What the owner has of a piece; None for nothing."""
    lost = rng.integers(3) == 0
    if isinstance(piece.gear, Rope):
        return replace(piece, length=needed * float(rng.choice([0.4, 0.8])))
    if isinstance(piece.gear, Block | Strap | Shackle) and lost:
        return None if piece.count == 1 else replace(piece, count=piece.count - 1)
    return piece


def _list(rng: np.random.Generator, site: Site, needed: float) -> dict[str, PricedItem]:
    def first(kind: type) -> Owned:
        return next(piece for piece in site.gear if isinstance(piece.gear, kind))

    rope = first(Rope).gear
    things = [
        (rope, needed - 0.5, 20.0),
        (rope, needed + 1.0, 30.0),
        (rope, needed + 20.0, 50.0),
        *((first(kind).gear, None, 15.0) for kind in (Block, Strap, Shackle)),
    ]
    return {
        f"item{i}": PricedItem(
            id=f"item{i}", gear=replace(gear, id=f"item{i}", name=f"item{i}"), stock=2, length=length,
            price=float(round(dear * float(rng.uniform(0.7, 1.4)), 1)),
        )
        for i, (gear, length, dear) in enumerate(things)
    }  # fmt: skip


def sets(items: dict[str, PricedItem]) -> Iterator[tuple[float, Set]]:
    """(cost, set) of every set of up to PIECES pieces, the cheapest first."""
    every = [
        some
        for many in range(PIECES + 1)
        for some in combinations_with_replacement(sorted(items), many)
    ]
    yield from sorted((sum(items[id].price for id in some), some) for some in every)


@dataclass
class Compared:
    """In how many stages the load is hauled with the least (0: with nothing on the list), how many sets were
    tried for it, and how what was found differs."""

    stages: int = 0
    tried: int = 0
    wrong: list[str] = field(default_factory=list)


def compare(seed: int) -> Compared:
    """One path."""
    site, items = lacking(seed)
    question = BuyQuestion(
        most_stages=MOST,
        steps=0,
        explain=False,
        compound=False,
        join_ropes=False,
        grain=GRAIN,
        time_limit=600.0,
    )
    found = buy(site, question, items=items)
    out = Compared()
    if not (found.proven and found.staged):
        out.wrong.append("not proven")
        return out
    goals = {goal: option for option in found.options for goal in option.goals}
    least = goals.get(NOTHING) or goals.get(LEAST_MONEY)
    out.stages = 0 if least is None else least.stages
    failed: list[Counter[str]] = []
    for cost, some in sets(items):
        if least is not None and cost > least.cost + 1e-6:
            break
        if any(Counter(some) <= more for more in failed):
            continue
        out.tried += 1
        if not plans(owning(site, items, some), GRAIN, MOST):
            failed.append(Counter(some))
            continue
        if least is None or cost < least.cost - 1e-6:
            what = "nothing" if least is None else f"{least.cost:g}"
            out.wrong.append(f"{', '.join(some) or 'nothing'} for {cost:g} does, {what} is said")
        return out
    if least is not None and least.pieces <= PIECES:
        out.wrong.append(f"{least.cost:g} is said to do, and does not")
    return out


def main() -> int:
    """Compares as many paths as requested."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sites", type=int, default=12)
    parser.add_argument("--first", type=int, default=0)
    args = parser.parse_args()
    met: Counter[int] = Counter()
    wrong = tried = 0
    for seed in range(args.first, args.first + args.sites):
        found = compare(seed)
        met[found.stages] += 1
        tried += found.tried
        for text in found.wrong:
            wrong += 1
            print(f"path {seed}: {text}", flush=True)
    stages = ", ".join(f"{many} of {n} stages" for n, many in sorted(met.items()))
    print(f"{stages}; {tried} sets tried")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
