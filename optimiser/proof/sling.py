"""Checks two trees that share a pull by a sling: what hangs on them, the sling itself, and where its shackle
comes to rest, found step by step and held to the law that the pull halves the angle between the legs."""

from collections.abc import Iterator, Sequence
from itertools import product
from math import acos, cos, dist, exp, hypot, pi, sin, sqrt
from typing import NamedTuple

from catalogue.gear import Block, MadeTo, Needs, Rope, Shackle
from optimiser.mechanics.values import Vec
from optimiser.proof.claim import Claim
from optimiser.proof.made_fast import each_end_once, for_rope
from optimiser.proof.notes import Notes
from optimiser.proof.pieces.ratings import rope_strength
from optimiser.proof.pieces.read_figures import figure
from optimiser.proof.place.ground import Ground, meets
from optimiser.proof.place.trunk import Way
from optimiser.rig.setup import SLING, Hung
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Anchor, Owned, Site, is_of

STILL = 1e-11
"""m by which the shackle still moves when it is at rest."""
MOST = 2000
FASTER = 1.1
EVEN = 1e-6
"""By how much the pull may be off the middle between the legs, over its size, for rounding."""


class Shared(NamedTuple):
    """Two trees that share, worked out from where they stand. `node`: of the walk; `ties`: the fastenings, m;
    `legs`: together, m; `tighter`: the most one leg carries over the pull; `levers`: of the trees, m."""

    node: int
    trees: tuple[Anchor, Anchor]
    ties: tuple[Vec, Vec]
    legs: float
    tighter: float
    levers: tuple[float, float]


class AtRest(NamedTuple):
    """Where the shackle is in one state, and the parts of the line that lead from there: the number of each,
    the point to which it leads straight, and whether it bends there. The pull on the sling, and the tension
    of the tighter part, N. `listed`: at a point of the profile."""

    place: Vec
    parts: tuple[tuple[int, Vec, bool], ...]
    pull: float
    tight: float
    listed: bool


def shared(site: Site, claim: Claim) -> Shared | None:
    """The two trees with a sling that the rig pulls on; None where there are none."""
    for node, place in enumerate(claim.nodes):
        if place.kind is PlaceKind.ANCHOR:
            sling = site.anchor(place.name).sling
            if sling is not None:
                one, other = (site.anchor(name) for name in sling.trees)
                high = place.height
                a, b = ((x, y, z + high) for x, y, z in (one.position, other.position))
                return Shared(
                    node, (one, other), (a, b), _legs(dist(a, b), sling.angle),
                    _tighter(sling.angle), (one.lever(high), other.lever(high)),
                )  # fmt: skip
    return None


def _legs(apart: float, angle: float) -> float:
    """m of two equal legs that meet at an angle, from the triangle that they make (law of cosines)."""
    return 2.0 * apart / sqrt(2.0 * (1.0 - cos(angle)))


def _tighter(angle: float) -> float:
    """The tighter leg over the pull, from two forces of which one is as many times the other as the bow
    holds back, an `angle` apart."""
    times = exp(figure("shared", "friction") * (pi - angle))
    return times / hypot(times + cos(angle), sin(angle))


def check(site: Site, claim: Claim, notes: Notes) -> None:
    """What a rig may put on two trees that share: one block or end, no bridle, nothing on either tree."""
    slings = [
        site.anchor(p.name).sling for p in claim.nodes
        if p.kind is PlaceKind.ANCHOR and site.anchor(p.name).sling is not None
    ]  # fmt: skip
    if not slings:
        return
    notes.need(len(slings) == 1, f"{len(slings)} lines on trees that share a pull")
    notes.need(claim.second is None, "two ropes on trees that share a pull")
    notes.need(not claim.attachment.startswith("bridle "), "a bridle and trees that share a pull")
    busy = {p.name for p in claim.nodes} | {claim.puller.anchor}
    for name in (name for sling in slings if sling is not None for name in sling.trees):
        notes.need(name not in busy, f"{name} shares a pull, and is used besides")
    found = shared(site, claim)
    assert found is not None
    sling = slings[0]
    assert sling is not None
    notes.same("legs of the sling", sling.legs, found.legs)
    notes.same("tighter leg of the sling", sling.tighter, found.tighter)
    least, most = (figure("shared", key) for key in ("angle_least", "angle_most"))
    notes.need(least - 1e-9 <= sling.angle <= most + 1e-9, "the legs of the sling spread too far")


