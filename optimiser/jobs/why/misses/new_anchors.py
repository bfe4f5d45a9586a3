"""Looks for anchors that are not there yet and would do: a sling between two of the trees, a picket holdfast
beyond the end of the path."""

from collections.abc import Iterator
from dataclasses import replace

from catalogue.gear import Rope
from catalogue.prices import NEW
from optimiser.jobs.proposed import (
    NEAR,
    SYSTEMS,
    Pickets,
    TiedSling,
    pickets,
    slings,
    used,
    with_pickets,
    with_slings,
)
from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.misses.clearing import YES_OR_NO
from optimiser.jobs.why.rating_limits import walk_of
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit, stands
from optimiser.rig.setup import Change, Miss
from optimiser.site.model import Owned, is_of
from shared.units import Dimension, show

ONE_TREE = "strength of one tree"
NO_ANCHOR = "want of an anchor"
SLING = "another rope"


def misses(job: Job, budget: Budget) -> Iterator[Miss]:
    """What would do with one more anchor of either kind."""
    yield from _sharing(job, budget)
    yield from _holdfasts(job, budget)


# ---- two trees that share ---------------------------------------------------------------------------


def _sharing(job: Job, budget: Budget) -> Iterator[Miss]:
    """Two trees that the file does not let share yet, with a rope that is there, or one rope more."""
    proposed = slings(job.site)
    if not proposed:
        return
    site = with_slings(job.site, proposed)
    for kit in (job.kit, _one_more_rope(job.kit)):
        if kit is None:
            continue
        for filled in budget.search(replace(job, site=site, kit=kit), top=1)[0]:
            mine = used(proposed, walk_of(filled))
            if mine is not None:
                yield _shared(job, filled, mine)
                return


def _one_more_rope(kit: Kit) -> Kit | None:
    """The kit with one more rope like the strongest that takes knots; None where there is none."""
    ropes = [
        p for p in kit.ropes if p.gear.knottable and p.joined is None and stands(p) is not None
    ]
    if not ropes:
        return None
    best = max(ropes, key=lambda p: (stands(p) or 0.0, p.name))
    more = Owned(
        name=SLING, gear=best.gear, count=1, condition=NEW, length=5.0 * NEAR, price=1.0
    )  # fmt: skip
    return Kit((*kit.pieces, more), kit.knots)


def _shared(job: Job, filled: Filled, tied: TiedSling) -> Miss:
    row = filled.variant.row
    rope = filled.straps[row.numbers[row.slung[0]]].piece
    what = rope.name
    if is_of(rope, Rope) and rope.name == SLING:
        long = show(tied.anchor.sling.legs, Dimension.LENGTH, job.units)
        what = f"another {rope.gear.name}, {long} and its two knots long,"
    elif filled.variant.rope.name == SLING:
        what = f"{rope.name} (and another rope to haul on)"
    one, other = tied.trees
    return Miss(
        walk=walk_of(filled),
        limit=ONE_TREE,
        text=f"no single tree does, but {one} and {other} would if they shared the pull",
        short_by=YES_OR_NO,
        change=Change(text=tied.of(what), amount=float(tied.pieces), unit=tied.unit),
    )


# ---- pickets ----------------------------------------------------------------------------------------


def _holdfasts(job: Job, budget: Budget) -> Iterator[Miss]:
    """A picket holdfast beyond the end of the path, in undug ground; the least work that does."""
    for system in SYSTEMS:
        proposed = pickets(job.site, system)
        site = with_pickets(job.site, proposed)
        for filled in budget.search(replace(job, site=site), top=1)[0]:
            mine = used(proposed, walk_of(filled))
            if mine is not None:
                yield _driven(filled, mine)
                return


def _driven(filled: Filled, mine: Pickets) -> Miss:
    return Miss(
        walk=walk_of(filled),
        limit=NO_ANCHOR,
        text=f"it would do with a {mine.system} picket holdfast {mine.where}",
        short_by=YES_OR_NO,
        change=Change(text=mine.in_words, amount=float(mine.pieces), unit=mine.unit),
    )
