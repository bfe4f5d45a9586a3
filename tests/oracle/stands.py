"""Every stand of a puller that may choose, by the definition in words: along its track at the spacing,
heading either way, or all round; in its area on a grid with the spacing, heading all round. Its body and
its run keep on the ground it has, clear of everything.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import cos, floor, hypot, pi, sin

from optimiser.mechanics.values import Vec
from optimiser.site.model import Puller, Site
from optimiser.site.roaming.rooms import Area, Stand, Track

STEPS = 10
"""To the metre, at which a run is looked at."""
EVEN = 0.15
"""m that the run of a puller may be off the ground of a track."""
SHORTEST = 1.0
"""m: shorter runs are none."""
CLOCK = 12
"""Headings all round."""


def every_stand(site: Site, puller: Puller) -> list[Puller]:
    """The puller at each; itself where it has one spot."""
    room = puller.room
    if room is None:
        return [puller]
    found = _on_track(room) if isinstance(room, Track) else _in_area(room)
    out = []
    for stand, at, way in found:
        run = _run(site, room, at, way)
        if run is not None:
            x, y, z = (round(c, 8) + 0.0 for c in at)
            out.append(replace(puller, position=(x, y, z), heading=way, run=run, stand=stand))
    return out


def _on_track(room: Track) -> Iterator[tuple[Stand, Vec, Vec]]:
    legs = list(zip(room.points, room.points[1:], strict=False))
    longs = [_far(a, b) for a, b in legs]
    whole = sum(longs)
    places = [i * room.spacing for i in range(floor(whole / room.spacing + 1e-9) + 1)]
    places += [whole] if whole - places[-1] > 1e-6 else []
    for place in places:
        for k in range(CLOCK) if room.free else (0, CLOCK // 2):
            turn = 2.0 * pi * k / CLOCK
            # At a bend the piece ahead counts: the next one for who goes on, the last one for who goes back.
            begun, number = 0.0, 0
            while number < len(legs) - 1 and (
                place > begun + longs[number] + 1e-6
                or (abs(place - begun - longs[number]) <= 1e-6 and cos(turn) >= 0.0)
            ):
                begun += longs[number]
                number += 1
            a, b = legs[number]
            t = tuple((q - p) / longs[number] for p, q in zip(a, b, strict=True))
            flat = hypot(t[0], t[1])
            n = (-t[1] / flat, t[0] / flat, 0.0)
            at = tuple(p + (place - begun) * q for p, q in zip(a, t, strict=True))
            way = tuple(cos(turn) * q + sin(turn) * r for q, r in zip(t, n, strict=True))
            yield Stand(along=place, turn=turn), at, way  # type: ignore[misc]


def _in_area(room: Area) -> Iterator[tuple[Stand, Vec, Vec]]:
    (ax, ay, _), (bx, by, _) = room.points[:2]
    long = hypot(bx - ax, by - ay)
    u = ((bx - ax) / long, (by - ay) / long)
    flat = [
        ((x - ax) * u[0] + (y - ay) * u[1], (y - ay) * u[0] - (x - ax) * u[1])
        for x, y, _ in room.points
    ]
    half = room.body.width / 2.0

    def row(axis: int) -> list[float]:
        low, high = min(p[axis] for p in flat) + half, max(p[axis] for p in flat) - half
        return [
            low + i * room.spacing for i in range(floor((high - low) / room.spacing + 1e-9) + 1)
        ]

    # The plane by least squares: the normal equations of its two slopes and its height at the origin.
    rows = [(x, y, 1.0, z) for x, y, z in room.points]
    gx, gy, base = _solved([[sum(r[j] * r[i] for r in rows) for i in range(4)] for j in range(3)])
    for aside in row(1):
        for along in row(0):
            x, y = ax + along * u[0] - aside * u[1], ay + along * u[1] + aside * u[0]
            for k in range(CLOCK):
                turn = 2.0 * pi * k / CLOCK
                wx = cos(turn) * u[0] - sin(turn) * u[1]
                wy = cos(turn) * u[1] + sin(turn) * u[0]
                climb = gx * wx + gy * wy
                size = hypot(1.0, climb)
                way = (wx / size, wy / size, climb / size)
                yield (
                    Stand(along=along, aside=aside, turn=turn),
                    (x, y, base + gx * x + gy * y),
                    way,
                )


def _solved(rows: list[list[float]]) -> list[float]:
    """Three linear equations by elimination."""
    rows = [list(row) for row in rows]
    for i in range(3):
        best = max(range(i, 3), key=lambda k: abs(rows[k][i]))
        rows[i], rows[best] = rows[best], rows[i]
        for k in range(3):
            if k != i:
                share = rows[k][i] / rows[i][i]
                rows[k] = [a - share * b for a, b in zip(rows[k], rows[i], strict=True)]
    return [rows[i][3] / rows[i][i] for i in range(3)]


def _run(site: Site, room: Track | Area, at: Vec, way: Vec) -> float | None:
    """The longest run in whole decimetres, or the longest that the puller has."""
    body = room.body
    need = body.run + body.length

    def good(far: float) -> bool:
        here = (at[0] + far * way[0], at[1] + far * way[1], at[2] + far * way[2])
        return _may_be(room, here) and _is_free(site, here, body.width / 2.0)

    reached = -1
    while (reached + 1) / STEPS <= need + 1e-9 and good((reached + 1) / STEPS):
        reached += 1
    if (reached + 1) / STEPS > need + 1e-9 and good(need):
        return body.run if body.run >= SHORTEST else None
    run = floor((reached / STEPS - body.length) * STEPS + 1e-6) / STEPS
    return run if run >= SHORTEST else None


def _may_be(room: Track | Area, at: Vec) -> bool:
    if isinstance(room, Area):
        ring = list(zip(room.points, (*room.points[1:], room.points[0]), strict=True))
        if any(_off(at, a, b)[0] < room.body.width / 2.0 - 1e-6 for a, b in ring):
            return False
        return sum(_crosses(at, a, b) for a, b in ring) % 2 == 1
    legs = list(zip(room.points, room.points[1:], strict=False))
    kept = room.body.width / 2.0 if room.free else 0.0
    for number, (a, b) in enumerate(legs):
        off, ahead, left, rise = _off(at, a, b)
        if number == 0 and ahead < kept - 1e-6:
            continue
        if number == len(legs) - 1 and left < kept - 1e-6:
            continue
        if off <= (room.width - room.body.width) / 2.0 + 1e-6 and abs(rise) <= EVEN:
            return True
    return False


def _is_free(site: Site, at: Vec, half: float) -> bool:
    things = [(a.position, a.radius) for a in site.anchors if not a.uses]
    things += [(o.position, o.radius) for o in site.obstacles]
    if any(hypot(at[0] - p[0], at[1] - p[1]) < radius + half for p, radius in things):
        return False
    legs = [(leg.start, leg.end) for leg in site.legs]
    if site.load.overhang > 0.0:
        a, b = legs[-1]
        nose = tuple(
            q + site.load.overhang * (q - p) / _far(a, b) for p, q in zip(a, b, strict=True)
        )
        legs.append((b, nose))  # type: ignore[arg-type]
    return all(_off(at, a, b)[0] >= site.load.width / 2.0 + half for a, b in legs)


def _far(a: Vec, b: Vec) -> float:
    return sum((q - p) ** 2 for p, q in zip(a, b, strict=True)) ** 0.5


def _off(at: Vec, a: Vec, b: Vec) -> tuple[float, float, float, float]:
    """m in plan from a straight piece of ground, past its begin, before its end; and above it."""
    long = hypot(b[0] - a[0], b[1] - a[1])
    ahead = ((at[0] - a[0]) * (b[0] - a[0]) + (at[1] - a[1]) * (b[1] - a[1])) / long
    share = min(max(ahead / long, 0.0), 1.0)
    x, y, z = (p + share * (q - p) for p, q in zip(a, b, strict=True))
    return hypot(at[0] - x, at[1] - y), ahead, long - ahead, at[2] - z


def _crosses(at: Vec, a: Vec, b: Vec) -> bool:
    """Whether a line from a place along x crosses the side."""
    if (a[1] > at[1]) == (b[1] > at[1]):
        return False
    return at[0] < a[0] + (at[1] - a[1]) * (b[0] - a[0]) / (b[1] - a[1])


def runs_over(puller: Puller, at: Vec) -> bool:
    """Whether the body of a puller comes within a metre of a place, step by step along its run."""
    if puller.room is None:
        return False
    (px, py, _), (hx, hy, _) = puller.position, puller.heading
    flat, half = hypot(hx, hy), puller.room.body.width / 2.0
    long = (puller.run + puller.room.body.length) * flat
    left = (-hy / flat, hx / flat)
    aside = (at[0] - px) * left[0] + (at[1] - py) * left[1]
    across = min(max(aside, -half), half)
    nearest = min(
        hypot(
            at[0] - px - i * long / 4000 * hx / flat - across * left[0],
            at[1] - py - i * long / 4000 * hy / flat - across * left[1],
        )
        for i in range(4001)
    )
    return nearest < 1.0
