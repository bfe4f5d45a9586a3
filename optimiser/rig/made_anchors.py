"""What has to be made before a rig can be hauled on: its anchors, which way each faces, and in what steps."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise
from math import atan2, cos, degrees, dist, sin

from optimiser.rig import shared_trees
from optimiser.rig.gear.row import RigRow
from optimiser.rig.setup import ToMake, names
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show

_FAR = 1e-9
HOUR = 60.0
"""min: from here on, times are printed in hours."""


def to_make(row: RigRow) -> tuple[ToMake, ...]:
    """The anchors of a rig that have to be made, in the order of the site."""
    site = row.scene.site
    if not site.has_made:
        return ()
    out = []
    for index, anchor in enumerate(site.anchors):
        if anchor.making is None:
            continue
        turns: list[float] = []
        rises: list[float] = []
        ev, rows = row.corners
        every = range(len(ev.walks))[rows]
        for seen in ev.pulls_on_made:
            if seen.anchor is site.anchors[index]:
                for k, walk in enumerate(seen.rows):
                    if int(walk) in every:
                        rises.append(float(seen.rise[k].max()))
                        turns += [float(seen.first[k] + turn) for turn in seen.turn[k]]
        if not turns:
            continue
        begin = turns[0]
        off = [atan2(sin(turn - begin), cos(turn - begin)) for turn in turns]
        middle = begin + (max(off) + min(off)) / 2.0
        aside = None if anchor.directions is None else anchor.directions.aside
        way = None if aside is None else middle
        out.append(
            ToMake(
                anchor=anchor.name,
                making=anchor.making,
                way=way,
                faces=_faces(site, anchor.name, way),
                spread=(max(off) - min(off)) / 2.0,
                rise=max(rises),
            )
        )
    return tuple(out)


def along(site: Site, made: Iterable[ToMake]) -> tuple[ToMake, ...]:
    """The same anchors, with which way each faces measured along the site's path."""
    return tuple(replace(one, faces=_faces(site, one.anchor, one.way)) for one in made)


def needs(made: Iterable[ToMake], system: str) -> str | None:
    """What has to be made, in a list of setups; None: nothing."""
    clauses = [f"{_called(one)} ({minutes(one.making.minutes)})" for one in made]
    del system  # times are the same in every system of units
    return f"To make first, two people: {'; '.join(clauses)}." if clauses else None


def _called(one: ToMake) -> str:
    """An anchor, or the sling between two trees, in words."""
    if one.slung is None:
        return one.anchor
    return f"the sling between {names(one.slung.trees)}, of {one.slung.rope}"


def steps(made: ToMake, system: str) -> Iterator[str]:
    """How one anchor is made, step by step."""
    if made.slung is not None:
        yield from shared_trees.steps(made.slung, system)
        return
    yield (
        f"Make {made.anchor}, some {minutes(made.making.minutes)} for two people, of "
        f"{', '.join(f'{many} {what}' for many, what in made.making.pieces)}.{made.faces}"
    )
    for step in made.making.steps:
        yield f"{step[:1].upper()}{step[1:]}."
    if made.way is not None:
        apart = show(made.spread, Dimension.ANGLE, system, Rounding.UP)
        yield (
            f"The pulls on {made.anchor} lead up to {apart} to either side of that line: rig loosely, see "
            "the way that the strap is drawn, and set the rest of it out by that."
        )


def minutes(many: float) -> str:
    """A time in words: "45 min", "2.5 h"."""
    return f"{many:.0f} min" if many < HOUR else f"{many / HOUR:.1f} h"


def _faces(site: Site, name: str, way: float | None) -> str:
    """Where the line that an anchor is laid out by crosses the path, or how it leads off the path's start."""
    if way is None:
        return ""
    at, done = site.anchor(name).position, 0.0
    x, y = cos(way), sin(way)
    for leg in site.legs:
        for a, b in pairwise((leg.start, leg.end)):
            along = b[0] - a[0], b[1] - a[1]
            cross = x * along[1] - y * along[0]
            if abs(cross) > _FAR:
                to = a[0] - at[0], a[1] - at[1]
                share = (to[0] * y - to[1] * x) / cross
                ahead = (to[0] * along[1] - to[1] * along[0]) / cross
                if 0.0 <= share <= 1.0 and ahead > 0.0:
                    where = show(done + share * dist(a, b), Dimension.LENGTH, "metric")
                    return f" Its line points to the place of the path {where} from its start."
            done += dist(leg.start, leg.end)
    start = site.legs[0].start
    home = atan2(start[1] - at[1], start[0] - at[0])
    off = atan2(sin(way - home), cos(way - home))
    side = "left" if off > 0.0 else "right"
    return f" Its line points {abs(degrees(off)):.0f}° to the {side} of the path's start, seen from there."
