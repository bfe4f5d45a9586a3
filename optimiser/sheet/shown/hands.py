"""Finds where the hand stands that holds a rope behind its turns round a trunk.

Behind the trunk, out of line with the rope, clear of every keep-out area, off the path, of trunks and
of posts. The distances are those the cautions state; the angles are tried in turn.
"""

from dataclasses import dataclass
from math import atan2, cos, hypot, pi, radians, sin

from optimiser.rig.ground.keepout import Danger, in_lane, within
from optimiser.rig.ground.plan_view import Point, distance_to
from optimiser.sheet.shown.ropes import Rope
from optimiser.sheet.shown.seen import Seen

NEAR = 1.83
"""m from the trunk at least (source key navedtra-14160: 6 ft)."""
_AWAY = (2.5, 3.5, 5.0, 7.0)
_ASIDE = (50.0, 70.0, 35.0, 90.0)
"""Degrees from straight behind the trunk, to either side."""
_ROOM = 0.5
"""m that a person takes up (project choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Its place in plan, m, and whether that is clear of every keep-out area."""

    at: Point
    clear: bool


def hand_of(drawn: Seen, rope: Rope) -> Hand:
    """The first place that is clear; where there is none, the first that is not inside an angle of the
    rope, else the first of all."""
    trunk = drawn.site.anchor(rope.walk[-1].name)
    x, y = trunk.position[:2]
    ways = rope.near[rope.station(0) : rope.station(len(drawn.at) - 1) + 1, -2, :2]
    behind = [atan2(y - b, x - a) for a, b in (ways[0], ways[-1])]
    middle = atan2(sin(behind[0]) + sin(behind[1]), cos(behind[0]) + cos(behind[1]))
    spots = [
        (
            x + (trunk.radius + away) * cos(middle + turn),
            y + (trunk.radius + away) * sin(middle + turn),
        )
        for away in _AWAY
        for aside in _ASIDE
        for turn in (radians(aside), -radians(aside))
    ]
    open_ground = [spot for spot in spots if _stands(drawn, rope, spot)] or spots
    free = [s for s in open_ground if not any(reaches(s, a.corners) for a in drawn.areas)]
    if free:
        return Hand(at=free[0], clear=True)
    bights = [a.corners for a in drawn.areas if a.danger is not Danger.RECOIL]
    outside = [s for s in open_ground if not any(reaches(s, corners) for corners in bights)]
    lines = [(tuple(way), (x, y)) for way in (ways[0], ways[-1])]
    aside_ = [s for s in outside if not any(in_lane(s, a, b) for a, b in lines)]
    return Hand(at=(aside_ or outside or open_ground)[0], clear=False)


def reaches(spot: Point, corners: tuple[Point, ...]) -> bool:
    """Whether an area comes as near to a spot as somebody there takes up."""
    turns = [2 * pi * i / 12 for i in range(12)]
    ring = [(spot[0] + _ROOM * cos(a), spot[1] + _ROOM * sin(a)) for a in turns]
    return any(within(point, corners) for point in (spot, *ring))


def _stands(drawn: Seen, rope: Rope, spot: Point) -> bool:
    """Whether somebody can stand there: no trunk, no post, not where the load goes."""
    site = drawn.site
    things = [(t.position, t.radius) for t in site.anchors]
    things += [(t.position, t.radius) for t in site.obstacles]
    if any(
        hypot(spot[0] - where[0], spot[1] - where[1]) < radius + _ROOM for where, radius in things
    ):
        return False
    half = site.load.width / 2 + _ROOM
    return all(distance_to(spot, leg.start[:2], leg.end[:2]) > half for leg in site.legs)
