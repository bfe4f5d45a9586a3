"""Checks that a puller with room to choose from stands in it: on its track or in its area, its body and all
of its run too, clear of what stands there and of the way of the load.

The corners of the body are looked at, all along the run, where the search looks at its middle.
"""

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from math import atan2, cos, degrees, dist, hypot, pi, sin

from optimiser.mechanics.values import Vec
from optimiser.proof.notes import Notes
from optimiser.proof.place import candidates
from optimiser.rig.where_it_stands import Standing
from optimiser.site.model import Puller, Site
from optimiser.site.roaming.rooms import Area, Track

EVERY = 0.05
"""m between the places of a run, and of the path, that are looked at."""
NEAR = 0.06
"""m that do not count: a run is looked at every decimetre where it is found."""
BESIDE_MADE = 1.0
"""m that is kept free about an anchor that is made."""
EVEN = 0.16
"""m that the ground may be off the run, or off the plane of an area."""
ALONG = re.compile(r"facing the (?P<to>end|start) of it")
AWAY = re.compile(
    r"facing (?:(?P<off>\d+)° to the (?P<side>left|right) of )?straight away from (?P<name>.+)"
)
ROUNDED, STRAIGHT = 0.51, 3.01
"""Degrees by which a heading may be off one that is printed in degrees, and off "straight away"."""


def check(site: Site, puller: Puller, used: Collection[str], notes: Notes) -> None:
    """Whether the site has such a puller, and room for it where it is said to stand. `used`: what the rig
    leads to, by name."""
    own = next((p for p in site.pullers if p.name == puller.name), None)
    if own is None or own.room is None:
        notes.need(own == puller, f"no such puller as {puller.name}")
        return
    same = replace(puller, position=own.position, heading=own.heading, run=own.run, stand=own.stand)
    notes.need(same == own, f"no such puller as {puller.name}")
    room, name = own.room, puller.name
    goes = 0.0 < puller.run <= room.body.run + 1e-6
    notes.need(goes, f"{name} goes further than it can, or not at all")
    long = hypot(*puller.heading)
    notes.need(abs(long - 1.0) < 1e-9, f"the heading of {name} is no direction")
    corners = list(_body(puller, room.body.length, room.body.width))
    if isinstance(room, Track):
        _on_track(room, puller, corners, notes)
    else:
        _in_area(room, puller, corners, notes)
    _clear(site, puller, used, room.body.length, room.body.width, notes)


def check_printed(site: Site, puller: Puller, printed: Standing | None, notes: Notes) -> None:
    """Whether what is printed of where it stands is so: along its room, by tape, in words, and in the site
    file's own coordinates."""
    own = next((p for p in site.pullers if p.name == puller.name), None)
    if own is None or own.room is None or puller.stand is None:
        notes.need(
            printed is None, f"it is said where {puller.name} stands, and it has one spot only"
        )
        return
    if not notes.need(printed is not None, f"it is not said where {puller.name} stands"):
        return
    assert printed is not None
    name, (x, y, z) = puller.name, puller.position
    notes.need(printed.puller == name, f"it is said where another one than {name} stands")
    notes.same(f"{name} along its ground", printed.along, puller.stand.along)
    notes.same(f"{name} beside that", printed.aside, puller.stand.aside)
    notes.same(f"run of {name}", printed.run, puller.run)
    turn = 0.0 if site.frame is None else atan2(site.frame.sin, site.frame.cos)
    origin = (0.0, 0.0, 0.0) if site.frame is None else site.frame.origin
    there = (
        origin[0] + x * cos(turn) - y * sin(turn),
        origin[1] + x * sin(turn) + y * cos(turn),
        origin[2] + z,
    )
    for stated, found in zip(printed.spot, there, strict=True):
        notes.same(f"spot of {name}", stated, found, near=1e-5)
    off = printed.heading - turn - atan2(puller.heading[1], puller.heading[0])
    notes.need(abs(sin(off)) < 1e-6 and cos(off) > 0.0, f"{name} heads another way")
    feet = {a.name: a.position for a in site.anchors if not a.uses and a.sling is None}
    feet |= {o.name: o.position for o in site.obstacles}
    feet |= {"the path's start": site.legs[0].start, "the path's end": site.legs[-1].end}
    for tape in printed.taped:
        foot = feet.get(tape.name)
        if notes.need(foot is not None, f"nothing is called {tape.name}") and foot is not None:
            notes.same(f"tape from {tape.name}", tape.distance, dist(foot, puller.position))
            hx, hy, hz = puller.heading
            end = (x + printed.run * hx, y + printed.run * hy, z + printed.run * hz)
            notes.same(f"tape from {tape.name} to the end of the run", tape.at_end, dist(foot, end))
    _faces(own.room, puller, printed.faces, feet, notes)
    candidates.check(site, own.room, puller.stand, printed, notes)
    if len(printed.taped) == 2 and all(tape.name in feet for tape in printed.taped):
        a, b = (feet[tape.name] for tape in printed.taped)
        along, out = atan2(b[1] - a[1], b[0] - a[0]), atan2(y - a[1], x - a[0])
        left = sin(out - along)
        notes.need(
            (left > 0.0) == printed.left or abs(left) < 1e-9, f"{name} stands on the other side"
        )


