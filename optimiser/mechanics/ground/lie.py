"""How straight lines over the ground lie: how steep from one place to another."""

from math import atan2, hypot

from optimiser.mechanics.values import Vec


def slope(*, start: Vec, end: Vec) -> float:
    """atan(rise / level distance) [rad] of the straight line between two places [m], 0 between a place and
    itself; below 0 where it falls."""
    return atan2(end[2] - start[2], hypot(end[0] - start[0], end[1] - start[1]))
