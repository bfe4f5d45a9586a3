"""Looks for anchors that are not there yet and would do: a sling between two of the trees, a picket holdfast
beyond the end of the path."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import combinations
from math import dist, hypot
from typing import Any

from catalogue.gear import Rope
from catalogue.prices import NEW
from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.misses.clearing import YES_OR_NO
from optimiser.jobs.why.rating_limits import walk_of
from optimiser.mechanics.values import Vec
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit, stands
from optimiser.rig.made_anchors import minutes
from optimiser.rig.setup import Change, Miss
from optimiser.site.anchors import RatedAnchor, SharedAnchor, Tree, shared_anchor
from optimiser.site.document.made_of import AT_THE_GROUND, NO_RATING, HoldfastPart, System
from optimiser.site.model import AnchorKind, Owned, is_of
from shared.units import Dimension, show

ONE_TREE = "strength of one tree"
NO_ANCHOR = "want of an anchor"
NEAR = 6.0
"""m between two trees beyond which no sling is proposed (choice: it takes three times as much rope)."""
MOST_PAIRS = 6
"""Pairs of trees that are looked at, the nearest ones (choice)."""
SLING = "another rope"
BEYOND = (2.0, 4.0)
"""m beyond the place of the load's front at the end of the path where pickets are looked at (choice)."""
ASIDE = (0.0, 2.0, -2.0)
"""m to the left of the path's line there."""
SYSTEMS: tuple[System, ...] = ("1-1", "1-1-1", "3-2-1")
"""Holdfasts that are proposed, the least work first."""
PICKETS = "pickets to be driven"


def misses(job: Job, budget: Budget) -> Iterator[Miss]:
    """What would do with one more anchor of either kind."""
    yield from _sharing(job, budget)
    yield from _holdfasts(job, budget)


# ---- two trees that share ---------------------------------------------------------------------------


def _sharing(job: Job, budget: Budget) -> Iterator[Miss]:
    """Two trees that the file does not let share yet, with a rope that is there, or one rope more."""
    pairs = _pairs(job)
    if not pairs:
        return
    site = replace(job.site, anchors=(*job.site.anchors, *pairs))
    for kit in (job.kit, _one_more_rope(job.kit)):
        if kit is None:
            continue
        for filled in budget.search(replace(job, site=site, kit=kit), top=1)[0]:
            if filled.variant.row.slung:
                yield _shared(job, filled)
                return


def _pairs(job: Job) -> list[SharedAnchor]:
    """The nearest pairs of trees that do not share yet."""
    anchors = job.site.anchors
    known = {frozenset(a.sling.trees) for a in anchors if a.sling is not None}
    trees = [a for a in anchors if isinstance(a, Tree)]
    near = [
        two
        for two in combinations(trees, 2)
        if dist(two[0].position, two[1].position) <= NEAR
        and frozenset(tree.name for tree in two) not in known
    ]
    near.sort(key=lambda two: dist(two[0].position, two[1].position))
    found = [shared_anchor(one, other) for one, other in near[:MOST_PAIRS]]
    return [pair for pair in found if isinstance(pair, SharedAnchor)]


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


def _shared(job: Job, filled: Filled) -> Miss:
    row = filled.variant.row
    place = row.numbers[row.slung[0]]
    anchor, hanging = row.anchor_at(place), filled.straps[place]
    assert anchor.sling is not None
    one, other = anchor.sling.trees
    rope = hanging.piece
    what = rope.name
    if is_of(rope, Rope) and rope.name == SLING:
        long = show(anchor.sling.legs, Dimension.LENGTH, job.units)
        what = f"another {rope.gear.name}, {long} and its two knots long,"
    elif filled.variant.rope.name == SLING:
        what = f"{rope.name} (and another rope to haul on)"
    return Miss(
        walk=walk_of(filled),
        limit=ONE_TREE,
        text=f"no single tree does, but {one} and {other} would if they shared the pull",
        short_by=YES_OR_NO,
        change=Change(
            text=(
                f"tie {what} as a sling between {one} and {other}, with a shackle that runs on it (in the "
                f'site file: [[pair]] trees = ["{one}", "{other}"])'
            ),
            amount=1.0,
            unit="slings",
        ),
    )