def _faces(
    room: Area | Track, puller: Puller, words: str, feet: Mapping[str, Vec], notes: Notes
) -> None:
    """Whether the words for which way it goes are true: to an end of its track, or by how many degrees off
    the way that leads from something straight to it and on."""
    name, (hx, hy, _) = puller.name, puller.heading
    to_an_end = ALONG.fullmatch(words)
    if to_an_end is not None:
        pieces = list(pairwise(room.points)) if isinstance(room, Track) else []
        # At a bend it may go along either piece.
        nearest = min((_off(piece, puller.position) for piece in pieces), default=0.0)
        true = any(
            (hx * (b[0] - a[0]) + hy * (b[1] - a[1]) > 0.0) == (to_an_end["to"] == "end")
            for a, b in pieces
            if _off((a, b), puller.position) <= nearest + 1e-4
        )
        notes.need(true, f"{name} does not face the {to_an_end['to']} of its ground")
        return
    away = AWAY.fullmatch(words)
    foot = None if away is None else feet.get(away["name"])
    if not notes.need(foot is not None, f"it is not stated which way {name} faces"):
        return
    assert away is not None
    assert foot is not None
    x, y = puller.position[0] - foot[0], puller.position[1] - foot[1]
    off = degrees(atan2(x * hy - y * hx, x * hx + y * hy))
    stated = float(away["off"] or 0.0) * (-1.0 if away["side"] == "right" else 1.0)
    near = ROUNDED if away["off"] else STRAIGHT
    far = abs((off - stated + 180.0) % 360.0 - 180.0)
    notes.need(far <= near, f"{name} faces {off:.1f}° to the left of straight away from there")


def _body(puller: Puller, length: float, width: float) -> Iterator[Vec]:
    """The sides of the body, from its hitch at the near end to its front at the far end."""
    hx, hy, hz = puller.heading
    flat = max(hypot(hx, hy), 1e-9)
    far = puller.run + length
    for i in range(int(far / EVERY) + 2):
        d = min(i * EVERY, far)
        for side in (-1.0, 1.0):
            yield (
                puller.position[0] + d * hx - side * width / 2.0 * hy / flat,
                puller.position[1] + d * hy + side * width / 2.0 * hx / flat,
                puller.position[2] + d * hz,
            )


def _on_track(room: Track, puller: Puller, corners: list[Vec], notes: Notes) -> None:
    name, stand = puller.name, puller.stand
    on, left = None, 0.0 if stand is None else stand.along
    for a, b in pairwise(room.points):
        if on is None and left <= dist(a, b) + 1e-6:
            share = left / dist(a, b)
            on = tuple(p + share * (q - p) for p, q in zip(a, b, strict=True))
        left -= dist(a, b)
    stands = stand is not None and on is not None and dist(on, puller.position) < 0.01
    notes.need(stands, f"{name} does not stand where it is said to stand along its track")
    found = [_nearest(room.points, corner) for corner in corners]
    off = max(far for far, _ in found)
    pairs = zip(corners, found, strict=True)
    past = max(_past(room.points, corner, far) for corner, (far, _) in pairs)
    inside = off <= room.width / 2.0 + NEAR and past <= NEAR
    notes.need(inside, f"{name} leaves its track on its run")
    uneven = max(abs(rise) for _, rise in found)
    notes.need(uneven <= EVEN, f"the ground under the run of {name} is not that of its track")
    if not room.free:
        ways = (
            tuple((q - p) / dist(a, b) for p, q in zip(a, b, strict=True))
            for a, b in pairwise(room.points)
        )
        along = any(abs(sum(h * w for h, w in zip(puller.heading, way, strict=True))) > 0.9999999
                    for way in ways)  # fmt: skip
        notes.need(along, f"{name} does not pull along its track")


@lru_cache(maxsize=4000)  # the same stand is looked at for every setup, and at every end of ranges
def _nearest(points: tuple[Vec, ...], at: Vec) -> tuple[float, float]:
    """How far from a line of points a place is in plan, and above the nearest point of it."""
    found = []
    for a, b in pairwise(points):
        many = max(int(hypot(b[0] - a[0], b[1] - a[1]) / EVERY), 1)
        dx, dy = b[0] - a[0], b[1] - a[1]
        guess = ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / (dx * dx + dy * dy) * many
        for i in {0, many, *(min(max(int(guess) + k, 0), many) for k in (0, 1))}:
            x, y, z = (p + i / many * (q - p) for p, q in zip(a, b, strict=True))
            found.append((hypot(at[0] - x, at[1] - y), at[2] - z))
    return min(found, key=lambda each: each[0])


