"""Checks what is printed of the search over a puller's spots: what its ground is, how many candidates had
room, and whether it was moved off them.

The candidates are laid out anew, all at once, and counted once a hair more strictly and once a hair less: the
printed number lies between, since at a hair's breadth two ways of reckoning may differ.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.proof.notes import Notes
from optimiser.rig.where_it_stands import Standing
from optimiser.site.model import Site
from optimiser.site.roaming.rooms import Area, Stand, Track

HEADINGS = 12
SHORTEST = 1.0
"""m of the shortest run that counts."""
EVERY = 0.1
"""m between the places of a run at which there has to be room."""
EVEN = 0.15
"""m that a run may be off the ground of its track."""
SAME = 1e-5
"""m, and rad, within which a spot is a candidate."""
HAIRS = ((5e-7, -1e-6), (2e-6, 1e-6))
"""m by which a body may come over the edge of its ground, and into what stands there: strict, less so."""

Disc = tuple[float, float, float]
"""x, y and radius, m."""


def check(site: Site, room: Area | Track, stand: Stand, printed: Standing, notes: Notes) -> None:
    """Whether the ground's kind, the number of candidates and the word for having been moved are right."""
    name = printed.puller
    word = "track" if isinstance(room, Track) else "area"
    notes.need(printed.room == word, f"{name} stands on a {word}, not a {printed.room}")
    places = _laid_out(room)
    off = np.abs(places - (stand.along, stand.aside, 0.0))
    turn = np.abs(np.angle(np.exp(1j * (places[:, 2] - stand.turn))))
    on = bool(((off[:, :2].max(axis=1) <= SAME) & (turn <= SAME)).any())
    notes.need(printed.refined != on, f"it is wrongly said whether {name} stands at a candidate")
    posts = [(*a.position[:2], a.radius) for a in site.anchors if not a.uses and a.sling is None]
    posts += [(*o.position[:2], o.radius) for o in site.obstacles]
    last = site.legs[-1]
    way = np.array([site.legs[0].start, *(leg.end for leg in site.legs)])
    ahead = way[-1] - np.array(last.start)
    nose = way[-1] + site.load.overhang / np.linalg.norm(ahead) * ahead
    path = tuple((float(x), float(y)) for x, y, _ in (*way, nose))
    least, most = _counted(room, tuple(posts), path, site.load.width / 2.0)
    fits = least <= printed.spots <= most
    notes.need(fits, f"{printed.spots} spots had room, it is said; the check finds {least}..{most}")


@lru_cache(maxsize=32)
def _counted(
    room: Area | Track, posts: tuple[Disc, ...], path: tuple[tuple[float, float], ...], wide: float
) -> tuple[int, int]:
    """How many candidates have room, strictly and less so."""
    body = room.body
    if body.run < SHORTEST:
        return 0, 0
    spots, ways = _placed(room, _laid_out(room))
    # The shortest run ends at a whole decimetre, or with the longest that there is.
    upto = min(np.ceil((SHORTEST + body.length) / EVERY - 1e-6) * EVERY, body.run + body.length)
    far = np.append(np.arange(0.0, upto - 1e-9, EVERY), upto)
    at = spots[:, None] + far[:, None] * ways[:, None]
    free = np.full(at.shape[:2], np.inf)
    for x, y, radius in posts:
        free = np.minimum(free, np.hypot(at[..., 0] - x, at[..., 1] - y) - radius)
    for a, b in pairwise(path):
        if a != b:
            free = np.minimum(free, _from_piece(at, a, b)[0] - wide)
    least, most = (
        int((_keeps_to(room, at, over) & (free >= body.width / 2.0 - into)).all(axis=1).sum())
        for over, into in HAIRS
    )
    return least, most


def _laid_out(room: Area | Track) -> Array:
    """Along, aside and turn of every candidate, whether it has room or not."""
    turns = 2.0 * np.pi / HEADINGS * np.arange(HEADINGS)
    if isinstance(room, Track):
        points = np.array(room.points)
        long = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        spots = np.arange(int(long / room.spacing + 1e-9) + 1) * room.spacing
        if long - spots[-1] > 1e-6:
            spots = np.append(spots, long)
        aside = np.zeros(1)
        turns = turns if room.free else np.array([0.0, np.pi])
    else:
        flat = _in_its_own_way(room)
        edge = room.body.width / 2.0
        low, high = flat.min(axis=0) + edge, flat.max(axis=0) - edge
        many = [
            max(int((b - a) / room.spacing + 1e-9) + 1, 0) for a, b in zip(low, high, strict=True)
        ]
        spots, aside = (a + room.spacing * np.arange(n) for a, n in zip(low, many, strict=True))
    grid = np.meshgrid(spots, aside, turns, indexing="ij")
    return np.stack([each.ravel() for each in grid], axis=1)


