"""Gives what the pictures of the sheet see (`optimiser.sheet.shown`) as JSON, for the page to draw.

Lengths in m in the site's own frame, angles in rad; what people read stands beside it in their units. No
line style and no size of a sign is decided here: the page takes those of the sheet (`line_styles`).
"""

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.ground.keepout import Danger
from optimiser.rig.ground.plan_view import load_at
from optimiser.rig.walk import PlaceKind
from optimiser.sheet.drawing import laid_things, style
from optimiser.sheet.drawing.style import POINT, Line
from optimiser.sheet.shown.bare import Bare
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.hands import hand_of
from optimiser.sheet.shown.ropes import Rope
from optimiser.sheet.shown.seen import Seen
from optimiser.site.model import Anchor, AnchorKind, Site
from shared.units import Dimension, Rounding, show

Data = dict[str, Any]

DECIMALS = 4
"""Of metres: a tenth of a millimetre is less than any screen shows."""
MOST_STATIONS = 90
"""Places of the load that the page gets: its slider needs no more."""

_STYLES = {
    "outline": style.OUTLINE,
    "thin": style.THIN,
    "leader": style.LEADER,
    "travel": style.TRAVEL,
    "moved": style.MOVED,
    "unknown": style.UNKNOWN,
    "limit": style.LIMIT,
    "stands": style.STANDS,
    "tail": style.TAIL,
    "ground": style.ROPE,
    "elsewhere": style.ROPE_ELSEWHERE,
}


def line_styles() -> Data:
    """The sheet's lines by name, and its ropes in their order: widths [mm], dashes [mm]."""
    named = {name: _line(line) for name, line in _STYLES.items()}
    return {"lines": named, "ropes": [_line(line) for line in style.ROPES]}


def site_seen(site: Site) -> Data:
    """Everything that stands on a site, with nothing rigged."""
    seen = Bare(site)
    frame = site.frame
    return {
        **_ground(seen),
        "ground": _points(seen.stations.point),
        "frame": None if frame is None else asdict(frame),
        "anchors": [_anchor(seen, anchor) for anchor in seen.shown_anchors],
        "posts": [
            {
                "name": post.name,
                "at": _point(post.position),
                "radius": post.radius,
                "top": post.top,
                "words": seen.post_words(post),
            }
            for post in site.obstacles
        ],
        "pullers": _pullers(seen),
        "edges": _edges(seen),
        "doubts": [
            {
                "name": doubt.name,
                "at": _points(doubt.at),
                "ring": _points(doubt.ring),
                "height": doubt.height,
                "farthest": doubt.farthest,
                "mark": doubt.mark,
                "words": seen.good_to[doubt.name],
            }
            for doubt in seen.doubts
        ],
        "north": seen.north,
    }


def rig_seen(drawn: Drawn) -> Data:
    """A rig on its site: its ropes at every place of the load, forces, where nobody stands."""
    kept = _some(len(drawn.at), {drawn.begin, drawn.end, drawn.worst, *_stops(drawn)})
    unit, name = drawn.force_unit
    return {
        **_ground(drawn, kept),
        "ropes": [_rope(drawn, rope, kept) for rope in drawn.ropes],
        "letters": {f"{kind}:{name}": letter for (kind, name), letter in drawn.letters.items()},
        "used": sorted(drawn.used_anchors),
        "made": [
            _anchor(drawn, anchor) for anchor in drawn.shown_anchors if anchor.name in drawn.faces
        ],
        "faces": dict(drawn.faces),
        "slings": [
            {
                "name": anchor.name,
                "trees": list(anchor.sling.trees),
                "ties": _points(np.array(anchor.sling.ties)),
                "words": drawn.sling_words(anchor),
            }
            for anchor in drawn.shown_anchors
            if anchor.sling is not None
        ],
        "pullers": _pullers(drawn),
        "edges": _edges(drawn),
        "areas": [
            {"danger": area.danger.name.lower(), "corners": [list(c) for c in area.corners]}
            for area in drawn.areas
        ],
        "dangers": {danger.name.lower(): danger.value for danger in Danger},
        "worst": kept.index(drawn.worst),
        "forces": _numbers(drawn.forces[kept]),
        "limits": [float(v) if np.isfinite(v) else None for v in drawn.limits[kept]],
        "force": {
            "name": drawn.force_name,
            "in_one_N": unit,
            "unit": name,
            "words": [_force(drawn, float(v)) for v in drawn.forces[kept]],
        },
        "first_to_go": drawn.first_to_go,
        "stop_word": drawn.stop_word,
        "stops": list(drawn.stops),
    }


