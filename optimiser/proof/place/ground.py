"""Checks whether straight lines run free of posts and of the path's ground."""

from collections.abc import Sequence
from math import ceil, hypot, sqrt

from optimiser.mechanics.values import Vec
from optimiser.site.model import Site

END = 0.5
"""m at a line's fixed end where the strap's height rules, not the ground."""
Post = tuple[str, float, float, float, float]
"""Name, x, y, radius and the height of its top."""


class Ground:
    """What stands and lies in a line's way on one site."""

    def __init__(self, site: Site) -> None:
        p = site.preferences
        self.within, self.above = p.ground_known_within, p.clearance
        self.posts: list[Post] = [
            (a.name, a.position[0], a.position[1], a.radius, a.position[2] + a.top)
            for a in site.anchors
            if a.radius > 0.0
        ]
        # An obstacle is in the way of every line, whatever it is called.
        self.posts += [
            ("", o.position[0], o.position[1], o.radius, o.position[2] + o.top)
            for o in site.obstacles
        ]
        self.ground: list[Vec] = []
        for leg in site.legs:
            if leg.edge_protected:
                continue
            long = hypot(*(b - a for a, b in zip(leg.start, leg.end, strict=True)))
            many = max(ceil(long), 1)
            for k in range(many + 1):
                x, y, z = (a + (b - a) * k / many for a, b in zip(leg.start, leg.end, strict=True))
                self.ground.append((x, y, z))

    def posts_near(self, begins: Sequence[Vec], ends: Sequence[Vec], own: set[str]) -> list[Post]:
        """Posts that any line from one of `begins` to one of `ends` may meet."""
        every = (*begins, *ends)
        west, east = min(p[0] for p in every), max(p[0] for p in every)
        south, north = min(p[1] for p in every), max(p[1] for p in every)
        return [
            post
            for post in self.posts
            if not (post[0] and post[0] in own)
            and west - post[3] < post[1] < east + post[3]
            and south - post[3] < post[2] < north + post[3]
        ]

    def ground_near(self, begins: Sequence[Vec], ends: Sequence[Vec]) -> list[Vec]:
        """Points of the ground that any line from one of `begins` to one of `ends` may meet."""
        every, wide = (*begins, *ends), self.within
        west, east = min(p[0] for p in every), max(p[0] for p in every)
        south, north = min(p[1] for p in every), max(p[1] for p in every)
        low = min(p[2] for p in every)
        return [
            g
            for g in self.ground
            if west - wide <= g[0] <= east + wide
            and south - wide <= g[1] <= north + wide
            and low < g[2] + self.above
        ]

    def touches(self, begin: Vec, end: Vec, ground: Sequence[Vec], *, from_load: bool) -> bool:
        """Whether the line comes too close to one of the ground's points under it. Near a fixed end
        the ground is left out; at the load only what is behind the hitch."""
        dx, dy, dz = end[0] - begin[0], end[1] - begin[1], end[2] - begin[2]
        flat = hypot(dx, dy)
        if flat < 1e-6:
            return False
        ux, uy = dx / flat, dy / flat
        first = 1e-6 * flat if from_load else END
        for x, y, z in ground:
            ox, oy = x - begin[0], y - begin[1]
            reach = ox * ux + oy * uy
            if (
                first < reach < flat - END
                and abs(ox * uy - oy * ux) <= self.within
                and begin[2] + dz * reach / flat - z < self.above - 1e-9
            ):
                return True
        return False


def meets(begin: Vec, end: Vec, post: Post) -> bool:
    """Whether the line enters the upright cylinder: the chord in plan, and its lower end against
    the post's top."""
    _, x, y, radius, top = post
    dx, dy = end[0] - begin[0], end[1] - begin[1]
    flat = hypot(dx, dy)
    if flat < 1e-6:
        inside = hypot(begin[0] - x, begin[1] - y) < radius
        return inside and min(begin[2], end[2]) < top
    ux, uy = dx / flat, dy / flat
    reach = (x - begin[0]) * ux + (y - begin[1]) * uy
    aside = (x - begin[0]) * uy - (y - begin[1]) * ux
    if abs(aside) >= radius - 1e-9:
        return False
    half = sqrt(radius * radius - aside * aside)
    enter, leave = max(reach - half, 0.0), min(reach + half, flat)
    if enter >= leave:
        return False
    slope = (end[2] - begin[2]) / flat
    return begin[2] + min(enter * slope, leave * slope) < top - 1e-9
