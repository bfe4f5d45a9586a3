"""Gives a rig that nearly works as the page draws it: its lines, what they meet, what cures it.

A cure that is a change of the file comes as edits of it, with what has to be so on the bank before the file
may state it; every other is something to do or to buy, and is only named.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil, floor
from typing import Any

import numpy as np

from catalogue.gear import Protector
from optimiser.jobs.proposed import SYSTEMS, pickets
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.laying import proposals, rigs
from optimiser.jobs.why.limits import LoadWeight, RopeLength, SidePull
from optimiser.jobs.why.meets import Meeting, Met, met
from optimiser.jobs.why.misses import new_anchors
from optimiser.jobs.why.misses.clearing import GROUND, OBSTACLES
from optimiser.jobs.why.misses.more_gear import FAMILIES
from optimiser.jobs.why.stops import NOT_ALL
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground.plan_view import load_at
from optimiser.rig.setup import Miss
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.search.rules import Rules
from optimiser.sheet.shown.ropes import positions
from optimiser.site.model import Owned, Site
from shared.units import Dimension, Rounding, in_unit, show, unit_name

Data = dict[str, Any]

NOT_OF_THE_FILE = "not a change of the file"
_PAIR = re.compile(r'trees = \["([^"]+)", "([^"]+)"\]')
_MORE = re.compile(r"(\d+) more (.+)")


def missed(site: Site, miss: Miss) -> Data:
    """The lines of a miss in m (`points`: their ends), what they meet (`spots`), its cures."""
    job = Job.of(site, Rules.of(site.preferences.rules))
    return {**_drawn(job, miss.walk), "cures": _cures(job, miss)}


def _drawn(job: Job, walk: Walk) -> Data:
    """With the load where a line first meets something, else where it starts."""
    best: tuple[RigRow, list[tuple[int, Meeting]]] | None = None
    for row in rigs(job, walk):
        found = [(k, way) for k in range(len(walk) - 1) for way in met(row, k)]
        if best is None or len(found) < len(best[1]):
            best = row, found
    if best is None:
        return {"points": [], "spots": []}
    row, found = best
    scene = row.scene
    where = positions(scene, walk, scene.hitch)
    at = found[0][1].at if found else float(scene.stations.at[0])
    station = int(np.argmin(np.abs(scene.stations.at - at)))
    nodes = [[round(float(v), 4) for v in node] for node in where[station]]
    spots = {way.what: _spot(job.site, way, nodes[k : k + 2], walk[k : k + 2]) for k, way in found}
    return {
        "load_at": at,
        "points": [list(pair) for pair in pairwise(nodes)],
        "spots": list(spots.values()),
    }


def _spot(site: Site, way: Meeting, ends: Sequence[Sequence[float]], walk: Walk) -> Data:
    """Where a line meets something."""
    by = show(way.by, Dimension.LENGTH, site.preferences.units, Rounding.UP)
    posts = {post.name: (post.position, post.radius) for post in site.obstacles}
    posts |= {anchor.name: (anchor.position, anchor.radius) for anchor in site.anchors}
    match way.kind:
        case Met.POST if way.what in posts:
            position, radius = posts[way.what]
            deep = way.deep(site.preferences.units)
            return {"at": list(position), "radius": radius, "words": f"{way.what}: {deep}"}
        case Met.GROUND:
            return {"at": list(load_at(site, way.spots[0])), "words": f"{way.what}: {by} too low"}
        case _:
            # at the anchor the load has come to, or at its own hitch on an edge
            anchored = [p.kind is PlaceKind.ANCHOR for p in walk]
            near = anchored.index(True) if way.kind is Met.NOSE and any(anchored) else 0
            return {"at": list(ends[near]), "words": way.what}


def _cures(job: Job, miss: Miss) -> list[Data]:
    """What cures it: by edits, by second lines (`hold`), or not by a change of the file."""
    if not miss.change.text or miss.limit == NOT_ALL:
        return []
    if miss.limit == SidePull.name:
        return [{"words": miss.change.text, "hold": True}]
    edits = list(_edits(job, miss))
    if edits:
        return [{"words": miss.change.text, "edits": edits, "first": _first(miss)}]
    return [{"words": f"{miss.change.text} ({NOT_OF_THE_FILE})"}]


def _edits(job: Job, miss: Miss) -> Iterator[Data]:
    """Edits of the file that bring a change about; none where it is not of the file."""
    site = job.site
    match miss.limit:
        case OBSTACLES.name:
            names = [post.name for post in site.obstacles if post.name in miss.change.text]
            for name in names:
                yield {"remove": "obstacle", "name": name}
        case GROUND.name | "number of edge protectors":
            piece = _named(job, miss)
            if piece is not None:
                yield {"own": piece.gear.id, "name": piece.name, "more": round(miss.change.amount)}
        case "height of a strap":
            for place in dict.fromkeys(p for p in miss.walk if p.kind is PlaceKind.ANCHOR):
                if place.height > max(site.anchor(place.name).heights) + 1e-9:
                    yield {"strap": place.name, "up": round(place.height, 3)}
        case LoadWeight.name:
            weight = _lighter(site, miss)
            if weight:
                yield {"put": ["load", "weight"], "value": weight}
        case RopeLength.name:
            rope = miss.change.text.rpartition(" more rope like ")[2]
            owned = next((p for p in site.gear if p.name == rope and p.length is not None), None)
            if owned is not None and owned.length is not None:
                yield {
                    "lengthen": rope,
                    "to": ceil(100.0 * (owned.length + miss.change.amount)) / 100.0,
                }
        case new_anchors.NO_ANCHOR:
            yield from _driven(site, miss)
        case new_anchors.ONE_TREE:
            trees = _PAIR.search(miss.change.text)
            if trees is not None and "another " not in miss.change.text:
                yield {"add": ["pair"], "table": {"trees": list(trees.groups())}}
        case limit if limit in {family.name for family in FAMILIES}:
            more = [_MORE.fullmatch(part) for part in re.split(", | and ", miss.change.text)]
            ids = {piece.name: piece.gear.id for piece in site.gear}
            if all(part is not None and part[2] in ids for part in more):
                for many, name in (part.groups() for part in more if part is not None):
                    yield {"own": ids[name], "name": name, "more": int(many)}
        case _:
            return


def _driven(site: Site, miss: Miss) -> Iterator[Data]:
    """The entry of the pickets that a change names."""
    every = (one for system in SYSTEMS for one in pickets(site, system))
    found = next((one for one in every if one.in_words == miss.change.text), None)
    if found is not None:
        taken = {anchor.name for anchor in site.anchors}
        names = ("pickets", *(f"pickets {number}" for number in range(2, len(taken) + 3)))
        name = next(name for name in names if not any(a.startswith(name) for a in taken))
        yield {"add": ["made"], "table": {"name": name, **found.entry}}


def _first(miss: Miss) -> str:
    """What has to be so before the file may state it."""
    match miss.limit:
        case LoadWeight.name:
            return "only once that much is off the load"
        case OBSTACLES.name:
            return "only once it is out of the way"
        case new_anchors.NO_ANCHOR:
            return "only once they are driven so"
        case new_anchors.ONE_TREE:
            return "only where both trees can be reached"
        case "height of a strap":
            return "only if the stem stands that so high up"
        case _:
            return "only once you have it"


def _lighter(site: Site, miss: Miss) -> str:
    """The weight that does, as a site file has it: rounded down; a range stays one, where it can. Empty where
    pulls that were read have a say in it too."""
    stated = None if site.origin is None else site.origin.at(("load", "weight"))
    if site.origin is None or stated is None or site.origin.document.pulled:
        return ""
    system = site.preferences.units
    unit = unit_name(Dimension.WEIGHT, system)
    most, least, heaviest = (
        floor(in_unit(weight, Dimension.WEIGHT, system))
        for weight in (
            site.load.weight - miss.change.amount, stated.interval.low, stated.interval.high
        )
    )  # fmt: skip
    return f"{least}..{most} {unit}" if least < most < heaviest else f"{most} {unit}"


def _named(job: Job, miss: Miss) -> Owned[Protector] | None:
    """What is laid, among all that may be laid without buying it."""
    free = [piece for piece in proposals(job) if piece.price is None]
    words = miss.change.text
    return next((p for p in free if f'"{p.gear.id}"' in words or f"more {p.name}:" in words), None)
