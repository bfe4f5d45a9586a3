"""The plainest purchase for little more than the least money, against plain enumeration: every set of a short
price list that costs no more is tried, with the ranking as judge.

    python -m tests.buy.plainest --sites 200
"""

import argparse
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import chain, count

import numpy as np

from catalogue.gear import Chain, Needs, Rope, Strap
from catalogue.prices import PricedItem
from optimiser.jobs.buy.goals import LEAST_MONEY, PLAINEST
from optimiser.jobs.buy.results import Option
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.gear.kit import kit_of
from optimiser.site.model import Owned, Site
from tests.buy.test_least import LACKING, Set, cost, does, lacking, plainly, purchases
from tests.generated import NEW, WIRE_EYE

Key = tuple[int, int, int, float]
"""Kinds of unusual things, pieces, resets, money."""
CLIPS = replace(WIRE_EYE, id="clips", name="clips", needs=Needs.FREE_END)
SHARE = 0.2
"""As the program's own choice says, written anew."""


def near(seed: int) -> tuple[Site, dict[str, PricedItem]]:
    """A site and a stall of `tests.buy.test_least` with prices that lie near each other, so that several
    purchases come within a fifth of the least. On every third site one of two ropes for sale is wire, on
    every third the straps are chains, both for a little less."""
    site, listed = lacking(seed)
    rng = np.random.default_rng(1000 + seed)
    out = {id: replace(item, price=float(rng.integers(20, 27))) for id, item in listed.items()}
    if seed % 3 == 1:
        prefs = site.preferences
        site = replace(site, preferences=replace(prefs, knots=(*prefs.knots, CLIPS)))
        ropes = [id for id, item in out.items() if isinstance(item.gear, Rope)]
        out |= {id: replace(out[id], price=21.0) for id in ropes}
        id = ropes[0]
        rope = out[id].gear
        assert isinstance(rope, Rope)
        out[id] = replace(
            out[id], gear=replace(rope, knottable=False, material="steel"), price=18.0, length=90.0
        )
    for id, item in list(out.items()):
        strap = item.gear
        if seed % 3 == 2 and isinstance(strap, Strap):
            links = Chain(
                id=id, name=id, source="made up", grade="80", size=0.008, length=strap.length,
                wll=(strap.wll or 0.0) * 2.0, choker_factor=0.8, basket_factor=2.0,
            )  # fmt: skip
            out[id] = replace(item, gear=links, price=16.0)
            out[f"{id} of web"] = replace(
                item, id=f"{id} of web", gear=replace(strap, id=f"{id} of web")
            )
    return site, out


def resets(site: Site, items: list[PricedItem], many: Set) -> int:
    extra = [
        Owned(name=f"bought {i.id}", gear=i.gear, count=n, condition=NEW, length=i.length)
        for i, n in zip(items, many, strict=True)
        if n
    ]
    kit = kit_of(site, extra).rated_only
    found = rank_hauls(
        site, RankQuestion(top=1, by=("resets",), explain=False, compound=False), kit=kit
    )
    return found.setups[0].resets


def unusual(items: list[PricedItem], many: Set) -> int:
    """How many of wire rope and chain a purchase takes."""
    taken = [item.gear for item, n in zip(items, many, strict=True) if n]
    wire = any(isinstance(gear, Rope) and gear.material == "steel" for gear in taken)
    return int(wire) + int(any(isinstance(gear, Chain) for gear in taken))


def tried(site: Site, items: list[PricedItem], least: float) -> Key:
    """The plainest by trying all that costs no more than a fifth above the least."""
    able = [m for m in purchases(items) if cost(items, m) <= least * (1.0 + SHARE) + 1e-9]
    first = sorted(able, key=lambda m: (unusual(items, m), sum(m)))
    best: Key | None = None
    for many in first:
        counts = unusual(items, many), sum(many)
        if best is not None and counts > best[:2]:
            break
        if does(site, items, many):
            key = (*counts, resets(site, items, many), cost(items, many))
            best = key if best is None else min(best, key)
    assert best is not None
    return best


@dataclass(frozen=True)
class Compared:
    """What buying prints as plainest, what trying everything finds, and whether the least is another."""

    stated: Key | None
    tried: Key | None
    apart: bool


def compare(seed: int) -> Compared:
    """Both answers for one site; None where nothing need or can be bought."""
    site, listed = near(seed)
    items = list(listed.values())
    if does(site, items, (0,) * len(items)):
        return Compared(None, None, apart=False)
    found = buy(
        site,
        BuyQuestion(most_stages=1, steps=0, explain=False, join_ropes=False, time_limit=600.0),
        items=listed,
    )
    least = plainly(site, items, pieces_first=False)
    if least is None or least[1] == 0:
        return Compared(None, None, apart=False)
    option = next(option for option in found.options if PLAINEST in option.goals)
    assert found.plainest
    assert option is found.options[0], "the plainest comes first"
    stated = (
        *option.plainness[:1],
        option.pieces,
        resets(site, items, bought(option, listed)),
        option.cost,
    )
    return Compared(stated, tried(site, items, least[0]), LEAST_MONEY not in option.goals)


def bought(option: Option, listed: Mapping[str, PricedItem]) -> Set:
    many = {item.id: item.count for item in option.items}
    return tuple(many.get(id, 0) for id in listed)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--sites", type=int, default=200, help="sites that need a purchase")
    wanted = parser.parse_args().sites
    compared = apart = wrong = 0
    for seed in chain(LACKING, (n for n in count(0, 2) if n not in LACKING)):
        if compared == wanted:
            break
        found = compare(seed)
        if found.tried is None:
            continue
        compared += 1
        apart += found.apart
        wrong += found.stated != found.tried
        if found.stated != found.tried:
            print(
                f"site {seed}: {found.stated} is said, {found.tried} was found by trying",
                flush=True,
            )
    print(f"{compared} sites, {apart} where the plainest is not the least money, {wrong} wrong")
    raise SystemExit(1 if wrong else 0)


if __name__ == "__main__":
    main()
