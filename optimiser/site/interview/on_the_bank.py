"""The order of the questions: as somebody who stands on the bank knows the answers."""

from collections.abc import Iterator
from typing import Any

from catalogue.book import load_catalogue
from optimiser.site.document.anchors import TreePart
from optimiser.site.document.load import HitchPoint, LoadPart
from optimiser.site.document.path import PathLeg
from optimiser.site.document.preferences import PreferencesPart
from optimiser.site.document.site import SiteDocument
from optimiser.site.interview.gear_owned import pieces
from optimiser.site.interview.prompt import (
    SETTLE,
    Step,
    Values,
    as_either,
    as_key,
    as_kind,
    of,
    question,
)
from optimiser.site.interview.taping import place
from optimiser.site.interview.what_pulls import pullers
from optimiser.site.lines import Key
from shared.units import Dimension
from shared.written import parse


def course(raw: dict[str, Any]) -> Iterator[Step]:
    """Every question in its order. `raw`: the site file that the answers so far come to, as tomllib would
    read it; whoever goes through the course puts each answer into it before the next question."""
    yield question(SiteDocument, ("title",), "What is the job, in a line", skip="no title")
    yield from _path(raw)
    yield SETTLE
    yield from _load(raw)
    yield SETTLE
    yield from _hitches(raw)
    yield SETTLE
    yield from _trees(raw)
    yield from pullers(raw)
    yield SETTLE
    yield from pieces(raw)
    yield SETTLE
    yield question(
        PreferencesPart,
        ("preferences", "units"),
        "Units of the answers, metric or imperial",
        skip="metric",
        heading="The answers",
    )
    yield SETTLE


def _path(raw: dict[str, Any]) -> Iterator[Step]:
    heading = "The way, one straight piece after the other, from where the load lies"
    number = 0
    while True:
        at: Key = ("path", "leg", number)
        leg = of(PathLeg, at)
        yield leg(
            "length",
            f"Piece {number + 1}: how long, by the tape on the ground",
            '"12 m" or "40 ft"',
            skip="no further piece" if number else "",
            heading="" if number else heading,
        )
        if len(raw["path"]["leg"]) == number:
            return
        yield leg(
            "slope",
            f"Piece {number + 1}: how steep, or how much higher it ends",
            '"8 deg", "5 deg down" or "1.7 m"',
            skip="level",
            reads=as_either(PathLeg, "slope", "rise"),
            default={"slope": "0 deg"},
            about=((*at, "rise"),),
        )
        if number:
            yield leg(
                "turn",
                f"Piece {number + 1}: how far the way turns where it begins",
                '"15 deg left"',
                skip="straight on",
            )
        yield leg(
            "surface",
            f"Piece {number + 1}: what it goes over",
            'grass, wet sand, mud; or "0.2..0.3", the force to keep it moving / its weight',
            reads=_surface,
            about=((*at, "resistance"),),
        )
        number += 1


def _surface(line: str) -> Values:
    """An answer as a surface of the catalogue, or as the resistance that somebody knows better."""
    if line[:1].isdigit():
        return as_key(PathLeg, "resistance")(line)
    return as_kind("surface", ["surface"], hidden=_needs_no_name)(line)


def _needs_no_name(surface: str) -> bool:
    """Whether a surface is one that another name leads to: under what slides the reader takes its figures for
    sliding, and it says by itself where wheels are so small that others are needed."""
    return surface.endswith("-hard-wheel") or surface.removesuffix("-sliding") in (
        load_catalogue().surfaces.keys() - {surface}
    )


def _load(raw: dict[str, Any]) -> Iterator[Step]:
    load = of(LoadPart, ("load",))
    yield load("name", "What is hauled", "garden cart", "load", heading="The load")
    yield load(
        "weight", "Its weight with all that is in it", '"260 kg", or "220..300 kg" if you guess'
    )
    yield load("rests_on", "What it rests on: wheels, skids or belly")
    if raw["load"]["rests_on"] == "wheels":
        yield load("wheel_radius", "Radius of its wheels", '"0.25 m"')
    yield load("length", "How long it is", '"1.6 m"')
    half = parse(raw["load"]["length"], Dimension.LENGTH).stated / 2
    yield load(
        "overhang",
        "How far it reaches ahead of the middle of what it rests on",
        f'"{half:.2g} m"',
        skip="half its length",
        default={"overhang": f"{half:.4g} m"},
    )


def _hitches(raw: dict[str, Any]) -> Iterator[Step]:
    number = 0
    while True:
        at: Key = ("load", "hitch", number)

        hitch = of(HitchPoint, at)
        yield hitch(
            "name",
            "A further place to take hold of it" if number else "Where it is taken hold of",
            "drawbar eye",
            skip="no further one" if number else "",
        )
        if len(raw["load"]["hitch"]) == number:
            return
        name = raw["load"]["hitch"][number]["name"]
        ahead = str(raw["load"]["overhang"])
        yield hitch(
            "ahead",
            f"{name}: how far ahead of the middle of what the load rests on",
            f'"{ahead}"; behind it with a minus',
            skip="at the very front",
            default={"ahead": ahead},
        )
        yield hitch(
            "left",
            f"{name}: how far left of the middle line",
            '"0.4 m"; to the right with a minus',
            skip="in the middle",
            default={"left": "0 m"},
        )
        yield hitch("height", f"{name}: how high above the ground", '"0.4 m"')
        yield hitch(
            "rating",
            f"{name}: the pull it stands",
            '"8 kN" or "1800 lbf"',
            skip="unknown",
            default={"rating": "unknown"},
        )
        yield hitch("kind", f"{name}: is it an eye, a hook or a bar", skip="eye")
        if raw["load"]["hitch"][number].get("kind", "eye") == "eye":
            yield hitch(
                "eye", f"{name}: clear width of the eye", '"25 mm" or "1 in"', skip="not known"
            )
        number += 1


def _trees(raw: dict[str, Any]) -> Iterator[Step]:
    raw.setdefault("tree", [])
    number = 0
    while True:
        at: Key = ("tree", number)

        tree = of(TreePart, at)
        yield tree(
            "name",
            "A further tree, by a name of yours" if number else "A tree, by a name of yours",
            "split oak",
            skip="no further tree" if number else "no tree",
            heading=""
            if number
            else "Living, sound, single-stemmed trees that may serve; all lengths to the middle of the stem",
        )
        if len(raw["tree"]) == number:
            return
        name = raw["tree"][number]["name"]
        yield tree(
            "girth", f"{name}: the tape round the stem at breast height", '"1.1 m" or "43 in"'
        )
        yield tree(
            "species",
            f"{name}: its species",
            "oak european",
            skip="unknown, taken for the weakest",
            reads=as_kind("species", ["tree"]),
            default={"species": "unknown"},
        )
        yield tree(
            "strap_lowest",
            f"{name}: lowest place for a strap",
            '"0.3 m"',
            skip="0.3 m",
            default={"strap_lowest": "0.3 m"},
        )
        yield tree(
            "strap_highest",
            f"{name}: highest place for a strap",
            '"1.2 m"',
            skip="1.2 m",
            default={"strap_highest": "1.2 m"},
        )
        yield from place(raw, name, name, (at,))
        yield SETTLE
        number += 1
