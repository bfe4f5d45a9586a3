"""Says what stops every hold over the next piece of a way down, by the one that comes nearest to working."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from optimiser.jobs.lower.hold_job import HoldJob
from optimiser.mechanics.arrays import Numbers
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import Scene
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.made_rigs import numbers_of

CHUNK = 200
ENOUGH = 300_000
"""Walks looked at for the reason why none holds."""
FEW = 3_000
"""Walks that are evaluated for it."""
EVEN = 20
"""Of walks that fail in equally many states so many are ranked by how much they fail."""


def what_stops(job: HoldJob, scenes: Sequence[Scene]) -> tuple[str, ...]:
    """What stops every hold over the scenes' stretch, in words."""
    every = [
        Tables(scene, job.kit, job.rules, 0.0, only_rated=False, line=job.line) for scene in scenes
    ]
    if not any((tables.by_hand and tables.leads.any()) or not tables.by_hand for tables in every):
        return ("there is no tree or post to turn the rope round, and no puller that pays out",)
    rope_short, hand, by_hand = inf, inf, False
    looked = 0
    nearest: list[_Nearest] = []
    for tables in every:
        for walks, bound in Grower(tables).every_walk():
            looked += len(walks)
            if looked > ENOUGH:
                break
            rope_short = min(rope_short, float((bound.rope - tables.drive.longest).min()))
            fits = bound.rope <= tables.drive.longest + 1e-9
            if not fits.any():
                continue
            holds = fits & (walks.gained > 0.0).all(axis=1)
            if tables.by_hand:
                by_hand = True
                if holds.any() and bound.pull is not None:
                    hand = min(hand, float(bound.pull[holds].min()))
            if looked <= FEW:
                nearest += _nearest(tables, numbers_of(walks.path[fits], tables))
    if rope_short == inf:
        return ("no line from the load runs free of trunks and ground to anything that holds",)
    if rope_short > 0.0:
        return (f"every rope is too short by {rope_short:.2f} m or more",)
    if by_hand and hand == inf:
        return ("however hard it is held, no line that runs free there holds the load back",)
    if by_hand and hand > job.hand.most:
        return (f"the hand would have to hold {hand:.0f} N or more",)
    best = min(nearest, key=lambda one: (one.failing, one.amount), default=None)
    if best is not None and best.words:
        return (f"no line that is long enough lets it down there: with the nearest {best.words}",)
    return ("no gear at hand stands it: a tree, a strap, a block or an end gives out",)


@dataclass(frozen=True, slots=True)
class _Nearest:
    """A walk that fails in few states: in how many, and what fails first, by how much ("": nothing)."""

    failing: int
    amount: float
    words: str


def _nearest(tables: Tables, walks: Numbers) -> Iterator[_Nearest]:
    """The nearest to working of some walks of equal length."""
    pattern = next(iter(eta_patterns(tables.kit, walks.shape[1] - 2)), None)
    if pattern is None:
        return
    for begin in range(0, len(walks), CHUNK):
        some = walks[begin : begin + CHUNK]
        etas = np.tile(np.array(pattern, dtype=float), (len(some), 1))
        rated = evaluate(tables.scene, some, etas, Duty.LOWER)
        looks = [ev for ev in (rated, rated.twin) if ev is not None]
        failing = (~rated.works).sum(axis=1)
        for row in np.flatnonzero(failing == failing.min())[:EVEN]:
            found = [failure for ev in looks if (failure := ev.verdict.first(int(row)))]
            first = min(found, key=lambda failure: failure.state, default=None)
            if first is None:
                yield _Nearest(0, 0.0, "")
            else:
                yield _Nearest(int(failing[row]), first.amount, first.text)
