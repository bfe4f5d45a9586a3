"""Computes what a haul leaves for a holding line: gear, and what anchors and hitches still stand."""

from collections import Counter
from collections.abc import Collection
from dataclasses import replace
from math import inf

import numpy as np

from optimiser.rig.ground.stations import Stations
from optimiser.rig.refit import stretch_of
from optimiser.rig.setup import PIECES, HoldingLine, Setup, Way
from optimiser.site.model import Anchor, Hitch, Site

NOTHING = 1e-6
"""N or N·m left where the haul takes all."""


def used_by(setup: Setup) -> Counter[str]:
    """Counts the items of gear that the haul uses."""
    out = Counter(h.item for h in setup.gear if h.role in PIECES)
    for line in setup.lines:
        joined = line.rope.joined
        names = [line.rope.name]
        if joined is not None:
            names = [joined.second.name] + ([joined.first.name] if joined.bend else [])
        out.update(names)
    return out


def used_by_line(line: HoldingLine) -> Counter[str]:
    """Counts the items of gear that a second line uses."""
    return Counter(h.item for h in line.gear if h.role in PIECES) + Counter([line.rope.name])


def spare_site(site: Site, setup: Setup) -> Site:
    """The site with the gear that the haul and its steering line leave. What they put on an anchor or
    a hitch at worst is taken off what it stands, whether both pull at one time or not: on the safe
    side."""
    used = used_by(setup)
    steering = [line for line in setup.holding if line.way is Way.ASIDE]
    for held in steering:
        used.update(used_by_line(held))
    gear = (replace(piece, count=piece.count - used[piece.name]) for piece in site.gear)
    taken: dict[str, float] = {}
    on_anchor: dict[str, float] = {}
    for c in (*setup.components, *(c for held in steering for c in held.components)):
        taken[c.name] = taken.get(c.name, 0.0) + c.demand
        if c.item == c.place:
            on_anchor[c.item] = on_anchor.get(c.item, 0.0) + c.demand
    led = {place.name for place in setup.nodes} | {setup.puller.anchor or ""}
    led |= {place.name for held in steering for place in held.walk}
    anchors = tuple(
        _less(anchor, inf if _shares(anchor, led) else on_anchor.get(anchor.name, 0.0))
        for anchor in site.anchors
    )
    hitches = tuple(
        _weaker(hitch, taken.get(f"load: hitch {hitch.name}", 0.0)) for hitch in site.load.hitches
    )
    return replace(
        site,
        gear=tuple(piece for piece in gear if piece.count > 0),
        anchors=anchors,
        stock=_stock_left(site, {place.name for place in setup.nodes} | {setup.puller.anchor}),
        load=replace(site.load, hitches=hitches),
        origin=None,
    )


def laid_out_for(spare: Site, line: HoldingLine) -> Site:
    """What a line that holds leaves of some spare site for the next: its gear goes on with the load, but an
    anchor that stands some pulls only is laid out for its pulls, and what is made stays where it is."""
    used = {place.name for place in line.walk}
    anchors = tuple(
        _less(anchor, inf)
        if _shares(anchor, used) or (anchor.name in used and anchor.directions is not None)
        else anchor
        for anchor in spare.anchors
    )
    return replace(spare, anchors=anchors, stock=_stock_left(spare, used))


def _shares(anchor: Anchor, used: Collection[str]) -> bool:
    """Whether two trees that share a pull by a sling, or one of them, are in use: then nothing more may be
    put on the sling."""
    if anchor.sling is None:
        return False
    return anchor.name in used or any(tree in used for tree in anchor.sling.trees)


def _stock_left(site: Site, used: Collection[str | None]) -> tuple[tuple[str, int], ...]:
    """What some anchors in use leave to make others of."""
    taken: Counter[str] = Counter()
    for anchor in site.anchors:
        if anchor.name in used:
            taken.update(dict(anchor.uses))
    return tuple((what, many - taken[what]) for what, many in site.stock)


def _less(anchor: Anchor, demand: float) -> Anchor:
    known = anchor.strength.capacity
    if known is None or demand <= 0.0:
        return anchor
    # One that stands some pulls only is laid out for the haul's.
    left = known - demand if anchor.directions is None else 0.0
    strength = replace(anchor.strength, capacity=max(left, NOTHING))
    return replace(anchor, strength=strength)  # type: ignore[type-var]


def _weaker(hitch: Hitch, demand: float) -> Hitch:
    if hitch.rating is None:
        return hitch
    return replace(hitch, rating=max(hitch.rating - demand, NOTHING))


def stations_of(site: Site, setup: Setup) -> Stations:
    """The stations of the setup's stretch. Of the two at a bend only those that it goes over."""
    inside = stretch_of(site, setup)
    slopes = np.arcsin(inside.slope_sin)
    known = np.array([(row.at, row.slope) for row in setup.profile])
    near = np.abs(known[:, None, :] - np.stack([inside.at, slopes], axis=1)[None, :, :]) < 1e-7
    return inside.pick(np.flatnonzero(near.all(axis=2).any(axis=0)))
