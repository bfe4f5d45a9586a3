"""What `buy --down` and `buy --both` call the least, against trying every set of a short price list.

Each set is put among the gear. Another prover of ways down (`tests.lower.second_prover`, with walks and
bounds of its own) says whether the load gets down with it; of several stages the planner of `lower` does, and
of the haul the ranking.

`python -m tests.buy.ways_down --sites 100` compares so many made-up sites, prints one line for each that
differs and a count of what was compared, and ends with 1 where any differs.
"""

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from catalogue.gear import AnyGear, Block, Rope, Shackle, Strap
from catalogue.prices import PricedItem
from optimiser.jobs.buy.for_all import ForAll
from optimiser.jobs.buy.goals import FEWEST_PIECES, LEAST_MONEY, NOTHING
from optimiser.jobs.buy.together import buy_together
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.hold_job import ORDER
from optimiser.jobs.question import BuyQuestion, LowerQuestion
from optimiser.rig.gear.made import with_made
from optimiser.rig.order import Order
from optimiser.site.model import Owned, Site, Trip
from tests.buy.every_purchase import GRAIN, Set, margin_of, owning
from tests.buy.several_jobs import every_set
from tests.lower.second_prover import SHEAVES, best_rigs, scenes_of
from tests.lower.small_sites import small_site
from tests.many import Counts, compare_staged

KINDS = 6
"""Kinds of things for sale, one or two of each."""


def lacking(number: int) -> tuple[Site, dict[str, PricedItem]]:
    """A small site whose owner lacks something for the way down, and a stall."""
    rng = np.random.default_rng((number, 23))
    site = small_site(number)
    wishes = replace(site.preferences, most_sheaves=SHEAVES)
    gear = [piece for piece in site.gear if not _lost(rng, piece)]
    short = [
        replace(p, length=(p.length or 0.0) * float(rng.choice([0.3, 0.6, 1.0])))
        if isinstance(p.gear, Rope)
        else p
        for p in gear
    ]
    heavy = replace(site.load, weight=site.load.weight * float(rng.choice([0.25, 0.5, 1.0, 2.0])))
    return (
        replace(site, gear=tuple(short), load=heavy, preferences=wishes),
        _stall(rng, site),
    )


def _lost(rng: np.random.Generator, piece: Owned) -> bool:
    return bool(rng.integers(3) == 0) if isinstance(piece.gear, Rope) else bool(rng.integers(2))


def _stall(rng: np.random.Generator, site: Site) -> dict[str, PricedItem]:
    def one(kind: type) -> AnyGear | None:
        able = [p.gear for p in site.gear if isinstance(p.gear, kind)]
        return able[int(rng.integers(len(able)))] if able else None

    rope, block, strap, shackle = one(Rope), one(Block), one(Strap), one(Shackle)
    assert isinstance(rope, Rope)
    assert isinstance(shackle, Shackle)
    things: list[tuple[AnyGear | None, float | None, float]] = [
        (rope, float(rng.uniform(15.0, 50.0)), 2.0),
        (replace(rope, material="manila"), float(rng.uniform(20.0, 80.0)), 2.0),
        (replace(rope, mbs=3.0 * (rope.mbs or 0.0)), float(rng.uniform(15.0, 90.0)), 4.0),
        (block, None, 1.0),
        (replace(block, eta=0.95, wll=3.0 * (block.wll or 0.0)) if isinstance(block, Block) else None,
         None, 1.5),
        (strap, None, 0.5),
        (replace(strap, wll=3.0 * (strap.wll or 0.0)) if isinstance(strap, Strap) else None, None, 0.7),
        (replace(shackle, wll=3.0 * (shackle.wll or 0.0)), None, 0.4),
    ]  # fmt: skip
    there = [thing for thing in things if thing[0] is not None]
    chosen = sorted(rng.choice(len(there), size=min(KINDS, len(there)), replace=False))
    out = {}
    for i in chosen:
        gear, length, dear = there[int(i)]
        assert gear is not None
        id, price = f"item{i}", max(round(dear * 20.0 * float(rng.uniform(0.4, 1.6))), 1)
        out[id] = PricedItem(
            id=id, gear=replace(gear, id=id, name=id), price=float(price),
            stock=1 + int(rng.integers(3) == 0), length=length,
        )  # fmt: skip
    return out


def _richer(site: Site, items: dict[str, PricedItem], some: Set) -> Site:
    """The site whose owner has a set besides, and what can be made on the spot to lay on edges."""
    owned = owning(site, items, some)
    return replace(owned, gear=with_made(owned.gear))


