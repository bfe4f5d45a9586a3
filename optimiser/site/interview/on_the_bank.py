"""The order of the questions: as somebody who stands on the bank knows the answers."""

from collections.abc import Callable, Iterator
from typing import Any

from catalogue.book import load_catalogue
from optimiser.site.document.anchors import TreePart
from optimiser.site.document.load import HitchPoint, LoadPart
from optimiser.site.document.path import PathLeg
from optimiser.site.document.preferences import PreferencesPart
from optimiser.site.document.pullers import HandWinch, People, Vehicle
from optimiser.site.document.readings import ReadingPart
from optimiser.site.document.site import SiteDocument
from optimiser.site.interview.gear_owned import pieces
from optimiser.site.interview.prompt import (
    Question,
    Values,
    as_count,
    as_either,
    as_key,
    as_kind,
    of,
    question,
)
from optimiser.site.lines import Key
from shared.units import Dimension
from shared.words import did_you_mean, listed
from shared.written import parse

SETTLE = None
"""Stands in the course where a part is complete: what was answered so far is read as a site."""
Step = Question | None

LEVEL_GUESS = "0.5 m"
"""How far off a height is taken to be (two out of three) where somebody skips it as level (choice)."""


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
    yield from _pullers(raw)
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
        yield from _place(raw, name, name, at)
        yield SETTLE
        number += 1


def _place(raw: dict[str, Any], name: str, words: str, about: Key) -> Iterator[Step]:
    """Where something is: the tape from both ends of the way, the side, and the height. `about`: where it
    stands in the site file."""
    readings = raw.setdefault("reading", [])
    first = len(readings)
    readings += [
        {"from": "start", "to": name},
        {"from": "end", "to": name},
        {"from": "end", "to": name},
    ]

    def reading(offset: int, key: str, text: str, example: str = "", **more: Any) -> Question:
        at: Key = ("reading", first + offset, key)
        return question(ReadingPart, at, text, example, about=(about, at[:-1]), **more)

    yield reading(
        0, "tape", f"{words}: the tape from where the load lies now", '"15.6 m" or "51 ft"'
    )
    yield reading(1, "tape", f"{words}: the tape from the end of the way", '"5.2 m" or "17 ft"')
    yield reading(
        1, "side", f"{words}: left or right of the line from the one to the other, as the load goes"
    )
    yield reading(
        2,
        "rise",
        f"{words}: how much higher than the end of the way",
        '"0.4 m" or "0.4 m down"',
        skip=f"level with it, within {LEVEL_GUESS}",
        default={"rise": "0 m", "accuracy": LEVEL_GUESS},
    )


def _pullers(raw: dict[str, Any]) -> Iterator[Step]:
    at: Key = ("puller", 0)
    trees = [tree["name"] for tree in raw["tree"]]
    yield question(
        None,
        (*at, "kind"),
        f"What pulls: people, vehicle{' or hand winch' if trees else ''}",
        reads=_kind_of_puller(["people", "vehicle", *(["hand winch"] if trees else [])]),
        heading="What pulls",
    )
    kind = raw["puller"][0]["kind"]
    if kind == "hand winch":
        yield from _winch(at, raw)
        return
    yield from (_people(at) if kind == "people" else _vehicle(at))
    name = raw["puller"][0]["name"]
    spot = "where they take hold" if kind == "people" else "its hitch before it pulls"
    yield from _place(raw, name, f"{name}: {spot}", at)
    goal = f"goal of {name}"[:40]
    raw["puller"][0]["towards"] = goal
    raw["mark"] = [{"name": goal}]
    yield from _place(raw, goal, f"{name}: where a stroke ends", ("mark", 0))


def _kind_of_puller(kinds: list[str]) -> Callable[[str], Values]:
    def reads(line: str) -> Values:
        if line.casefold() not in kinds:
            raise ValueError(
                f"expected {listed(kinds)}, got '{line[:40]}'{did_you_mean(line[:40], kinds)}"
            )
        return {"kind": line.casefold()}

    return reads


def _people(at: Key) -> Iterator[Step]:
    yield question(
        People,
        (*at, "name"),
        "What you call them",
        "two of us",
        "people",
        default={"name": "people"},
    )
    yield question(
        People,
        (*at, "count"),
        "How many haul, without whoever tends the load",
        "2",
        reads=as_count(People, "count"),
    )
    yield _footing(People, at, "What they stand on")


def _footing(part: Any, at: Key, text: str) -> Question:
    return question(
        part,
        (*at, "footing"),
        text,
        "grass, wet grass, earth",
        reads=as_kind("footing", ["footing"]),
    )


def _vehicle(at: Key) -> Iterator[Step]:
    vehicle = of(Vehicle, at)
    yield vehicle("name", "What you call it", "tractor", "vehicle", default={"name": "vehicle"})
    yield vehicle("weight", "Its weight with driver", '"1500 kg"')
    yield vehicle(
        "driven_share", "Share of that on its driven wheels", "60 %; all wheels driven: 1"
    )
    yield _footing(Vehicle, at, "What its wheels stand on")
    yield vehicle("hitch_height", "Height of its hitch above the ground", '"0.5 m"')
    yield vehicle(
        "hitch_rating",
        "The pull its hitch stands",
        '"15 kN"',
        skip="unknown",
        default={"hitch_rating": "unknown"},
    )


def _winch(at: Key, raw: dict[str, Any]) -> Iterator[Step]:
    winches = load_catalogue().pullers

    winch = of(HandWinch, at)
    yield winch("name", "What you call it", "hoist", "hand winch", default={"name": "hand winch"})
    yield winch(
        "id",
        "Which of the catalogue it is like",
        "lever chain hoist",
        reads=as_kind("id", ["puller"], hidden=lambda id: winches[id].kind != "hand winch"),
    )
    first = raw["tree"][0]
    yield winch("anchor", "The tree that it hangs on", first["name"])
    lowest = str(first["strap_lowest"])
    yield winch("height", "How high on it", f'"{lowest}"', lowest, default={"height": lowest})
