"""Says where a puller is to stand that may choose, and which way it goes: along its track or in its area,
and by tape from two things that can be seen.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import atan2, cos, degrees, dist, hypot, pi, sin

from optimiser.mechanics.values import Vec
from optimiser.site.model import Puller, Site
from optimiser.site.roaming.rooms import Track, within
from optimiser.site.roaming.stands import stands
from shared.units import Dimension, show
from shared.words import does

FAR = 20.0
"""m: a tape that far counts half as much as one from close by (project choice)."""
SHARP = 0.35
"""Least sine of the angle between two tapes that meet well, some 20 degrees (project choice)."""
PATH_ENDS = ("the path's start", "the path's end")
"""Count half as much as what stands there: nothing but a mark shows them."""
STRAIGHT = pi / 60
"""rad within which a heading leads straight away from something."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taped:
    """A tape from something to the ground below the hitch of the puller, m; `at_end`: with its run behind
    it."""

    name: str
    distance: float
    at_end: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where a puller stands, as people find it. `along`, `aside` [m]: as of its stand; `spot`: in the
    coordinates of the site file; `heading` [rad]: in plan, from the x axis of the file towards its y axis;
    `faces`: the same in words; `left`: it lies to the left of the line from the first to the second thing
    of `taped`; `spots`: candidates that were searched; `refined`: it was moved off them."""

    puller: str
    room: str
    along: float
    aside: float
    spot: Vec
    heading: float
    faces: str
    run: float
    taped: tuple[Taped, ...]
    left: bool
    spots: int
    refined: bool


def standing(site: Site, puller: Puller) -> Standing | None:
    """Where a puller stands; None where the site file says so."""
    stand = puller.stand
    if puller.room is None or stand is None:
        return None
    frame = site.frame
    spot, way = puller.position, puller.heading
    if frame is not None:
        spot = frame.in_file(spot)
        way = (
            way[0] * frame.cos - way[1] * frame.sin,
            way[0] * frame.sin + way[1] * frame.cos,
            0.0,
        )
    candidates = stands(site, puller)
    taped, left = _taped(site, puller)
    return Standing(
        puller=puller.name, room=puller.room.word, along=stand.along, aside=stand.aside, spot=spot,
        heading=atan2(way[1], way[0]), faces=_faces(site, puller), run=puller.run, taped=taped,
        left=left, spots=len(candidates), refined=puller.stand not in {p.stand for p in candidates},
    )  # fmt: skip


def short(standing: Standing, system: str = "metric") -> str:
    """Where it stands, in few words: "9.70 m along the track, facing the end of it"."""
    return f"{_place(standing, system)}, {standing.faces}"


def by_tape(standing: Standing, system: str = "metric") -> str:
    """How far that is from what can be seen: "5.12 m from near pine and 7.31 m from young ash"."""
    if not standing.taped:
        return ""
    far = [f"{show(t.distance, Dimension.LENGTH, system)} from {t.name}" for t in standing.taped]
    if len(far) == 1:
        return f"{far[0]} by tape"
    one, two = (t.name for t in standing.taped)
    side = "left" if standing.left else "right"
    return f"{far[0]} and {far[1]} by tape, {side} of the line from {one} to {two}"


def sentence(standing: Standing, system: str = "metric") -> str:
    """Where it stands and which way it goes, in full."""
    taped = by_tape(standing, system)
    run = show(standing.run, Dimension.LENGTH, system)
    ends = [f"{show(t.at_end, Dimension.LENGTH, system)} from {t.name}" for t in standing.taped]
    upto = f", to {' and '.join(ends)}" if ends else ""
    who = f"{standing.puller[:1].upper()}{standing.puller[1:]}"
    return (
        f"{who} {does(standing.puller, 'stand')} {short(standing, system)}{f': {taped}' if taped else ''}. "
        f"The run from there is {run}{upto}."
    )


def note(site: Site) -> str:
    """Over how many spots an answer is proven where a puller may choose; "" where none may."""
    out = []
    for puller in site.pullers:
        if puller.room is not None:
            many, apart = len(stands(site, puller)), show(puller.room.spacing, Dimension.LENGTH)
            spots = f"{many} candidate {'spot' if many == 1 else 'spots'}"
            out.append(
                f"Where {puller.name} {does(puller.name, 'stand')} is searched too: that is over {spots} "
                f"{within(puller.room)}, {apart} apart, each with its heading, that have room for the run. "
                "The best are then moved by less, to 0.1 m."
            )
    return " ".join(out)


def allowed(site: Site, puller: Puller, system: str) -> str:
    """On what a puller may stand, to follow other words: "; may stand anywhere along the track of 34.2 m"; ""
    for one that has one spot."""
    room = puller.room
    if room is None:
        return ""
    size = ""
    if isinstance(room, Track):
        long, wide = (show(m, Dimension.LENGTH, system) for m in (room.length, room.width))
        size = f" of {long} by {wide}"
    apart = show(room.spacing, Dimension.LENGTH, system)
    many = len(stands(site, puller))
    return f"; may stand anywhere {within(room)}{size}: {many} candidates, {apart} apart, have room for it"


def _place(standing: Standing, system: str) -> str:
    along = show(standing.along, Dimension.LENGTH, system)
    if standing.room == "track":
        return f"{along} along the track"
    aside = show(abs(standing.aside), Dimension.LENGTH, system)
    side = "left" if standing.aside >= 0.0 else "right"
    way = "towards" if standing.along >= 0.0 else "away from"
    return f"in the area, {along.lstrip('-')} from corner 1 {way} corner 2 and {aside} to the {side} of that"


def _faces(site: Site, puller: Puller) -> str:
    """Which way it goes, in words."""
    stand, room = puller.stand, puller.room
    assert stand is not None
    assert room is not None
    if isinstance(room, Track) and abs(sin(stand.turn)) < 1e-9:
        return f"facing the {'end' if cos(stand.turn) > 0.0 else 'start'} of it"
    way = atan2(puller.heading[1], puller.heading[0])
    offs = []
    for name, at in _named(site):
        out = atan2(puller.position[1] - at[1], puller.position[0] - at[0])
        off = atan2(sin(way - out), cos(way - out))
        offs.append((abs(off), dist(at, puller.position), name, off))
    off = min(offs)[3]
    name = min(offs)[2]
    if abs(off) <= STRAIGHT:
        return f"facing straight away from {name}"
    side = "left" if off > 0.0 else "right"
    return f"facing {abs(degrees(off)):.0f}° to the {side} of straight away from {name}"


def _named(site: Site) -> Iterator[tuple[str, Vec]]:
    """What can be seen and has a name, with its foot; the ends of the path last."""
    yield from ((a.name, a.position) for a in site.standing)
    yield from ((o.name, o.position) for o in site.obstacles)
    yield PATH_ENDS[0], site.legs[0].start
    yield PATH_ENDS[1], site.legs[-1].end


def _taped(site: Site, puller: Puller) -> tuple[tuple[Taped, ...], bool]:
    """The two things from which tapes fix where a puller stands best, and on which side of the line between
    them that lies."""
    at = puller.position
    x, y, z = (p + puller.run * h for p, h in zip(at, puller.heading, strict=True))
    end = (x, y, z)
    seen = [(name, foot, dist(foot, at)) for name, foot in _named(site) if dist(foot, at) > 0.5]
    best = None
    for one, two in combinations(seen, 2):
        ax, ay, bx, by = (c - at[i] for foot in (one[1], two[1]) for i, c in enumerate(foot[:2]))
        flat = hypot(ax, ay) * hypot(bx, by)
        meet = min(abs(ax * by - ay * bx) / max(flat, 1e-9) / SHARP, 1.0)
        ends = sum(name in PATH_ENDS for name in (one[0], two[0]))
        worth = round(meet / (1.0 + max(one[2], two[2]) / FAR) * 0.5**ends, 6)
        if best is None or worth > best[0]:
            best = (worth, one, two, ax * by - ay * bx > 0.0)
    if best is None:
        return tuple(_tape(one, end) for one in seen[:1]), False
    _, one, two, left = best
    return (_tape(one, end), _tape(two, end)), left


def _tape(seen: tuple[str, Vec, float], end: Vec) -> Taped:
    name, foot, far = seen
    return Taped(name=name, distance=far, at_end=dist(foot, end))