def _first_side(room: Area) -> tuple[Array, Array]:
    """The first corner of an area in plan, and the unit vector from there to the second."""
    a, b = (np.array(p[:2]) for p in room.points[:2])
    return a, (b - a) / np.linalg.norm(b - a)


def _in_its_own_way(room: Area) -> Array:
    """Its corners along its first side, and to the left of that."""
    start, along = _first_side(room)
    out = np.array(room.points)[:, :2] - start
    return np.stack([out @ along, out @ (-along[1], along[0])], axis=1)


def _placed(room: Area | Track, places: Array) -> tuple[Array, Array]:
    """Where candidates are, and unit vectors of their runs."""
    if isinstance(room, Track):
        points = np.array(room.points)
        gaps = np.diff(points, axis=0)
        longs = np.linalg.norm(gaps, axis=1)
        begun = np.concatenate([[0.0], np.cumsum(longs)])
        # At a bend the piece ahead of the heading counts.
        hair = np.where(np.cos(places[:, 2]) < 0.0, -1e-6, 1e-6)
        leg = np.searchsorted(begun[1:-1], places[:, 0] + hair)
        along = gaps[leg] / longs[leg][:, None]
        spots = points[leg] + (places[:, 0] - begun[leg])[:, None] * along
    else:
        start, side = _first_side(room)
        flat = start + places[:, :1] * side + places[:, 1:2] * (-side[1], side[0])
        spots = np.concatenate([flat, np.zeros((len(flat), 1))], axis=1)
        along = np.broadcast_to((*side, 0.0), spots.shape)
    left = np.stack([-along[:, 1], along[:, 0], np.zeros(len(along))], axis=1)
    left = left / np.linalg.norm(left, axis=1)[:, None]
    ahead, across = np.cos(places[:, 2:]), np.sin(places[:, 2:])
    ways = ahead * along + across * left
    if isinstance(room, Area):
        corners = np.array(room.points)
        off = corners - corners.mean(axis=0)
        slope = np.linalg.lstsq(off[:, :2], off[:, 2], rcond=None)[0]
        ways[:, 2] = ways[:, :2] @ slope
        ways /= np.linalg.norm(ways, axis=1)[:, None]
    return spots, ways


def _from_piece(at: Array, a: Sequence[float], b: Sequence[float]) -> tuple[Array, Array]:
    """m in plan from places to a straight piece, and how far along it the nearest point of it is, from 0 to
    1; past its ends less or more."""
    begin, gap = np.array(a[:2]), np.array(b[:2]) - np.array(a[:2])
    share = (at[..., :2] - begin) @ gap / (gap @ gap)
    nearest = begin + np.clip(share, 0.0, 1.0)[..., None] * gap
    return np.linalg.norm(at[..., :2] - nearest, axis=-1), share


def _keeps_to(room: Area | Track, at: Array, over: float) -> Mask:
    """Whether the middle of a body may be at places, which may be `over` the edge by so many m."""
    half = room.body.width / 2.0
    if isinstance(room, Area):
        points = np.array(room.points)[:, :2]
        round_it, kept = np.zeros(at.shape[:2]), np.ones(at.shape[:2], dtype=bool)
        for a, b in zip(points, np.roll(points, -1, axis=0), strict=True):
            one, two = a - at[..., :2], b - at[..., :2]
            cross = one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0]
            round_it += np.arctan2(cross, (one * two).sum(axis=-1))
            kept &= _from_piece(at, a, b)[0] >= half - over
        return kept & (np.abs(np.abs(round_it) - 2.0 * np.pi) < 1e-3)
    out = np.zeros(at.shape[:2], dtype=bool)
    pieces = list(pairwise(room.points))
    inside = half if room.free else 0.0
    for i, (a, b) in enumerate(pieces):
        off, share = _from_piece(at, a, b)
        long = float(np.hypot(b[0] - a[0], b[1] - a[1]))
        height = a[2] + np.clip(share, 0.0, 1.0) * (b[2] - a[2])
        fits = (off <= (room.width - room.body.width) / 2.0 + over) & (
            np.abs(at[..., 2] - height) <= EVEN + over - 1e-6
        )
        if i == 0:
            fits &= share * long >= inside - over
        if i == len(pieces) - 1:
            fits &= share * long <= long - inside + over
        out |= fits
    return out
