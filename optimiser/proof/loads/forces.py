"""Works out the forces in a rig at every point of the path with the puller at every spot of its run.

Written out from equilibrium: a second opinion by means of its own. The same steps serve a line that hauls,
holds or steers; what differs is its `Duty`: what a sheave passes on, and what the end of the rope has to
pull with the load at one point.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import product

import numpy as np

from catalogue.gear import Block
from optimiser.mechanics.arrays import Array
from optimiser.mechanics.values import Vec
from optimiser.proof.claim import Claim
from optimiser.proof.loads.states import Duty, Found, Group, Pulled, accounted
from optimiser.proof.loads.tight import Laid, Sheet, tight
from optimiser.proof.place.course import Course, vec
from optimiser.proof.place.ground import Ground
from optimiser.proof.place.points import Hold, Point
from optimiser.proof.sling import AtRest, Shared, shared
from optimiser.rig.setup import Role
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Owned, Puller, Site

SPOTS = (0.0, 0.5, 1.0)
"""Shares of its run at which the puller is looked at."""


def spots_of(puller: Puller) -> list[Vec]:
    """Where the hauling line ends, from the near to the far end of the puller's run."""
    x, y, z = puller.position
    shares = SPOTS if puller.run > 0.0 else (0.0,)
    return [
        (
            x + s * puller.run * puller.heading[0],
            y + s * puller.run * puller.heading[1],
            z + puller.height + s * puller.run * puller.heading[2],
        )
        for s in shares
    ]


def fixed_places(site: Site, walk: Walk) -> list[Vec | None]:
    """Position of each node; None for those on the load and for the puller."""
    out: list[Vec | None] = []
    for place in walk:
        if place.kind is PlaceKind.ANCHOR:
            x, y, z = site.anchor(place.name).position
            out.append((x, y, z + place.height))
        else:
            out.append(None)
    return out


def ends_of(site: Site, claim: Claim) -> list[Vec]:
    """Where the rope's last end is, at every spot that is looked at."""
    at = fixed_places(site, claim.walk)[-1]
    return spots_of(claim.puller) if at is None else [at]


def at_every_end(claim: Claim, owned: Mapping[str, Owned]) -> list[Claim]:
    """The rig with each of its sheaves at either end of its efficiency, where that is a range: at every
    combination of them, all low first."""
    most: dict[int, float] = {}
    for h in claim.gear:
        block = owned[h.item].gear if h.item in owned else None
        if h.role is Role.BLOCK and isinstance(block, Block) and block.eta_most is not None:
            most |= dict.fromkeys(h.nodes, block.eta_most)
    ends: list[tuple[float, ...]] = []
    begin = 0
    for line in claim.lines:
        for i, eta in enumerate(line.etas, start=begin + 1):
            ends.append((eta, most[i]) if i in most else (eta,))
        begin += len(line.walk)
    out = []
    for chosen in product(*ends):
        left = list(chosen)
        lines = []
        for line in claim.lines:
            own, left = left[: len(line.etas)], left[len(line.etas) :]
            lines.append(replace(line, etas=tuple(own)))
        out.append(replace(claim, lines=tuple(lines)))
    return out


def work_out(
    site: Site, ground: Ground, claim: Claim, duty: Duty, hold: Hold, points: list[Point],
    groups: Iterable[Group], owned: Mapping[str, Owned],
) -> Found:  # fmt: skip
    """Every state of a rig of one rope. `owned`: the pieces by name."""
    walk, puller = claim.walk, claim.puller
    every = [one.etas for one in at_every_end(claim, owned)]
    looks = duty.looks(every, edges=bool(ground.laid))
    course, spots = Course.of(points), ends_of(site, claim)
    slung = shared(site, claim)
    held = tight(
        Laid.on(
            course, ground, walk=walk, hold=hold, fixed=fixed_places(site, walk), spots=spots,
            puller=puller, rope=claim.rope.gear, looks=looks, slung=slung,
        )
    )  # fmt: skip
    loads = [i for i, place in enumerate(walk) if place.kind is PlaceKind.LOAD]
    onto, ideal = (some[:, :, loads].sum(axis=2) for some in (held.force, held.plain))
    needs = duty.needs(course, Pulled(onto, ideal, held.limit))
    worst, ways = accounted(course, hold, held.force, needs, list(groups))
    whole = held.line.length.sum(axis=2)[course.listed]
    out = Found(
        course=course,
        spot=np.tile(np.arange(len(spots)), len(held.look) // len(spots)),
        look=held.look,
        needs=needs,
        tau=held.tau,
        worst=worst,
        near=whole[:, 0].tolist(),
        far=whole[:, -1].tolist(),
        shortest=held.line.length.min(axis=(0, 1)).tolist(),
        looks=len(looks),
        rated=len(every),
        slips=looks[0].slips,
        touched=held.touched(needs.pull * puller.dynamic),
        ways=ways,
    )
    if slung is not None:
        out.shackles.extend(_at_rest(slung, held.sheets[1:], held.force, out))
    return out


def _at_rest(slung: Shared, sheets: Sequence[Sheet], force: Array, out: Found) -> Iterator[AtRest]:
    """Where the shackle is in each state, with the line there. `force`: of all variants, those with the
    shackle at rest last."""
    node, spots = slung.node, sheets[0].limit.shape[1]
    first = force.shape[1] - spots * len(sheets)
    size = np.sqrt((force[:, :, node] ** 2).sum(axis=-1)) * out.pull
    for number, sheet in enumerate(sheets):
        line, tense = sheet.line, sheet.tense[0]
        parts = [k for k in (node - 1, node) if 0 <= k < line.length.shape[2]]
        for p, s in np.ndindex(*line.length.shape[:2]):
            ways, most = [], 0.0
            for k in parts:
                begins = k == node
                far = (line.after if begins else line.before)[p, s, k]
                most = max(most, float((tense.begin if begins else tense.end)[p, s, k]))
                ways.append((k, vec(far), (p, s, k) in line.strings))
            at = vec(line.begin[p, s, node] if node in parts else line.end[p, s, node - 1])
            v = first + number * spots + s
            pull = float(out.pull[p, v])
            yield AtRest(at, tuple(ways), float(size[p, v]), most * pull, bool(out.listed[p]))
