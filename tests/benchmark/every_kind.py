"""Sites of every kind, ranked in any order: how many are proven, and how soon."""

import time
from dataclasses import replace
from random import Random

from catalogue.gear import Rope
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.site.model import Site
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page
from tests.generated import Recipe, made_up

MANY, FEW = 150, 10
LIMIT = 37.0
"""s of the clock for each."""
COUNTS = ("margin", "resets", "rope", "parts", "pull")


def of_every_kind(number: int) -> Site:
    """20 to 60 trees, four to eight sheaves, ropes of 15 to 200 m, a light load, any puller and any order."""
    rng = Random(number)
    recipe = Recipe(
        trees=rng.randint(20, 60),
        heights=rng.randint(1, 4),
        sheaves=rng.randint(4, 8),
        items=rng.randint(40, 80),
        regime=rng.choice(("easy", "puller", "anchor")),
        ropes=rng.randint(1, 3),
        pullers=rng.randint(1, 2),
        puller=rng.choice(("vehicle", "people", "hand winch")),
        mixed=rng.random() < 0.3,
        bridle=rng.random() < 0.2,
        boulder=rng.random() < 0.2,
        rough=rng.random() < 0.2,
        light=rng.uniform(0.1, 1.0),
        order=tuple(rng.sample(COUNTS, 3)),
    )
    site = made_up(recipe, number)
    longer = rng.uniform(0.2, 3.0)
    gear = tuple(
        replace(piece, length=min(max(piece.length * longer, 15.0), 200.0))
        if isinstance(piece.gear, Rope) and piece.length is not None
        else piece
        for piece in site.gear
    )
    return replace(site, gear=gear)


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    took: list[tuple[float, int, bool, Site]] = []
    for number in range(FEW if quick else MANY):
        site = of_every_kind(number)
        began = time.process_time()
        found = rank(site, RankQuestion(explain=False, compound=False, time_limit=LIMIT))
        took.append((time.process_time() - began, number, found.proven, site))
    times = sorted(seconds for seconds, _, _, _ in took)
    shares = (("half", 0.5), ("nine of ten", 0.9), ("95 of 100", 0.95), ("all", 1.0))
    unproven = sum(not proven for _, _, proven, _ in took)
    page.table(
        "Sites of every kind",
        ("within s", "of the sites"),
        [(times[min(int(share * len(times)), len(times) - 1)], name) for name, share in shares],
        f"{len(took)} sites; not proven within {LIMIT:g} s of the clock: {unproven}.",
    )
    rows = [
        (number, seconds, proven, site.preferences.most_sheaves, ", ".join(site.preferences.order))
        for seconds, number, proven, site in sorted(took, key=lambda one: -one[0])[:8]
    ]
    page.table("The slowest of them", ("site", "s", "proven", "sheaves", "order"), rows)
    reached.add("sites of every kind that are not proven", 0, unproven, "")