def _ground(seen: Seen, kept: list[int] | None = None) -> Data:
    site, stations = seen.site, seen.stations
    kept = _some(len(seen.at), {seen.begin, seen.end}) if kept is None else kept
    legs = site.legs
    return {
        "heading": seen.heading,
        "at": _numbers(seen.at[kept]),
        "at_words": [seen.length(float(v)) for v in seen.at[kept]],
        "point": _points(stations.point[kept]),
        "along": _points(stations.along[kept]),
        "across": _points(stations.across[kept]),
        "slope_sin": _numbers(stations.slope_sin[kept]),
        "begin": kept.index(seen.begin),
        "end": kept.index(seen.end),
        "legs": [
            {
                "start": _point(leg.start),
                "end": _point(leg.end),
                "step": leg.step,
                "words": seen.leg_words(i),
                "ground_words": seen.ground_words(i),
            }
            for i, leg in enumerate(legs)
        ],
        "load": {
            "name": site.load.name,
            "length": site.load.length,
            "width": site.load.width,
            "overhang": site.load.overhang,
            "hitches": [
                {"name": h.name, "ahead": h.ahead, "left": h.left, "height": h.height}
                for h in site.load.hitches
            ],
        },
    }


def _anchor(seen: Seen, anchor: Anchor) -> Data:
    spot = anchor.uses[-1][0] if anchor.uses else anchor.name
    return {
        "name": anchor.name,
        "kind": "tree" if anchor.kind is AnchorKind.TREE else anchor.kind.value,
        "spot": spot,
        "to_make": bool(anchor.uses),
        "at": _point(anchor.position),
        "radius": anchor.radius,
        "top": min(anchor.top, max(anchor.heights) + 0.7),
        "heights": list(anchor.heights),
        "words": seen.anchor_words(anchor).replace("\n", ", "),
        "good_to": seen.good_to.get(anchor.name, ""),
    }


def _pullers(seen: Seen) -> list[Data]:
    return [
        {
            "name": who.name,
            "anchor": who.anchor,
            "at": _point(who.position),
            "run": who.run,
            "run_words": seen.length(who.run),
            "heading": list(who.heading),
            "ends": _points(seen.run(who)),
            "good_to": seen.good_to.get(who.name, ""),
            "room": None
            if who.room is None
            else {
                "word": who.room.word,
                "sides": [_points(np.array(side)) for side in who.room.sides],
            },
        }
        for who in seen.pullers
    ]


def _edges(seen: Seen) -> list[Data]:
    return [
        {
            "name": edge.name,
            "middle": edge.middle,
            "words": f"{edge.name}, at {seen.length(edge.middle)}",
            "at": _point(load_at(seen.site, edge.middle)),
            "corners": _points(laid_things.outline(seen.site, edge)),
            "clearance": edge.lies.clearance,
            "bend_radius": edge.lies.bend_radius,
            "covers": edge.lies.covers,
        }
        for edge in seen.edges
    ]


def _rope(drawn: Drawn, rope: Rope, kept: list[int]) -> Data:
    parts = range(len(rope.walk) - 1)
    system = drawn.site.preferences.units
    return {
        "called": rope.called,
        "first": rope.first,
        "style": style.ROPES.index(rope.style),
        "holds": rope.holds,
        "turns": rope.turns,
        "hand": list(hand_of(drawn, rope).at) if rope.turns else None,
        "walk": [
            {"kind": place.kind.value, "name": drawn.name(place), "letter": drawn.letter(place),
             "height": place.height, "anchor": place.kind is PlaceKind.ANCHOR}
            for place in rope.walk
        ],
        "near": [_points(rope.near[rope.station(s)]) for s in kept],
        "used": [kept_s for kept_s, s in enumerate(kept) if rope.station(s) == s],
        "bent": {
            f"{i},{part}": _points(rope.course(s, part)[1:-1])
            for i, s in enumerate(kept)
            for part in parts
            if (rope.station(s), part) in rope.bent
        },
        "parts": [
            {
                "number": rope.first + part,
                "carries": show(float(rope.carries[part]), Dimension.FORCE, system, Rounding.UP),
                "share": None if rope.shares is None else float(rope.shares[part]),
                "lies": [list(end) for end in rope.lies[part]],
            }
            for part in parts
        ],
    }  # fmt: skip


def _stops(drawn: Drawn) -> Iterable[int]:
    return (drawn.station(at) for at in drawn.stops)


def _some(count: int, needed: set[int]) -> list[int]:
    """At most some `MOST_STATIONS` of the stations, evenly, and those that are needed."""
    step = max(1, -(-count // MOST_STATIONS))
    return sorted({*range(0, count, step), *needed})


def _force(drawn: Drawn, value: float) -> str:
    return drawn.force_worded(value, Rounding.UP) if np.isfinite(value) else "–"


def _line(line: Line) -> Data:
    width = line.width * POINT
    return {"width": round(width, 4), "dashes": [round(d * width, 4) for d in line.dashes]}


def _point(at: Iterable[float]) -> list[float]:
    return [round(float(v), DECIMALS) for v in at]


def _points(rows: Array) -> Any:
    return np.round(np.nan_to_num(np.asarray(rows, dtype=float)), DECIMALS).tolist()


def _numbers(row: Array) -> list[float | None]:
    return [round(float(v), DECIMALS) if np.isfinite(v) else None for v in row]
