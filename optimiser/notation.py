"""Reads a reeving in the notation that listings print: `load > ash@0.4 m > load > oak@0.6 m > tractor`.

A JSON list of the places is read too. Spaces and the case of letters do not matter.
"""

import json
from collections.abc import Sequence

from optimiser.rig import LOAD, Place, Walk
from optimiser.site.model import Anchor, Site
from shared.errors import Fault, InputError
from shared.units import Dimension, parse, show
from shared.words import did_you_mean, listed

SOURCE = "reeving"
ARROW = ">"
NEAR = 5e-4
"""m: heights closer than this are the same (they are printed rounded)."""


def parse_reeving(text: str, site: Site) -> Walk:
    """The walk of a reeving, its places known to the site.

    Raises:
        InputError: with everything that is wrong with it, and the closest valid place.
    """
    words = _words(text)
    faults: list[Fault] = []
    places: list[Place | None] = []
    for number, word in enumerate(words, start=1):
        try:
            places.append(_place(word, site, last=number == len(words)))
        except ValueError as bad:
            faults.append(Fault(f"place {number}", str(bad)))
            places.append(None)
    faults += _shape(places, site)
    if faults:
        raise InputError(SOURCE, faults)
    return tuple(place for place in places if place is not None)


def _words(text: str) -> list[str]:
    stripped = text.strip()
    if stripped.startswith("["):
        try:
            found = json.loads(stripped)
        except json.JSONDecodeError as bad:
            raise InputError(SOURCE, [Fault("", f"is no JSON list: {bad.msg}")]) from bad
        if not all(isinstance(word, str) for word in found):
            raise InputError(SOURCE, [Fault("", "a JSON list of places holds texts only")])
        words = [word.strip() for word in found]
    else:
        words = [word.strip() for word in stripped.split(ARROW)]
    if len(words) < 2 or not all(words):
        told = (
            "write places from the standing end to the puller, such as "
            "'load > ash@0.4 m > load > tractor'"
        )
        raise InputError(SOURCE, [Fault("", f"{told}; got '{stripped[:60]}'")])
    return words


def _place(word: str, site: Site, *, last: bool) -> Place:
    """One place; ValueError with what is wrong with it."""
    name, at, height = word.rpartition("@")
    if not at:
        name = word
    name = name.strip()
    pullers = {_plain(p.name): p.name for p in site.pullers}
    anchors = {_plain(a.name): a for a in site.anchors}
    key = _plain(name)
    if not at and key == "load":
        return LOAD
    if not at and key in pullers and (last or key not in anchors):
        return Place("puller", pullers[key])
    if key not in anchors:
        known = ["load", *(_spelt(a) for a in site.anchors), *(p.name for p in site.pullers)]
        bare = ["load", *(a.name for a in site.anchors), *(p.name for p in site.pullers)]
        near = did_you_mean(name, bare) or f": the places are {listed(known[:12])}"
        raise ValueError(f"no place '{word}' at this site{near}")
    return _anchored(anchors[key], height.strip() if at else None)


def _anchored(anchor: Anchor, height: str | None) -> Place:
    low, high = min(anchor.heights), max(anchor.heights)
    if height is None:
        if len(anchor.heights) == 1:
            return Place("anchor", anchor.name, low)
        raise ValueError(f"say how high the strap is: {_spelt(anchor)}")
    metres = parse(height, Dimension.LENGTH).stated
    for known in anchor.heights:
        if abs(known - metres) <= NEAR:
            return Place("anchor", anchor.name, known)
    if not low - NEAR <= metres <= high + NEAR:
        told = f"{show(low, Dimension.LENGTH)} to {show(high, Dimension.LENGTH)}"
        raise ValueError(f"a strap on {anchor.name} may hang from {told} up, not at {height}")
    return Place("anchor", anchor.name, metres)


def _shape(places: Sequence[Place | None], site: Site) -> list[Fault]:
    """What is wrong with the order of the places."""
    faults = []
    last = places[-1]
    if last is not None and last.kind != "puller":
        pullers = listed(p.name for p in site.pullers)
        faults.append(Fault(f"place {len(places)}", f"the last place is the puller: {pullers}"))
    for number, place in enumerate(places[:-1], start=1):
        if place is not None and place.kind == "puller":
            faults.append(Fault(f"place {number}", f"{place.name} pulls: it can only come last"))
        if place is not None and place == places[number]:
            faults.append(Fault(f"place {number + 1}", f"{place} comes twice in a row"))
    if LOAD not in places and None not in places:
        faults.append(Fault("", "the rope never comes to the load"))
    return faults


def _spelt(anchor: Anchor) -> str:
    """How an anchor's places are written."""
    return f"{anchor.name}@{min(anchor.heights):g} m"


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
