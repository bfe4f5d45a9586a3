"""A made-up site as a site file, so that a whole command can be measured as a person gives it.

What a file cannot say is put as near as it goes: a tree's strength comes from a species (the oak whose
stem is nearest to the invented ones), the least resistance from a surface.
"""

from math import atan2, degrees
from typing import Any

from catalogue.gear import Block, Protector, Rope, Shackle, Strap
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import Vec
from optimiser.site.anchors import Tree
from optimiser.site.model import Anchor, Leg, Owned, Puller, Site
from tests.fuzz.toml_text import written

SPECIES = "oak-european"
SURFACE = "grass"
KNOTS = ["bowline", "round-turn-two-half-hitches"]


def site_file(site: Site) -> str:
    """The TOML text of a site that `tests.generated` made of a plain recipe."""
    load, wanted = site.load, site.preferences
    hitches = [
        {
            "name": hitch.name, "ahead": _m(hitch.ahead), "left": _m(hitch.left),
            "height": _m(hitch.height), "rating": _n(hitch.rating), "eye": _m(hitch.eye),
        }
        for hitch in load.hitches
    ]  # fmt: skip
    document = {
        "title": site.title,
        "path": {"start": _point(site.legs[0].start), "leg": [_leg(leg) for leg in site.legs]},
        "load": {
            "name": load.name, "weight": _n(load.weight), "rests_on": "wheels",
            "wheel_radius": _m(load.wheel_radius), "length": _m(load.length),
            "overhang": _m(load.overhang), "hitch": hitches,
        },
        "tree": [_tree(anchor) for anchor in site.anchors],
        "puller": [_puller(puller) for puller in site.pullers],
        "gear": [_piece(owned) for owned in site.gear],
        "preferences": {
            "most_sheaves": wanted.most_sheaves, "knots": KNOTS, "order": list(wanted.order),
            "side_pull_rolling": wanted.side_pull_rolling,
            "station_spacing": _m(wanted.station_spacing),
        },
    }  # fmt: skip
    return written(document)


def _leg(leg: Leg) -> dict[str, Any]:
    return {
        "to": _point(leg.end), "surface": SURFACE, "resistance": leg.resistance,
        "edge_protected": leg.protector.id if leg.protector is not None else leg.edge_protected,
    }  # fmt: skip


def _tree(anchor: Anchor) -> dict[str, Any]:
    assert isinstance(anchor, Tree)
    return {
        "name": anchor.name, "at": _point(anchor.position), "diameter": _m(anchor.diameter),
        "species": SPECIES, "strap_heights": [_m(height) for height in anchor.heights],
    }  # fmt: skip


def _puller(puller: Puller) -> dict[str, Any]:
    assert puller.kind is PulledBy.VEHICLE
    return {
        "kind": puller.kind, "name": puller.name, "at": _point(puller.position),
        "heading": f"{degrees(atan2(puller.heading[1], puller.heading[0])):g} deg", "run": _m(puller.run),
        "pull": _n(puller.limit), "hitch_height": _m(puller.height),
        "hitch_rating": _n(puller.hitch_rating), "hitch_eye": _m(puller.hitch_eye),
        "angle_limit": f"{degrees(puller.angle_limit)!r} deg",
        "rise_limit": f"{degrees(puller.rise_limit)!r} deg",
        "dynamic": puller.dynamic,
    }  # fmt: skip


def _piece(owned: Owned) -> dict[str, Any]:
    gear = owned.gear
    common = {"name": owned.name, "condition": owned.condition.id, "count": owned.count}
    if isinstance(gear, Rope):
        return common | {
            "kind": "rope", "material": gear.material, "diameter": _m(gear.diameter),
            "length": _m(owned.length), "ends": [end.id if end else "bare" for end in owned.ends],
            "breaking_strength": _n(gear.mbs), "design_factor": gear.design_factor,
            "stretch_at_break": gear.stretch_at_break,
            "mass_per_length": f"{gear.mass_per_metre!r} kg/m", "least_bend": gear.least_bend_ratio,
        }  # fmt: skip
    if isinstance(gear, Block):
        return common | {
            "kind": "block", "sheaves": gear.sheaves, "opens": gear.opens,
            "rope_least": _m(gear.rope_least), "rope_most": _m(gear.rope_most),
            "sheave_diameter": _m(gear.sheave_diameter), "rating": _n(gear.wll),
            "bearing": gear.bearing, "efficiency": gear.eta, "length": _m(gear.length),
            "eye": _m(gear.eye),
        }  # fmt: skip
    if isinstance(gear, Shackle):
        return common | {
            "kind": "shackle", "bow": _m(gear.bow_diameter), "pin": _m(gear.pin_diameter),
            "jaw": _m(gear.jaw), "length": _m(gear.length), "rating": _n(gear.wll),
        }  # fmt: skip
    if isinstance(gear, Protector):
        return common | {
            "kind": "protector", "surface": gear.surface, "clearance": _m(gear.clearance),
            "bend_radius": _m(gear.bend_radius), "length": _m(gear.length),
            "covers": _m(gear.covers), "made_on_the_spot": gear.made, "fixing": gear.fixing,
        }  # fmt: skip
    assert isinstance(gear, Strap)
    return common | {
        "kind": "strap", "length": _m(gear.length), "rating": _n(gear.wll),
        "choker": gear.choker_factor, "basket": gear.basket_factor, "width": _m(gear.width),
    }  # fmt: skip


def _point(at: Vec) -> list[str]:
    return [_m(value) for value in at]


def _m(value: float | None) -> str:
    assert value is not None
    return f"{value!r} m"


def _n(value: float | None) -> str:
    assert value is not None
    return f"{value!r} N"