def gets_down(site: Site, stages: int) -> bool:
    """Whether the load gets down with nothing but rated gear."""
    if stages == 1:
        order = Order(ORDER, site.preferences.enough)
        scenes = scenes_of(site)
        return not scenes or bool(best_rigs(site, scenes, order, 1, rated=True))
    found = lower(site, LowerQuestion(top=1))
    rigs = found.setups or found.stages
    rated = not any(rig.unrated for rig in rigs)
    return not found.needs_hold or (found.feasible and rated and len(rigs) <= stages)


@dataclass
class Plainly:
    """What trying everything finds. What does for a trip does with more; what does not, not with less."""

    items: dict[str, PricedItem]
    does: dict[Trip, Callable[[Set], bool]]
    tried: int = 0
    good: list[tuple[Trip, Counter[str]]] = field(default_factory=list)
    bad: list[tuple[Trip, Counter[str]]] = field(default_factory=list)

    def serves(self, some: Set) -> bool:
        """Whether every trip can be made with a set."""
        return all(self._does(trip, some) for trip in self.does)

    def _does(self, trip: Trip, some: Set) -> bool:
        mine = Counter(some)
        if any(to is trip and one <= mine for to, one in self.good):
            return True
        if any(to is trip and mine <= one for to, one in self.bad):
            return False
        self.tried += 1
        found = self.does[trip](some)
        (self.good if found else self.bad).append((trip, mine))
        return found

    def least(self, *, pieces_first: bool = False) -> tuple[float, int] | None:
        """Money and pieces of the least set that serves; None: none does."""
        worth = {
            some: (sum(self.items[id].price for id in some), len(some))
            for some in every_set(self.items)
        }
        if not self.serves(max(worth, key=len)):
            return None
        order = sorted(worth, key=lambda s: worth[s][::-1] if pieces_first else worth[s])
        return next(worth[some] for some in order if self.serves(some))


@dataclass
class Compared:
    """What was compared on one site, and what differs."""

    wrong: list[str] = field(default_factory=list)
    tried: int = 0
    met: Counter[str] = field(default_factory=Counter)


def compare(number: int, stages: int, *, both: bool = False) -> Compared:
    """One site, let down in up to so many stages; `both`: hauled as well."""
    site, items = lacking(number)
    question = BuyQuestion(
        most_stages=stages, steps=0, explain=False, compound=False, time_limit=1e6, grain=GRAIN,
        down=not both, both=both, join_ropes=False,
    )  # fmt: skip
    found = buy_together([site], question, items=items)
    out = Compared()
    if found.resting:
        out.met["rests"] += 1
        return out
    trips: dict[Trip, Callable[[Set], bool]] = {
        Trip.DOWN: lambda some: gets_down(_richer(site, items, some), stages)
    }
    if both:
        trips[Trip.UP] = lambda some: (
            margin_of(_richer(site, items, some), stages, whole_ropes=True) is not None
        )
    plainly = Plainly(items, trips)
    by_goal = {goal: option for option in found.options for goal in option.goals}
    if not found.proven:
        out.wrong.append("not proven")
    for goal, least in (
        (LEAST_MONEY, plainly.least()),
        (FEWEST_PIECES, plainly.least(pieces_first=True)),
    ):
        option = by_goal.get(goal) or by_goal.get(NOTHING)
        answer = None if option is None else (option.cost, option.pieces)
        if answer != least:
            out.wrong.append(f"{goal}: {answer}, trying everything finds {least}")
    for option in found.options:
        if not _keeps(site, items, option):
            out.wrong.append(f"{option.counts} does not give the margin that it promises")
    out.tried = plainly.tried
    out.met["bought"] += LEAST_MONEY in by_goal
    out.met["owned"] += NOTHING in by_goal
    out.met["nothing does"] += not found.options
    out.met["with sheaves"] += any(
        rig.etas for o in found.options for share in o.shares for rig in share.option.setups
    )
    return out


def _keeps(site: Site, items: dict[str, PricedItem], option: ForAll) -> bool:
    """Whether the way down of an option has its margin with the option among the gear."""
    some = tuple(item.id for item in option.items for _ in range(item.count))
    down = option.shares[-1].option
    found = lower(_richer(site, items, some), LowerQuestion(top=1))
    rigs = found.setups or found.stages
    return min(rig.margin for rig in rigs) >= down.margin - 1e-9


def compared(number: int, stages: int, both: bool) -> tuple[Counts, list[str]]:
    """What there was of one site, and what differs; `both`: hauled and let down."""
    found = compare(number, stages, both=both)
    return {**found.met, "tried": found.tried}, found.wrong


if __name__ == "__main__":
    sys.exit(compare_staged(__doc__, compared, many=100, flag="both"))
