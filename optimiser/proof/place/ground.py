"""Works out what stands and lies in a line's way on one site: posts, and the ground of the path, which is
bare or has something laid on it for ropes to run over."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, dist, hypot, sqrt

from catalogue.gear import Protector
from optimiser.mechanics.values import Vec
from optimiser.proof.place.string import Spot, String, Touch, apart, carriers
from optimiser.site.model import Leg, Site

BARE_ROPE = 0.1
"""m that a hitch keeps from where its rope turns first, if it is lower than the rope there (the job's own
definition)."""
END = 0.5
"""m at a line's fixed end where the strap's height rules, not the ground."""
CREST = 1e-9
"""By how much a slope must fall at a vertex that is a crest."""
Post = tuple[str, float, float, float, float]
"""Name, x, y, radius and the height of its top."""


class Ground:
    """What stands and lies in a line's way on one site. `lays`: what the rig lays on bare ground;
    `may_touch`: whether its lines may run over what is laid at all."""

    def __init__(
        self, site: Site, lays: Protector | None = None, *, may_touch: bool = True
    ) -> None:
        p = site.preferences
        self.within, self.above, self.may_touch = p.ground_known_within, p.clearance, may_touch
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
        every = list(_spots(site, lays))
        self.bare = [spot for spot in every if spot.protector is None]
        self.laid = [spot for spot in every if spot.protector is not None]
        self._known: dict[tuple[Vec, Vec, bool, bool], String] = {}

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

    def ground_near(self, begins: Sequence[Vec], ends: Sequence[Vec]) -> bool:
        """Whether any line from one of `begins` to one of `ends` may meet the ground."""
        every, wide = (*begins, *ends), self.within
        west, east = min(p[0] for p in every), max(p[0] for p in every)
        south, north = min(p[1] for p in every), max(p[1] for p in every)
        low = min(p[2] for p in every)
        return any(
            west - wide <= g.x <= east + wide
            and south - wide <= g.y <= north + wide
            and low < g.z + max(g.runs, self.above)
            for some in (self.bare, self.laid)
            for g in some
        )

    def string(
        self, begin: Vec, end: Vec, *, from_load: bool = False, to_load: bool = False
    ) -> String:
        """The rope from one place to another, drawn tight over what is laid."""
        if to_load and not from_load:
            return self.string(end, begin, from_load=True).back
        key = (begin, end, from_load, to_load)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._drawn(begin, end, from_load=from_load)
        return found

    def _drawn(self, begin: Vec, end: Vec, *, from_load: bool) -> String:
        """Near a fixed end the ground is left out; at the load only what is behind the hitch."""
        flat = hypot(end[0] - begin[0], end[1] - begin[1])
        if flat < 1e-6:
            return String(begin, end)
        first = 1e-6 * flat if from_load else END
        under = self._crossed(begin, end, flat, first)
        carried = carriers(flat, begin[2], end[2], [(reach, g.z + g.runs) for g, reach in under])
        ux, uy = (end[0] - begin[0]) / flat, (end[1] - begin[1]) / flat
        touches = []
        for number, turn in carried:
            g, reach = under[number]
            at = (begin[0] + reach * ux, begin[1] + reach * uy, g.z + g.runs)
            aside = (at[0] - g.x) * g.left[0] + (at[1] - g.y) * g.left[1]
            touches.append(Touch(g, at, turn, aside))
        free = String(begin, end, tuple(touches))
        blocked = bool(touches) and (
            not self.may_touch or (from_load and _runs_into(begin, touches[0]))
        )
        for g, reach in [] if blocked else self._under(self.bare, begin, end, flat, first):
            if height(free, reach) - g.z < self.above - 1e-9:
                blocked = True
                break
        return free._replace(blocked=blocked)

    def _crossed(self, begin: Vec, end: Vec, flat: float, first: float) -> list[tuple[Spot, float]]:
        """The spots with something laid whose edge, led on across the path, a line passes over, and how far
        along it: where it is in one line with the edge, seen from above."""
        ux, uy = (end[0] - begin[0]) / flat, (end[1] - begin[1]) / flat
        out = []
        for g in self.laid:
            lx, ly = g.left
            turn = ux * ly - uy * lx
            if abs(turn) <= 1e-9:
                continue
            reach = ((g.x - begin[0]) * ly - (g.y - begin[1]) * lx) / turn
            off = hypot(begin[0] + reach * ux - g.x, begin[1] + reach * uy - g.y)
            if first < reach < flat - END and off <= self.within:
                out.append((g, reach))
        return out

    def _under(
        self, some: Sequence[Spot], begin: Vec, end: Vec, flat: float, first: float
    ) -> list[tuple[Spot, float]]:
        """The spots that lie under a line, and how far along it."""
        ux, uy = (end[0] - begin[0]) / flat, (end[1] - begin[1]) / flat
        out = []
        for g in some:
            ox, oy = g.x - begin[0], g.y - begin[1]
            reach = ox * ux + oy * uy
            if first < reach < flat - END and abs(ox * uy - oy * ux) <= self.within:
                out.append((g, reach))
        return out


def height(string: String, reach: float) -> float:
    """The height of a string so far along it in plan."""
    corners = string.corners
    (x, y, _) = string.begin
    for a, b in pairwise(corners):
        start, stop = hypot(a[0] - x, a[1] - y), hypot(b[0] - x, b[1] - y)
        if reach <= stop or b is corners[-1]:
            return a[2] + (b[2] - a[2]) * (reach - start) / (stop - start)
    raise AssertionError("a string has two ends")


def _runs_into(hitch: Vec, touch: Touch) -> bool:
    """Whether a hitch is hauled into what its rope turns over: it is all but there, and beside a rope that
    rises more than the ground does."""
    spot = touch.spot
    ahead = (spot.left[1], -spot.left[0])
    on = sum(a * (t - h) for a, t, h in zip(ahead, touch.at, hitch, strict=False))
    climbs = touch.at[2] - hitch[2]
    return apart(hitch, touch.at) < BARE_ROPE and climbs - on * spot.gradient > 1e-6


def meets(string: String, post: Post) -> bool:
    """Whether the string enters the upright cylinder: the chord in plan, and its lower end in there
    against the post's top."""
    _, x, y, radius, top = post
    begin, end = string.begin, string.end
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
    # A string bends down only, so that between the two it is never lower than at one of them.
    return min(height(string, enter), height(string, leave)) < top - 1e-9