def _off(points: tuple[Vec, ...], at: Vec) -> float:
    return _nearest(points, at)[0]


def _past(points: tuple[Vec, ...], at: Vec, nearest: float) -> float:
    """m by which a place that is nearest to an end of a line of points lies past that end; 0 elsewhere.
    `nearest`: m to the line."""
    for end, before in ((points[0], points[1]), (points[-1], points[-2])):
        x, y = at[0] - end[0], at[1] - end[1]
        wx, wy = end[0] - before[0], end[1] - before[1]
        past = (x * wx + y * wy) / hypot(wx, wy)
        if past > 0.0 and hypot(x, y) <= nearest + 1e-9:
            return past
    return 0.0


def _in_area(room: Area, puller: Puller, corners: list[Vec], notes: Notes) -> None:
    name = puller.name
    notes.need(puller.stand is not None, f"it is not said where {name} stands in its area")
    inside = all(_around(room.points, corner) for corner in corners)
    notes.need(inside, f"{name} leaves its area on its run")
    nx, ny, nz = _normal(room.points)
    middle = [sum(p[i] for p in room.points) / len(room.points) for i in range(3)]
    for d in (0.0, puller.run):
        x, y, z = (p + d * h for p, h in zip(puller.position, puller.heading, strict=True))
        off = z - middle[2] + (nx * (x - middle[0]) + ny * (y - middle[1])) / nz
        notes.need(abs(off) <= EVEN, f"{name} does not stand on the ground of its area")


def _normal(points: tuple[Vec, ...]) -> tuple[float, float, float]:
    """What stands square on the plane of some corners, by the areas that they enclose in three views."""
    ring = list(zip(points, (*points[1:], points[0]), strict=True))
    x = sum((a[1] - b[1]) * (a[2] + b[2]) for a, b in ring)
    y = sum((a[2] - b[2]) * (a[0] + b[0]) for a, b in ring)
    return x, y, sum((a[0] - b[0]) * (a[1] + b[1]) for a, b in ring)


def _around(points: tuple[Vec, ...], at: Vec) -> bool:
    """Whether corners lead once round a place in plan, or it is on the line between two of them."""
    whole = 0.0
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        if _off((a, b), at) <= NEAR:
            return True
        one, two = atan2(a[1] - at[1], a[0] - at[0]), atan2(b[1] - at[1], b[0] - at[0])
        turn = two - one
        whole += turn - 2.0 * pi * round(turn / (2.0 * pi))
    return abs(abs(whole) - 2.0 * pi) < 1e-6


def _clear(
    site: Site, puller: Puller, used: Collection[str], length: float, width: float, notes: Notes
) -> None:
    """Whether nothing stands in the way of the body, and the load does not come to it."""
    hx, hy, _ = puller.heading
    flat = max(hypot(hx, hy), 1e-9)
    far = (puller.run + length) * flat

    def gap(x: float, y: float) -> float:
        """m from a place to the ground that the body goes over."""
        dx, dy = x - puller.position[0], y - puller.position[1]
        ahead, aside = (dx * hx + dy * hy) / flat, abs(dy * hx - dx * hy) / flat
        return hypot(max(-ahead, ahead - far, 0.0), max(aside - width / 2.0, 0.0))

    posts = [(a.name, a.position, a.radius) for a in site.anchors if not a.uses]
    posts += [(o.name, o.position, o.radius) for o in site.obstacles]
    posts += [(a.name, a.position, BESIDE_MADE) for a in site.anchors if a.uses and a.name in used]
    for name, (x, y, _), radius in posts:
        notes.need(gap(x, y) >= radius - NEAR, f"{puller.name} meets {name} on its run")
    last, ahead = site.legs[-1], site.load.overhang
    share = 1.0 + ahead / max(dist(last.start, last.end), 1e-9)
    x, y, z = (p + share * (q - p) for p, q in zip(last.start, last.end, strict=True))
    ways = [(leg.start, leg.end) for leg in site.legs]
    ways += [(last.end, (x, y, z))] if ahead > 0.0 else []  # so far reaches its nose in the end
    nearest = min(
        gap(a[0] + i / many * (b[0] - a[0]), a[1] + i / many * (b[1] - a[1]))
        for a, b in ways
        for many in (max(int(dist(a, b) / EVERY), 1),)
        for i in range(many + 1)
    )
    met = nearest < site.load.width / 2.0 - NEAR
    notes.need(not met, f"{puller.name} stands or goes where the load comes")