def way(site: Site, claim: Claim, piece: Owned, hung: Hung) -> Way | None:
    """What a rope stands as the sling, tied as stated; None where it cannot be tied so or does not reach."""
    rope, found = piece.gear, shared(site, claim)
    if found is None or not isinstance(rope, Rope) or not is_of(piece, Rope):
        return None
    if piece.length is None or not rope.knottable or piece.joined is not None:
        return None
    stated = hung.how.removeprefix(SLING)
    for first, second in product(site.preferences.knots, repeat=2):
        words = f"{first.name}, {second.name}"
        if first.name == second.name:
            words = f"{first.name} at each end"
        takes = found.legs
        fits = stated == words and each_end_once(piece, [(first, False), (second, False)])
        for knot, tree in zip((first, second), found.trees, strict=True):
            thick = 2.0 * tree.least_radius
            fits = fits and MadeTo.TRUNK in knot.made_to and knot.needs is not Needs.FITTED
            fits = fits and for_rope(knot, rope)
            fits = fits and thick >= knot.least_trunk * rope.diameter * (1 - 1e-6)
            takes += knot.eats_diameters * rope.diameter + knot.eats
            takes += knot.turns * (tree.girth or 0.0)
        if fits and takes <= piece.length + 1e-6:
            keeps = min(first.keeps, second.keeps, figure("shared", "bend"))
            return Way(hung.how, rope_strength(piece, keeps=keeps), found.legs / 2.0)
    return None


def runs_on(piece: Owned, sling: Owned, notes: Notes) -> None:
    """The shackle that runs on the sling is as thick as it."""
    shackle, rope = piece.gear, sling.gear
    if isinstance(shackle, Shackle) and isinstance(rope, Rope):
        thick = shackle.bow_diameter >= rope.diameter - 1e-6
        notes.need(thick, f"{piece.name} is too thin to run on {sling.name}")


def hangs(block: Block, notes: Notes) -> None:
    """A block hangs in a shackle there: a hook may slip off."""
    notes.need(block.eye is not None, "a hook runs on a sling between two trees")


def at_rest(found: Shared, ends: Sequence[Vec], tensions: Sequence[float]) -> Vec:
    """The place, m, of the shackle under parts to fixed `ends`. The places that the legs allow are a ball
    that is drawn out along the line of the trees; on the ball it is the one in the direction of the pull,
    drawn out alike.
    A step that overshoots is taken half as far the next time. ArithmeticError where the pull does not
    halve the angle between the legs in the end."""
    a, b = found.ties
    apart = dist(a, b)
    axis = tuple((q - p) / apart for p, q in zip(a, b, strict=True))
    middle = tuple((p + q) / 2.0 for p, q in zip(a, b, strict=True))
    long, wide = found.legs / 2.0, sqrt(found.legs**2 - apart**2) / 2.0

    def drawn_out(v: Sequence[float]) -> list[float]:
        along = sum(p * q for p, q in zip(v, axis, strict=True))
        return [wide * p + (long - wide) * along * q for p, q in zip(v, axis, strict=True)]

    def pulled(place: Sequence[float]) -> list[float]:
        out = [0.0, 0.0, 0.0]
        for end, tension in zip(ends, tensions, strict=True):
            far = max(dist(end, place), 1e-9)
            out = [f + tension * (e - p) / far for f, e, p in zip(out, end, place, strict=True)]
        return out

    ball = _unit(drawn_out([e - m for e, m in zip(ends[0], middle, strict=True)]))
    place = [m + d for m, d in zip(middle, drawn_out(ball), strict=True)]
    share, before = 1.0, [0.0, 0.0, 0.0]
    for _ in range(MOST):
        goal = _unit(drawn_out(pulled(place)))
        off = [g - q for g, q in zip(goal, ball, strict=True)]
        if long * hypot(*off) < STILL:
            break
        on = sum(p * q for p, q in zip(off, before, strict=True)) >= 0.0
        share = min(share * FASTER, 1.0) if on else share / 2.0
        before = off
        ball = _unit([q + share * o for q, o in zip(ball, off, strict=True)])
        place = [m + d for m, d in zip(middle, drawn_out(ball), strict=True)]
    x, y, z = place
    _halves((x, y, z), found, pulled(place))
    return (x, y, z)


def _halves(place: Vec, found: Shared, pull: Sequence[float]) -> None:
    """Whether two equal tensions in the legs balance the pull."""
    legs = [_unit([t - p for t, p in zip(tie, place, strict=True)]) for tie in found.ties]
    back = [p + q for p, q in zip(*legs, strict=True)]
    size = hypot(*pull)
    if size < 1e-6:
        return
    even = _unit(back)
    along = -sum(p * q for p, q in zip(pull, even, strict=True))
    off = hypot(*(p + along * q for p, q in zip(pull, even, strict=True)))
    if off > EVEN * size or along < 0.0:
        raise ArithmeticError("the pull on the sling does not halve the angle between its legs")