def _spots(site: Site, lays: Protector | None) -> Sequence[Spot]:
    """Every point at which the ground is known: the path's vertices, and evenly one a metre or closer."""
    least = site.preferences.clearance
    out: list[Spot] = []
    start, before = 0.0, None
    for number, leg in enumerate(site.legs):
        after = site.legs[number + 1] if number + 1 < len(site.legs) else None
        long = dist(leg.start, leg.end)
        many = max(ceil(long), 1)
        for k in range(1 if before is not None else 0, many + 1):
            x, y, z = (a + (b - a) * k / many for a, b in zip(leg.start, leg.end, strict=True))
            vertex = after if k == many else None
            there = leg.laid if vertex is None or vertex.laid is not None else None
            lies = there if there is not None else lays
            runs = least
            if (
                lies is not None
                and vertex is not None
                and _gradient(leg) - _gradient(vertex) > CREST
            ):
                runs = max(least, lies.clearance)
            ours = there is None and lies is not None
            rises = _gradient(leg)
            out.append(Spot(start + long * k / many, x, y, z, _left(leg), lies, runs, ours, rises))
        start += long
        before = leg
    return out


def _gradient(leg: Leg) -> float:
    x, y, z = (b - a for a, b in zip(leg.start, leg.end, strict=True))
    return z / hypot(x, y)


def _left(leg: Leg) -> tuple[float, float]:
    x, y = leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]
    level = hypot(x, y)
    return -y / level, x / level