# ---- pickets ----------------------------------------------------------------------------------------


def _holdfasts(job: Job, budget: Budget) -> Iterator[Miss]:
    """A picket holdfast beyond the end of the path, in undug ground; the least work that does."""
    spots = _spots(job)
    for system in SYSTEMS:
        made = HoldfastPart(system=system, pickets="wood", soil="loam").as_anchor(system)
        anchors = tuple(_pickets(made, number, at) for number, (at, _) in enumerate(spots))
        stock = ((PICKETS, 1), *((_spot(number), 1) for number in range(len(spots))))
        site = replace(
            job.site, anchors=(*job.site.anchors, *anchors), stock=(*job.site.stock, *stock)
        )
        for filled in budget.search(replace(job, site=site), top=1)[0]:
            used = {place.name for place in walk_of(filled)}
            mine = next((i for i, a in enumerate(anchors) if a.name in used), None)
            if mine is not None:
                yield _driven(job, filled, system, spots[mine][1], anchors[mine])
                return


def _spot(number: int) -> str:
    return f"spot {number + 1} for {PICKETS}"


def _pickets(made: Mapping[str, Any], number: int, at: Vec) -> RatedAnchor:
    """A holdfast at a spot, one of which there may be."""
    plain = RatedAnchor(
        name=f"pickets {number + 1}", position=at, kind=AnchorKind.PICKET_HOLDFAST,
        heights=AT_THE_GROUND, girth=None, strength=NO_RATING, radius=0.0, top=0.5,
        uses=((PICKETS, 1), (_spot(number), 1)),
    )  # fmt: skip
    return replace(plain, **made)


def _spots(job: Job) -> list[tuple[Vec, str]]:
    """Where pickets may go, m, each with where that is in words."""
    leg = job.site.legs[-1]
    way = [b - a for a, b in zip(leg.start, leg.end, strict=True)]
    level = hypot(way[0], way[1])
    x, y = way[0] / level, way[1] / level
    out: list[tuple[Vec, str]] = []
    for beyond in BEYOND:
        for aside in ASIDE:
            on = job.site.load.overhang + beyond
            at = (leg.end[0] + on * x - aside * y, leg.end[1] + on * y + aside * x, leg.end[2])
            out.append((at, _worded(beyond, aside, job.units)))
    return out


def _worded(beyond: float, aside: float, units: str) -> str:
    far = show(beyond, Dimension.LENGTH, units)
    off = show(abs(aside), Dimension.LENGTH, units)
    side = (
        "in line with it" if aside == 0.0 else f"{off} to the {'left' if aside > 0.0 else 'right'}"
    )
    return f"{far} beyond the load's front at the end of the path, {side}, on the same level"


def _driven(job: Job, filled: Filled, system: str, where: str, anchor: RatedAnchor) -> Miss:
    assert anchor.making is not None
    frame = job.site.frame
    at = anchor.position if frame is None else frame.in_file(anchor.position)
    spot = ", ".join(f'"{x + 0.0:.2f} m"' for x in at)
    pieces = sum(many for many, _ in anchor.making.pieces[:1])
    return Miss(
        walk=walk_of(filled),
        limit=NO_ANCHOR,
        text=f"it would do with a {system} picket holdfast {where}",
        short_by=YES_OR_NO,
        change=Change(
            text=(
                f"drive {pieces} wooden pickets as a {system} holdfast {where}, in loam that was never dug "
                f"({minutes(anchor.making.minutes)} for two people; half as strong in river clay or sand; "
                "ask first where cables, pipes and drains lie; in the site file: [[made]] with "
                f"spots = [[{spot}]])"
            ),
            amount=float(pieces),
            unit="pickets",
        ),
    )
