"""What `buy` calls the least for several jobs together, against trying every set of a short price list: each
set is put among the gear of every job, and the ranking (or the planning of stages) says whether that does.

`python -m tests.buy.several_jobs --sets 100` compares so many made-up sets of two or three jobs, prints one
line for each that differs and a count of what was compared, and ends with 1 where any differs.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import product

import numpy as np

from catalogue.prices import PricedItem
from optimiser.jobs.buy.for_all import ForAll, Together
from optimiser.jobs.buy.goals import FEWEST_PIECES, LEAST_MONEY, NOTHING
from optimiser.jobs.buy.together import IN_ONE, buy_together
from optimiser.jobs.question import BuyQuestion
from optimiser.site.model import Site
from tests.buy.every_purchase import GRAIN, Set, lacking, margin_of, owning
from tests.many import Counts, compare_staged

KINDS = 6
"""Kinds of things for sale, one or two of each."""


def jobs(number: int) -> tuple[list[Site], dict[str, PricedItem]]:
    """Two or three small sites whose owners lack something, and a stall with things that suit them."""
    rng = np.random.default_rng((number, 11))
    many = 2 + int(number % 5 == 4)
    made = [lacking(int(seed)) for seed in rng.choice(400, size=many, replace=False)]
    sites = [replace(site, title=f"job {i}") for i, (site, _) in enumerate(made)]
    pool = [
        replace(item, id=f"{i}-{id}", gear=replace(item.gear, id=f"{i}-{id}", name=f"{i}-{id}"), stock=1)
        for i, (_, items) in enumerate(made)
        for id, item in items.items()
    ]  # fmt: skip
    chosen = sorted(rng.choice(len(pool), size=KINDS, replace=False))
    stall = {pool[i].id: replace(pool[i], stock=1 + int(rng.integers(4) == 0)) for i in chosen}
    return sites, stall


def every_set(items: dict[str, PricedItem]) -> Iterator[Set]:
    """Every set that the stock allows."""
    kinds = sorted(items)
    for many in product(*(range((items[id].stock or 0) + 1) for id in kinds)):
        yield tuple(id for id, n in zip(kinds, many, strict=True) for _ in range(n))


@dataclass
class Plainly:
    """What trying everything finds. What does for a job does with more; what does not, not with less."""

    sites: list[Site]
    items: dict[str, PricedItem]
    stages: int
    tried: int = 0
    known: list[tuple[list[Counter[str]], list[Counter[str]]]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.known = [([], []) for _ in self.sites]

    def does(self, job: int, some: Set) -> bool:
        """Whether a job can be done with a set."""
        mine, (good, bad) = Counter(some), self.known[job]
        if any(one <= mine for one in good):
            return True
        if any(mine <= one for one in bad):
            return False
        self.tried += 1
        found = margin_of(owning(self.sites[job], self.items, some), self.stages) is not None
        (good if found else bad).append(mine)
        return found

    def least(self, of: list[int], *, pieces_first: bool = False) -> tuple[float, int] | None:
        """Money and pieces of the least set with which all of some jobs can be done; None: with none."""
        worth = {
            some: (sum(self.items[id].price for id in some), len(some))
            for some in every_set(self.items)
        }
        everything = max(worth, key=len)
        if not all(self.does(job, everything) for job in of):
            return None
        order = sorted(worth, key=lambda s: worth[s][::-1] if pieces_first else worth[s])
        return next(worth[some] for some in order if all(self.does(job, some) for job in of))


@dataclass
class Compared:
    """What was compared on one set of jobs, and what differs."""

    wrong: list[str] = field(default_factory=list)
    tried: int = 0
    met: Counter[str] = field(default_factory=Counter)


def compare(number: int, stages: int) -> Compared:
    """One set of jobs, each done in up to so many stages."""
    sites, items = jobs(number)
    question = BuyQuestion(
        most_stages=stages, steps=0, explain=False, compound=False, time_limit=1e6, grain=GRAIN
    )
    found = buy_together(sites, question, items=items)
    plainly, out = Plainly(sites, items, stages), Compared()
    every = list(range(len(sites)))
    by_goal = {goal: option for option in found.options for goal in option.goals}
    if not found.proven:
        out.wrong.append("not proven")
    for goal, least in (
        (LEAST_MONEY, plainly.least(every)),
        (FEWEST_PIECES, plainly.least(every, pieces_first=True)),
    ):
        option = by_goal.get(goal) or by_goal.get(NOTHING)
        answer = None if option is None else (option.cost, option.pieces)
        if answer != least:
            out.wrong.append(f"{goal}: {answer}, trying everything finds {least}")
    for fewer in range(1, stages):
        goal = IN_ONE if fewer == 1 else f"{LEAST_MONEY} in up to {fewer} stages each"
        option = by_goal.get(goal)
        if option is not None:
            out.met["in fewer stages"] += 1
            least = Plainly(sites, items, fewer).least(every)
            if (option.cost, option.pieces) != least:
                out.wrong.append(f"{goal}: {option.cost}, trying everything finds {least}")
    for job, one in zip(every, found.jobs, strict=True):
        alone = plainly.least([job])
        rest = plainly.least([other for other in every if other != job])
        for what, price, least in (("alone", one.alone, alone), ("the others", one.others, rest)):
            # Where a job cannot be done nobody looks at what the others cost.
            known = what == "alone" or bool(found.options)
            if known and price.cost != (None if least is None else least[0]):
                out.wrong.append(f"{one.name}, {what}: {price.cost}, trying everything: {least}")
        out.met["a job that lacks nothing"] += one.owned
    for option in found.options:
        out.wrong += _promised(sites, items, option, stages)
        out.wrong += _needed(plainly, option)
    out.tried = plainly.tried
    cheapest = by_goal.get(LEAST_MONEY)
    out.met["bought"] += cheapest is not None
    out.met["nothing does"] += not found.options
    out.met["shared pieces"] += _shares(found, cheapest)
    return out


def _shares(found: Together, least: ForAll | None) -> bool:
    """Whether buying together costs less than buying for each job by itself."""
    return least is not None and least.cost < sum(job.alone.cost or 0.0 for job in found.jobs)


def _promised(
    sites: list[Site], items: dict[str, PricedItem], option: ForAll, stages: int
) -> Iterator[str]:
    """Where an option put among the gear of a job gives less than it names."""
    some = tuple(item.id for item in option.items for _ in range(item.count))
    for site, share in zip(sites, option.shares, strict=True):
        margin = margin_of(owning(site, items, some), share.option.stages)
        if margin is None or margin < share.option.margin - 1e-9:
            yield f"{site.title}: {some} promises {share.option.margin:.4f}, gives {margin}"


def _needed(plainly: Plainly, option: ForAll) -> Iterator[str]:
    """Where a job is said to need a piece that it can do without, or the other way round."""
    counts = {item.id: item.count for item in option.items}
    for job, share in enumerate(option.shares):
        assert share.needs is not None
        needs = {need.item: need.count for need in share.needs}
        for id, many in counts.items():
            rest = {other: n for other, n in counts.items() if other != id}
            few = next(
                n for n in range(many + 1)
                if plainly.does(job, tuple(i for i, m in {**rest, id: n}.items() for _ in range(m)))
            )  # fmt: skip
            if few != needs.get(id, 0):
                yield f"job {job} needs {few} of {id}, not {needs.get(id, 0)}"


def compared(number: int, stages: int, _flag: bool) -> tuple[Counts, list[str]]:
    """What there was of one set of jobs, and what differs."""
    found = compare(number, stages)
    return {**found.met, "rankings": found.tried}, found.wrong


if __name__ == "__main__":
    sys.exit(compare_staged(__doc__, compared, many=100, called="sets"))
