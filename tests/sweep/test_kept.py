"""A process that has ranked a site answers for one that differs in a number as one that starts anew does, to
the last digit, whatever it has kept: tables, rigs it evaluated, lines its re-check drew."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import Kept, rank
from optimiser.proof.loads import tight
from optimiser.rig.forces import evaluate
from optimiser.rig.gear import over_edges
from optimiser.rig.once import Lately
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.generated import made_up
from tests.properties.jobs import RECIPES, TIED

QUESTION = RankQuestion(top=4, explain=False)
EVERY = (*RECIPES, *TIED)
EXAMPLES = Path(__file__).parents[2] / "examples"
Change = Callable[[Site, Random], Site]


def heavier(site: Site, by: Random) -> Site:
    """Another weight of the load."""
    return replace(site, load=replace(site.load, weight=by.uniform(0.7, 1.4) * site.load.weight))


def rougher(site: Site, by: Random) -> Site:
    """Another resistance of the ground, on one leg."""
    number, more = by.randrange(len(site.legs)), by.uniform(1.0, 1.3)
    legs = [
        replace(leg, resistance=more * leg.resistance, saved=None) if i == number else leg
        for i, leg in enumerate(site.legs)
    ]
    return replace(site, legs=tuple(legs))


def moved(site: Site, by: Random) -> Site:
    """An anchor that stands elsewhere."""
    number, (dx, dy) = by.randrange(len(site.anchors)), (by.uniform(-0.5, 0.5) for _ in "xy")
    anchors = list(site.anchors)
    x, y, z = anchors[number].position
    anchors[number] = replace(anchors[number], position=(x + dx, y + dy, z))  # type: ignore[type-var]
    return replace(site, anchors=tuple(anchors))


def longer(site: Site, by: Random) -> Site:
    """Ropes of other lengths."""
    times = by.uniform(0.7, 1.3)
    gear = [p if p.length is None else replace(p, length=times * p.length) for p in site.gear]
    return replace(site, gear=tuple(gear))


def stronger(site: Site, by: Random) -> Site:
    """Pullers that pull more or less, along a shorter run."""
    limit, run = by.uniform(0.8, 1.3), by.uniform(0.7, 1.0)
    pullers = [replace(p, limit=limit * p.limit, run=run * p.run) for p in site.pullers]
    return replace(site, pullers=tuple(pullers))


CHANGES: tuple[Change, ...] = (heavier, rougher, moved, longer, stronger)


def listed(site: Site, kept: Kept | None = None) -> tuple[Setup, ...]:
    found = rank(site, QUESTION, kept=kept)
    assert found.proven
    return tuple(replace(setup, site=None) for setup in found)


def anew(site: Site, monkeypatch: pytest.MonkeyPatch) -> tuple[Setup, ...]:
    """As a process that knows nothing yet."""
    with monkeypatch.context() as patched:
        patched.setattr(evaluate, "_LATELY", Lately(0))
        patched.setattr(over_edges, "_LATELY", Lately(0))
        patched.setattr(tight, "tight", tight.tight.__wrapped__)
        patched.setattr("optimiser.proof.loads.forces.tight", tight.tight)
        return listed(site)


def same_after(
    site: Site, changes: Sequence[Change], by: Random, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept, there = Kept(), site
    for change in changes:
        listed(there, kept)
        there = change(site, by)
        assert listed(there, kept) == anew(there, monkeypatch)


@pytest.mark.parametrize("seed", range(4))
def test_what_is_kept_changes_no_answer(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    site, by = made_up(EVERY[seed % len(EVERY)], seed), Random(seed)
    same_after(site, (heavier, *by.sample(CHANGES, 3)), by, monkeypatch)


def test_nor_where_ropes_run_over_edges(monkeypatch: pytest.MonkeyPatch) -> None:
    site = replace(read_site(EXAMPLES / "crest-log.toml"), origin=None)
    same_after(site, (heavier, moved), Random(1), monkeypatch)
