"""Places the points of the path at which a rig is checked, and works out how the load stands there."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import asin, dist, hypot, sqrt
from typing import NamedTuple

from optimiser.mechanics.values import Vec
from optimiser.proof.claim import Claim
from optimiser.proof.notes import Notes
from optimiser.site.model import Hitch, Leg, Load, Site

NEAR = 1e-9
FIRST_METRE = 1.0
"""m of a leg over which its break-out factor applies (the job's own definition)."""


class Point(NamedTuple):
    """The load at one place of the path. `row`: of the rig's profile, None between two."""

    at: float
    leg: Leg
    along: Vec
    across: Vec
    normal: Vec
    ground: Vec
    weight: float
    resting: float
    step: float
    sure: float  # resistance of the ground that is counted on to keep the load
    row: int | None


@dataclass(frozen=True, slots=True)
class Hold:
    """How the line takes hold of the load; `leg`: length of a bridle's legs, None without one."""

    hitches: tuple[Hitch, ...]
    ahead: float
    left: float
    height: float
    leg: float | None


def hold(load: Load, name: str) -> Hold | None:
    """The hitch, or the bridle between two hitches, of that name."""
    hitches = sorted(load.hitches, key=lambda h: h.name)
    for h in hitches:
        if h.name == name:
            return Hold((h,), h.ahead, h.left, h.height, None)
    for i, a in enumerate(hitches):
        for b in hitches[i + 1 :]:
            apart = hypot(a.ahead - b.ahead, a.left - b.left, a.height - b.height)
            if name != f"bridle {a.name} + {b.name}" or not load.may_bridle:
                continue
            if not 0.0 < apart < 2.0 * load.bridle_leg:
                return None
            reach = sqrt(load.bridle_leg**2 - apart**2 / 4.0)
            middle = [(p + q) / 2.0 for p, q in zip(_where(a), _where(b), strict=True)]
            return Hold((a, b), middle[0] + reach, middle[1], middle[2], load.bridle_leg)
    return None


def _where(h: Hitch) -> Vec:
    return h.ahead, h.left, h.height


def carried(point: Point, ahead: float, left: float, height: float) -> Vec:
    """Where a point of the load is: `ahead` along the path, `left` of it, `height` plumb above."""
    g, t, b = point.ground, point.along, point.across
    return (
        g[0] + ahead * t[0] + left * b[0],
        g[1] + ahead * t[1] + left * b[1],
        g[2] + ahead * t[2] + left * b[2] + height,
    )


def points(site: Site, claim: Claim, notes: Notes) -> list[Point]:
    """The profile's points and one midway between each two of them, in order along the path."""
    legs = _legs(site)
    rows = _rows(claim, legs, notes)
    _covered(site, claim, rows, legs, notes)
    out: list[Point] = []
    last: tuple[int, float] | None = None
    for number, (at, leg) in enumerate(rows):
        if last is not None and last[0] == leg and at - last[1] > NEAR:
            out.append(_point(site, legs[leg], (last[1] + at) / 2.0, None))
        point = _point(site, legs[leg], at, number)
        out.append(point)
        stated, here = claim.rows[number], f"at {at:.2f} m"
        notes.same(f"{here}: slope", stated.slope, asin(max(-1.0, min(1.0, point.along[2]))))
        notes.need(stated.surface == point.leg.surface, f"{here}: surface {stated.surface}")
        last = (leg, at)
    return out


def each_leg(site: Site) -> Iterator[tuple[float, float, Point]]:
    """Each straight piece of the path: where it starts and ends, m, and the load on it (half way up)."""
    for placed in _legs(site):
        start, end, _ = placed
        yield start, end, _point(site, placed, (start + end) / 2.0, None)


def turned(site: Site) -> Site:
    """The same ground with its path taken the other way round: what would run on there, runs back."""
    load = site.load
    legs = [
        replace(  # a lip and a stuck start are met where a leg begins; pulls are read the way of the haul
            leg, start=leg.end, end=leg.start, step=0.0, breakout=1.0, moved=1.0, saved=None
        )
        for leg in site.legs[::-1]
    ]
    other_way = [replace(h, ahead=-h.ahead, left=-h.left) for h in load.hitches]
    changed = replace(load, hitches=tuple(other_way), overhang=load.length - load.overhang)
    return replace(site, legs=tuple(legs), load=changed, origin=None)


def length(site: Site) -> float:
    """m along the path from start to finish."""
    return sum(dist(leg.start, leg.end) for leg in site.legs)


def _legs(site: Site) -> list[tuple[float, float, Leg]]:
    out, start = [], 0.0
    for leg in site.legs:
        long = hypot(*(b - a for a, b in zip(leg.start, leg.end, strict=True)))
        out.append((start, start + long, leg))
        start += long
    return out


def _rows(
    claim: Claim, legs: list[tuple[float, float, Leg]], notes: Notes
) -> list[tuple[float, int]]:
    """Each row of the profile with the leg it is on: at a vertex first the leg that ends there."""
    out: list[tuple[float, int]] = []
    leg = 0
    rows = claim.rows
    for number, row in enumerate(rows):
        while leg + 1 < len(legs) and row.at > legs[leg][1] + NEAR:
            leg += 1
        if number == 0 and len(rows) > 1 and rows[1].at > row.at + NEAR:
            # A stretch that begins at a bend: the load is on the leg ahead there already.
            while leg + 1 < len(legs) and row.at >= legs[leg][1] - NEAR:
                leg += 1
        again = number > 0 and abs(rows[number - 1].at - row.at) <= NEAR
        if again and leg + 1 < len(legs) and abs(row.at - legs[leg][1]) <= NEAR:
            leg += 1
        notes.need(
            legs[leg][0] - NEAR <= row.at <= legs[leg][1] + NEAR, f"no path at {row.at:.3f} m"
        )
        out.append((row.at, leg))
    return out


def _covered(
    site: Site, claim: Claim, rows: list[tuple[float, int]], legs: list[tuple[float, float, Leg]],
    notes: Notes,
) -> None:  # fmt: skip
    """The profile reaches from end to end, with each leg's ends in it and no gap too wide."""
    if not notes.need(bool(rows), "the profile has no stretch"):
        return
    notes.need(
        abs(rows[0][0] - claim.from_m) <= NEAR and abs(rows[-1][0] - claim.to_m) <= NEAR,
        "the profile does not reach over the stretch",
    )
    gaps = [b[0] - a[0] for a, b in pairwise(rows)] or [0.0]
    notes.need(min(gaps) >= -NEAR, "the profile goes back")
    notes.need(
        max(gaps) <= site.preferences.station_spacing * (1 + 1e-6) + NEAR,
        f"stations {max(gaps):.3f} m apart",
    )
    for number, (start, end, _) in enumerate(legs):
        for edge in (start, end):
            if claim.from_m + NEAR < edge < claim.to_m - NEAR:
                at_edge = any(n == number and abs(at - edge) <= NEAR for at, n in rows)
                notes.need(at_edge, f"no station at the end of a leg, {edge:.3f} m")


def _point(site: Site, placed: tuple[float, float, Leg], at: float, row: int | None) -> Point:
    start, end, leg = placed
    way = [b - a for a, b in zip(leg.start, leg.end, strict=True)]
    t = (way[0] / (end - start), way[1] / (end - start), way[2] / (end - start))
    level = hypot(t[0], t[1])
    b = (-t[1] / level, t[0] / level, 0.0)
    n = (t[1] * b[2] - t[2] * b[1], t[2] * b[0] - t[0] * b[2], t[0] * b[1] - t[1] * b[0])
    reach = at - start
    resting = site.load.weight * leg.apparent
    return Point(
        at=at,
        leg=leg,
        along=t,
        across=b,
        normal=n,
        ground=(
            leg.start[0] + reach * t[0],
            leg.start[1] + reach * t[1],
            leg.start[2] + reach * t[2],
        ),
        weight=resting * (leg.breakout if reach <= FIRST_METRE + NEAR else 1.0) * leg.moved,
        resting=resting,
        step=leg.step if reach <= NEAR else 0.0,
        sure=site.preferences.resistance_counted_on * leg.resistance_low,
        row=row,
    )
