"""Cuts rankings short after some effort, and looks for a setup in the list of a ranking to the end that is
better than what the answer so far says could still come.

`python -m tests.ranking.cut_short --sites 200` looks at many sites.
"""

import argparse
from dataclasses import replace

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import Ranking, Setup
from optimiser.search.clock import Clock
from optimiser.site.model import Site
from shared.effort import spent
from tests.generated import HOME, MID, Recipe, made_up

SHARES = (0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95)
"""Of the effort of a whole ranking, after which one is cut short."""
RECIPES: tuple[Recipe, ...] = (
    HOME,
    replace(HOME, light=0.5, order=("resets", "rope", "margin")),
    replace(HOME, mixed=True, ropes=2, pullers=2, order=("parts", "pull")),
    replace(HOME, regime="anchor", bridle=True, unrated=("tree0",), mirrored=True),
    replace(MID, ropes=2, order=("rope", "margin")),
)
NEAR = 1e-6
_Sort = tuple[bool, tuple[float, ...]]


def wrong(site: Site, question: RankQuestion) -> tuple[int, int, list[str]]:
    """(rankings that were cut short and state what could still come, those that state that the first stands,
    what was wrong with what they state)."""
    before = spent()
    whole = rank_hauls(site, question)
    effort = spent() - before
    bounded = standing = 0
    faults: list[str] = []
    for share in SHARES:
        cut = rank_hauls(site, question, clock=Clock(None, None).within(share * effort))
        if cut.unsearched is None:
            continue
        bounded += 1
        standing += cut.unsearched.first_stands
        faults += [f"after {share}: {fault}" for fault in _too_little(site, whole, cut, question)]
    return bounded, standing, faults


def _too_little(site: Site, whole: Ranking, cut: Ranking, question: RankQuestion) -> list[str]:
    order = Order.of(site.preferences, question.by)

    def sort(setup: Setup) -> _Sort:
        return bool(setup.unrated), order.sortable(Key.of(setup, setup.margin))

    rest = cut.unsearched
    assert rest is not None
    faults = []
    if cut.proven:
        faults.append("something may come though nothing better exists")
    if rest.first_stands and sort(cut[0]) != sort(whole[0]):
        faults.append("the first does not stand")
    listed = {setup.reeving: sort(setup) for setup in cut}
    for setup in whole:
        if listed.get(setup.reeving) == sort(setup):
            continue
        if rest.margin is not None and setup.margin > rest.margin + NEAR:
            faults.append(f"{setup.reeving}: margin {setup.margin}, at most {rest.margin} stated")
        if rest.resets is not None and setup.resets < rest.resets:
            faults.append(f"{setup.reeving}: {setup.resets} resets, at least {rest.resets} stated")
        if rest.rope is not None and setup.rope_needed < rest.rope - NEAR:
            faults.append(f"{setup.reeving}: {setup.rope_needed} m, at least {rest.rope} stated")
    return faults


def sites(many: int) -> list[tuple[Site, RankQuestion]]:
    """Made-up sites of every recipe in turn, each with a question for a short list."""
    return [
        (
            made_up(RECIPES[seed % len(RECIPES)], seed),
            RankQuestion(top=(1, 4, 10)[seed % 3], explain=False),
        )
        for seed in range(many)
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sites", type=int, default=200)
    bounded = standing = 0
    faults: list[str] = []
    for seed, (site, question) in enumerate(sites(parser.parse_args().sites)):
        some, firsts, found = wrong(site, question)
        bounded, standing = bounded + some, standing + firsts
        faults += [f"site {seed}, {fault}" for fault in found]
    print(f"{bounded} cut short, of {standing} the first stands, {len(faults)} wrong")
    print("\n".join(faults))


if __name__ == "__main__":
    main()