def _unit(v: Sequence[float]) -> list[float]:
    size = max(hypot(*v), 1e-300)
    return [p / size for p in v]


def clear(
    ground: Ground, claim: Claim, found: Shared, shackles: Sequence[AtRest], notes: Notes
) -> None:
    """Legs and lines run free wherever the shackle comes to rest, and it comes to nothing that they lead to:
    what is nearer than the legs are long, from the one tree to it and on to the other, it comes to."""
    least = figure("shared", "least_pull")
    for place, parts, pull, tight, _ in shackles:
        for _, far, bends in parts:
            about = sum(dist(far, tie) for tie in found.ties)
            if not notes.need(
                bends or about > found.legs - 1e-9,
                "what a line leads to is within reach of its sling",
            ):
                return
        if not notes.need(
            pull >= least * tight * (1 - 1e-6), "a line passes the sling almost straight"
        ):
            return
        for begin, end, own, from_load in _runs(claim, found, place, parts):
            posts = ground.posts_near([begin], [end], own)
            drawn = ground.string(begin, end, from_load=from_load)
            free = not drawn.blocked and not any(meets(drawn, post) for post in posts)
            if not notes.need(free, "the sling between two trees, or a line from it, is not free"):
                return


def _runs(
    claim: Claim, found: Shared, place: Vec, parts: Sequence[tuple[int, Vec, bool]]
) -> Iterator[tuple[Vec, Vec, set[str], bool]]:
    """The straight runs from the shackle: to each tree, and along each part of the line to where it bends."""
    for tree, tie in zip(found.trees, found.ties, strict=True):
        yield place, tie, {tree.name}, False
    for k, far, bends in parts:
        there = claim.nodes[k if k < found.node else k + 1]
        own = {there.name} if there.kind is PlaceKind.ANCHOR else set()
        if there.kind is PlaceKind.PULLER and claim.puller.anchor is not None:
            own = {claim.puller.anchor}
        loose = there.kind is PlaceKind.LOAD and not bends
        yield (far, place, own, True) if loose else (place, far, own, False)


def stated(
    claim: Claim,
    found: Shared,
    shackles: Sequence[AtRest],
    worst: float,
    rope: Owned,
    notes: Notes,
) -> None:
    """What the answer says of the sling: its knots are checked with the gear. `worst`: the pull on it with
    the dynamic factor, N."""
    name = claim.nodes[found.node].name
    every = [one.slung for one in claim.made if one.anchor == name and one.slung is not None]
    if not notes.need(len(every) == 1, f"nothing is said of how {name} share the pull"):
        return
    (slung,) = every
    listed = [s for s in shackles if s.listed]
    angles = [_angle(s.place, found) for s in listed]
    even = max(s.pull / (2.0 * cos(a / 2.0)) for s, a in zip(listed, angles, strict=True))
    notes.same("least angle of the sling", slung.angle_least, min(angles))
    notes.same("greatest angle of the sling", slung.angle_most, max(angles))
    notes.same("each leg of the sling", slung.even, even * claim.puller.dynamic)
    notes.same("pull on the sling", slung.pull, worst)
    notes.same("tighter leg", slung.tighter, worst * found.tighter)
    notes.same("legs of the sling", slung.legs, found.legs)
    apart = dist(*found.ties) / found.legs
    notes.same("angle of the sling in the middle", slung.angle, acos(1.0 - 2.0 * apart**2))
    notes.same("height of the sling", slung.height, claim.nodes[found.node].height)
    notes.need(slung.rope == rope.name, f"the sling is {rope.name}, not {slung.rope}")
    names = tuple(tree.name for tree in found.trees)
    notes.need(slung.trees == names, f"the sling is between {names}")
    for tree, lever, share in zip(found.trees, found.levers, slung.alone, strict=True):
        stands = tree.strength.capacity
        due = stands is not None and worst > 0.0
        notes.need(
            (share is not None) == due, f"what {tree.name} alone stands is not as it is known"
        )
        if stands is not None and share is not None and worst > 0.0:
            notes.same(f"{tree.name} alone", share, stands / (worst * lever))


def _angle(place: Vec, found: Shared) -> float:
    """Between the legs, rad, from the three sides of the triangle that they make with the trees."""
    a, b = (dist(place, tie) for tie in found.ties)
    gap = dist(*found.ties)
    return acos(max(-1.0, min(1.0, (a * a + b * b - gap * gap) / (2.0 * a * b))))
