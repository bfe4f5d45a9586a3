"""Reads a reeving in the notation that listings print: `load > ash@0.4 m > load > oak@0.6 m > tractor`.

A JSON list of the places is read too. Spaces and the case of letters do not matter. Tackle on tackle is
the reevings of both ropes with a plus between them: the first ends at `grip`, the second turns there.
"""

import json
import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from optimiser.rig.setup import LINES
from optimiser.rig.walk import GRIP, LOAD, Place, PlaceKind, Walk
from optimiser.site.model import Anchor, Site
from shared.errors import Fault, InputError
from shared.reworded import reworded
from shared.units import Dimension, show
from shared.words import counted, did_you_mean, listed
from shared.written import parse

SOURCE = "reeving"
ARROW = ">"
_TURNS = re.compile(r"\s+x\s*(\d+)\s*(?:full\s+|round\s+)?turns?\s*$", re.IGNORECASE)
"""How often a rope goes round what it is held by, behind a reeving."""
NEAR = 5e-4
"""m: heights closer than this are the same (they are printed rounded)."""


def parse_reeving(text: str, site: Site) -> Walk:
    """The walk of a reeving, its places known to the site.

    Raises:
        InputError: with everything that is wrong with it, and the closest valid place.
    """
    places, faults = _places(_words(text), site)
    faults += _shape(places, site)
    if faults:
        raise InputError(SOURCE, _in_units(faults, site))
    return tuple(place for place in places if place is not None)


def parse_way_down(text: str, site: Site) -> tuple[Walk, int | None]:
    """The walk of a reeving that lets the load down, and its turns: "load > oak@0.5 m x 2 turns"; None where
    it does not say how many. Its last place is the trunk of the turns, or the puller that pays out.

    Raises:
        InputError: with everything that is wrong with it, and the closest valid place.
    """
    found = _TURNS.search(text)
    turns = None if found is None else int(found[1])
    places, faults = _places(_words(text if found is None else text[: found.start()]), site)
    faults += _shape(places, site, held=True)
    last = places[-1]
    if turns is not None and last is not None and last.kind is PlaceKind.PULLER:
        faults.append(Fault("", f"{last.name} pays the rope out: nothing has turns"))
    if turns == 0:
        faults.append(
            Fault("", "with no turn nothing holds: leave the turns out for the fewest that do")
        )
    if faults:
        raise InputError(SOURCE, _in_units(faults, site))
    return tuple(place for place in places if place is not None), turns


def parse_lines(text: str, site: Site) -> tuple[Walk, ...]:
    """The walk of a reeving, or the two walks of tackle on tackle.

    Raises:
        InputError: with everything that is wrong with it.
    """
    first, plus, second = text.partition(LINES)
    if not plus or "grip" not in text.casefold():
        return (parse_reeving(text, site),)
    faults: list[Fault] = []
    walks = []
    for name, part in (("first rope", first), ("second rope", second)):
        places: list[Place | None] = []
        for number, word in enumerate(_words(part), start=1):
            if _plain(word) == "grip":
                places.append(GRIP)
                continue
            try:
                places.append(_place(word, site, last=part is second))
            except ValueError as bad:
                faults.append(Fault(f"{name}, place {number}", str(bad)))
                places.append(None)
        walks.append(places)
    if not faults:
        faults += _paired(walks[0], walks[1])
    if faults:
        raise InputError(SOURCE, _in_units(faults, site))
    return tuple(tuple(place for place in places if place is not None) for places in walks)


def _paired(first: Sequence[Place | None], second: Sequence[Place | None]) -> list[Fault]:
    """What is wrong with how the two ropes meet."""
    faults = []
    if first[-1] != GRIP or GRIP in first[:-1]:
        faults.append(Fault("first rope", "it ends at the grip, and passes it nowhere else"))
    if LOAD not in first:
        faults.append(Fault("first rope", "it never comes to the load"))
    last = second[-1]
    if last is None or last.kind is not PlaceKind.PULLER:
        faults.append(Fault("second rope", "the last place is the puller"))
    turns = list(second[:-1])
    met = {p for a, b in pairwise(turns) if GRIP in (a, b) for p in (a, b)} - {GRIP}
    if len(met) != 1 or turns[-1] == GRIP or turns.count(GRIP) == 0:
        faults.append(
            Fault(
                "second rope",
                "all its parts at the grip lead to one place at an anchor, and its hauling part "
                "leaves from there: such as 'oak@0.4 m > grip > oak@0.4 m > tractor'",
            )
        )
    for name, walk in (("first rope", first), ("second rope", turns)):
        if any(a == b for a, b in pairwise(walk)):
            faults.append(Fault(name, "a place comes twice in a row"))
    return faults


