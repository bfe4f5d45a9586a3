"""A site turned about the plumb line, mirrored, and moved as a whole."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import cos, sin

from optimiser.mechanics.values import Vec
from optimiser.site.anchors import RatedAnchor, Tree
from optimiser.site.model import Anchor, Site


@dataclass(frozen=True)
class Motion:
    """First mirrored in the x axis, then turned by `angle` [rad], then moved by `shift` [m]."""

    angle: float
    shift: Vec
    mirrored: bool

    def way(self, vector: Vec) -> Vec:
        """A direction after it."""
        x, y, z = vector
        y = -y if self.mirrored else y
        c, s = cos(self.angle), sin(self.angle)
        return (c * x - s * y, s * x + c * y, z)

    def point(self, vector: Vec) -> Vec:
        """A place after it."""
        x, y, z = self.way(vector)
        return (x + self.shift[0], y + self.shift[1], z + self.shift[2])


def placed(anchor: Anchor, point: Callable[[Vec], Vec]) -> Anchor:
    """An anchor somewhere else."""
    assert isinstance(anchor, Tree | RatedAnchor)
    return replace(anchor, position=point(anchor.position))


def moved(site: Site, by: Motion) -> Site:
    """The whole site after a motion. What lay to the left of the load lies to the right of it in
    the mirror."""
    side = -1.0 if by.mirrored else 1.0
    load = replace(
        site.load, hitches=tuple(replace(h, left=side * h.left) for h in site.load.hitches)
    )
    return replace(
        site,
        load=load,
        legs=tuple(
            replace(leg, start=by.point(leg.start), end=by.point(leg.end)) for leg in site.legs
        ),
        anchors=tuple(placed(anchor, by.point) for anchor in site.anchors),
        obstacles=tuple(replace(o, position=by.point(o.position)) for o in site.obstacles),
        pullers=tuple(
            replace(p, position=by.point(p.position), heading=by.way(p.heading))
            for p in site.pullers
        ),
    )
