"""What ropes, wires over a sheave and straps round a trunk stand, worked out anew."""

from bisect import bisect_right
from math import acos, hypot, pi, sqrt
from typing import NamedTuple

from catalogue.gear import Rope
from optimiser.site.model import Owned

WIRE_KEEPS = {
    1.0: 0.50, 2.0: 0.65, 4.0: 0.75, 6.0: 0.79, 8.0: 0.83, 10.0: 0.86, 15.0: 0.89, 20.0: 0.91,
    30.0: 0.93, 40.0: 0.95,
}  # fmt: skip
"""Share of a wire rope's strength kept over a sheave, by sheave / rope diameter: rigging trade sheets."""
CHOKE_LEG = 0.15
"""m that stick out of a choke (common practice, no source)."""


def rope_strength(piece: Owned, keeps: float = 1.0, bend: float = 1.0) -> float | None:
    """N, None where it is unrated: the part of its breaking strength that is used, or its stated rating where
    that is less, and of it what its condition, its knot and its bend leave."""
    rope = piece.gear
    assert isinstance(rope, Rope)
    broken = None if rope.mbs is None else rope.mbs / rope.design_factor
    known = [limit for limit in (broken, rope.wll) if limit is not None]
    if piece.unrated or not known:
        return None
    left = sorted(known)[0]
    for share in (piece.condition.keeps, keeps, bend):
        left *= share
    return left


def wire_over(sheave: float, wire: float) -> float:
    """Share of a wire's strength kept, between the published ratios on straight lines."""
    ratios = list(WIRE_KEEPS)
    least, most = ratios[0], ratios[-1]
    here = min(max(sheave / wire, least), most)
    k = min(bisect_right(ratios, here), len(ratios) - 1)
    low, high = ratios[k - 1], ratios[k]
    rise = (WIRE_KEEPS[high] - WIRE_KEEPS[low]) / (high - low)
    return WIRE_KEEPS[low] + rise * (here - low)


class Round(NamedTuple):
    """What a strap stands, N (None: unrated), and how far from the trunk's middle it bears, m."""

    stands: float | None
    out: float


def round_a_trunk(
    *, length: float, radius: float, wll: float | None, choked: float, doubled: float
) -> dict[str, Round]:
    """Every way, by its name. A strap that bears `out` from the middle has two free legs of √(out² - r²) and
    lies on the trunk for the rest; in a basket each leg's share along the pull is that leg over `out`."""
    widest = 2.0 * radius / sqrt(3.0)  # legs at 120°: half of it has the sine √3 / 2
    noose = _taken(widest, radius)
    out: dict[str, Round] = {}
    if length >= noose:
        far = _out(length, radius)
        share = sqrt(far * far - radius * radius) / far
        out["basket"] = Round(None if wll is None else wll * doubled * share, far)
    if length >= noose + CHOKE_LEG:
        out["choker"] = Round(None if wll is None else wll * choked, widest + length - noose)
    return out


def _taken(out: float, radius: float) -> float:
    """m of strap that bears `out` from the middle of a trunk."""
    leg = sqrt(max(out * out - radius * radius, 0.0))
    return 2.0 * leg + 2.0 * radius * (pi - acos(radius / out))


def _out(length: float, radius: float) -> float:
    """How far out a strap of that length bears, m: Newton's steps from what it is without the trunk. For each
    metre further out it takes twice the leg's share along the pull."""
    out = hypot(max(length - pi * radius, 0.0) / 2.0, radius)
    for _ in range(100):
        over = _taken(out, radius) - length
        step = over * out / (2.0 * sqrt(max(out * out - radius * radius, 1e-300)))
        out = max(out - step, radius * (1.0 + 1e-12))
        if abs(step) < 1e-15:
            break
    return out
