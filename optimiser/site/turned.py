"""Turns a site's path round: the same ground, the other way."""

from dataclasses import replace

from optimiser.site.model import Leg, Load, Site


def turned(site: Site) -> Site:
    """The site with its path from the end to the start: what runs on there runs back here. The load
    stands as it did, so its hitches lie the other way along the path and across it."""
    legs = tuple(_other_way(leg) for leg in reversed(site.legs))
    load = site.load
    hitches = tuple(replace(h, ahead=-h.ahead, left=-h.left) for h in load.hitches)
    other: Load = replace(load, hitches=hitches, overhang=load.length - load.overhang)
    return replace(site, legs=legs, load=other)


def rise(site: Site) -> float:
    """How much higher the path ends than it starts, m."""
    return site.legs[-1].end[2] - site.legs[0].start[2]


def _other_way(leg: Leg) -> Leg:
    # A lip or a stuck start is met where the leg begins; going down it is not climbed.
    # A pull that was read up the leg says less of the way down.
    return replace(leg, start=leg.end, end=leg.start, step=0.0, breakout=1.0, moved=1.0, saved=None)