def _words(text: str) -> list[str]:
    stripped = text.strip()
    if stripped.startswith("["):
        try:
            found = json.loads(stripped)
        except json.JSONDecodeError as bad:
            raise InputError(SOURCE, [Fault("", f"is no JSON list: {bad.msg}")]) from bad
        if not isinstance(found, list) or not all(isinstance(word, str) for word in found):
            raise InputError(SOURCE, [Fault("", "a JSON list of places holds texts only")])
        words = [word.strip() for word in found]
    else:
        words = [word.strip() for word in stripped.split(ARROW)]
    if len(words) < 2 or not all(words):
        wording = (
            "write places from the standing end to the puller, such as "
            "'load > ash@0.4 m > load > tractor'"
        )
        raise InputError(SOURCE, [Fault("", f"{wording}; got '{stripped[:60]}'")])
    return words


def _places(words: Sequence[str], site: Site) -> tuple[list[Place | None], list[Fault]]:
    """The places of a reeving, None for one that is not known, and what is wrong with those."""
    places: list[Place | None] = []
    faults: list[Fault] = []
    for number, word in enumerate(words, start=1):
        try:
            places.append(_place(word, site, last=number == len(words)))
        except ValueError as bad:
            faults.append(Fault(f"place {number}", str(bad)))
            places.append(None)
    return places, faults


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
    if not at and key == "grip":
        raise ValueError("two ropes meet at the grip: write both reevings with ' + ' between them")
    if not at and key in pullers and (last or key not in anchors):
        return Place(PlaceKind.PULLER, pullers[key])
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
            return Place(PlaceKind.ANCHOR, anchor.name, low)
        raise ValueError(f"say how high the strap is: {_spelt(anchor)}")
    read = parse(height, Dimension.LENGTH)
    if not read.certain:
        raise ValueError(f"expected one height, not a range: '{height}'")
    metres = read.stated
    for known in anchor.heights:
        if abs(known - metres) <= NEAR:
            return Place(PlaceKind.ANCHOR, anchor.name, known)
    if not low - NEAR <= metres <= high + NEAR:
        text = f"{show(low, Dimension.LENGTH)} to {show(high, Dimension.LENGTH)}"
        near = Place(PlaceKind.ANCHOR, anchor.name, low if metres < low else high)
        raise ValueError(
            f"a strap on {anchor.name} may hang from {text} up, not at {height}; "
            f"the closest place is '{near}'"
        )
    return Place(PlaceKind.ANCHOR, anchor.name, metres)


def _shape(places: Sequence[Place | None], site: Site, *, held: bool = False) -> list[Fault]:
    """What is wrong with the order of the places. `held`: the last may also be a trunk."""
    faults = []
    last = places[-1]
    if held and last == LOAD:
        text = "the last place is what holds: a tree or post to turn the rope round, or a puller"
        faults.append(Fault(f"place {len(places)}", text))
    if not held and last is not None and last.kind is not PlaceKind.PULLER:
        pullers = listed(p.name for p in site.pullers)
        faults.append(Fault(f"place {len(places)}", f"the last place is the puller: {pullers}"))
    for number, place in enumerate(places[:-1], start=1):
        if place is not None and place.kind is PlaceKind.PULLER:
            faults.append(Fault(f"place {number}", f"{place.name} pulls: it can only come last"))
        if place is not None and place == places[number]:
            faults.append(Fault(f"place {number + 1}", f"{place} comes twice in a row"))
    sheaves, most = len(places) - 2, site.preferences.most_sheaves
    if sheaves > most:
        text = f"it turns on {counted(sheaves, 'sheave')}: expected at most {most} (most_sheaves)"
        faults.append(Fault("", text))
    if LOAD not in places and None not in places:
        faults.append(Fault("", "the rope never comes to the load"))
    return faults


def _in_units(faults: Sequence[Fault], site: Site) -> list[Fault]:
    """What is wrong in the units of the site."""
    units = site.preferences.units
    return [replace(fault, message=reworded(fault.message, units)) for fault in faults]


def _spelt(anchor: Anchor) -> str:
    """How an anchor's places are written."""
    return f"{anchor.name}@{min(anchor.heights):g} m"


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())
