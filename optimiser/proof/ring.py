"""Finds where the ring of a bridle comes to rest, for the re-check: step by step, one place at a time."""

from collections.abc import Sequence
from math import sqrt

from optimiser.mechanics.values import Vec

STILL = 1e-11
"""m by which the ring still moves when it is at rest."""
MOST = 2000
FASTER = 1.1
"""How much longer a step is than the one before where that did not go too far."""


def ring_at_rest(a: Vec, b: Vec, leg: float, ends: Sequence[Vec], tensions: Sequence[float]) -> Vec:
    """The place, m, of the ring on two equal legs from `a` and `b` under parts to fixed `ends`: where no
    place that the legs allow lies further on in the direction of the parts' joint pull. A step that
    overshoots is taken half as far the next time."""
    ring = _furthest(a, b, leg, _minus(ends[0], _middle(a, b)))
    share, before = 1.0, (0.0, 0.0, 0.0)
    for _ in range(MOST):
        x = y = z = 0.0
        for end, tension in zip(ends, tensions, strict=True):
            way = _minus(end, ring)
            pull = tension / max(_long(way), 1e-9)
            x, y, z = x + pull * way[0], y + pull * way[1], z + pull * way[2]
        off = _minus(_furthest(a, b, leg, (x, y, z)), ring)
        if _long(off) < STILL:
            break
        on = sum(p * q for p, q in zip(off, before, strict=True)) >= 0.0
        share = share * FASTER if on else share / 2.0
        before = off
        ring = (ring[0] + share * off[0], ring[1] + share * off[1], ring[2] + share * off[2])
    return ring


def _furthest(a: Vec, b: Vec, leg: float, way: Vec) -> Vec:
    """The place that two legs allow furthest in a direction: on one leg drawn straight where the other
    is long enough for that, else on both, in the plane of the hitches and that direction."""
    size = max(_long(way), 1e-12)
    for one, other in ((a, b), (b, a)):
        drawn = tuple(p + leg * w / size for p, w in zip(one, way, strict=True))
        if _long(_minus(drawn, other)) <= leg:  # type: ignore[arg-type]
            return drawn  # type: ignore[return-value]
    span = _minus(b, a)
    along = sum(p * q for p, q in zip(span, way, strict=True)) / _long(span) ** 2
    x, y, z = (w - along * s for w, s in zip(way, span, strict=True))
    aside = max(_long((x, y, z)), 1e-12)
    reach = sqrt(leg * leg - _long(span) ** 2 / 4.0) / aside
    m = _middle(a, b)
    return m[0] + reach * x, m[1] + reach * y, m[2] + reach * z


def _middle(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0, (a[2] + b[2]) / 2.0


def _minus(a: Vec, b: Vec) -> Vec:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _long(a: Vec) -> float:
    return sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])
