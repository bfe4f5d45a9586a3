"""Asks what pulls, and where it stands: at one spot, along a track or in an area."""

from collections.abc import Callable, Iterator
from typing import Any

from catalogue.book import load_catalogue
from optimiser.site.document.pullers import HandWinch, People, Vehicle
from optimiser.site.interview.prompt import (
    SETTLE,
    Question,
    Step,
    Values,
    as_count,
    as_kind,
    of,
    question,
)
from optimiser.site.interview.taping import place
from optimiser.site.lines import Key
from optimiser.site.roaming.runs import APART
from shared.words import did_you_mean, listed

LEAST_POINTS = {"track": 2, "area": 3}
NAME_LENGTH = 40


def pullers(raw: dict[str, Any]) -> Iterator[Step]:
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
    yield from _where(at, raw, kind)


def _where(at: Key, raw: dict[str, Any], kind: str) -> Iterator[Step]:
    """Where somebody who walks or drives while pulling stands."""
    name = raw["puller"][0]["name"]
    yield question(
        None,
        (*at, "headings"),
        f"Where {name} may stand: one spot, along a track or in an area",
        skip="one spot",
        reads=_room,
    )
    room = next((word for word in LEAST_POINTS if word in raw["puller"][0]), None)
    if room is not None:
        yield from _corners(at, raw, room)
        yield from _size(at, People if kind == "people" else Vehicle, room, name)
        return
    spot = "where they take hold" if kind == "people" else "its hitch before it pulls"
    yield from place(raw, name, f"{name}: {spot}", (at,))
    goal = f"goal of {name}"[:NAME_LENGTH]
    raw["puller"][0]["towards"] = goal
    raw["mark"] = [{"name": goal}]
    yield from place(raw, goal, f"{name}: where a stroke ends", (("mark", 0),))


def _room(line: str) -> Values:
    words = ["spot", *LEAST_POINTS]
    word = next((word for word in reversed(line.casefold().split()) if word in words), line)
    if word not in words:
        wrong = line[:NAME_LENGTH]
        raise ValueError(f"expected {listed(words)}, got '{wrong}'{did_you_mean(wrong, words)}")
    return {word: []} if word in LEAST_POINTS else {}


def _corners(at: Key, raw: dict[str, Any], room: str) -> Iterator[Step]:
    """The points of a track, or the corners of an area, until there is no further one."""
    name, point = raw["puller"][0]["name"], "point" if room == "track" else "corner"
    order = "from one end on" if room == "track" else "in their order round it"
    raw["mark"] = []
    number = 0
    while True:
        mark = f"{point} {number + 1} of {name}"[:NAME_LENGTH]
        raw["mark"].append({"name": mark})
        raw["puller"][0][room].append(mark)
        yield from place(
            raw,
            mark,
            f"{point.capitalize()} {number + 1} of the {room}",
            (("mark", number), (*at, room)),
            skip=f"no further {point}" if number >= LEAST_POINTS[room] else "",
            heading="" if number else f"The {room} for {name}: its {point}s, {order}",
        )
        if not any(reading["to"] == mark for reading in raw["reading"]):
            del raw["mark"][-1], raw["puller"][0][room][-1]
            return
        number += 1


def _size(at: Key, part: Any, room: str, name: str) -> Iterator[Step]:
    """How much ground what pulls takes, and how far it goes."""
    ask = of(part, at)
    vehicle = part is Vehicle
    if room == "track":
        yield ask(
            "track_width",
            "How wide the track is free for it",
            '"3 m"',
            skip=f"no wider than {name}",
        )
    if vehicle:
        yield ask("body_length", f"{name}: how long ahead of its hitch", '"4 m"', skip="4.5 m")
        yield ask("body_width", f"{name}: how wide", '"1.8 m"', skip="2 m")
    yield ask(
        "run",
        f"{name}: how far in one stroke at most",
        '"8 m"',
        skip="as far as there is room",
    )
    yield ask(
        "spacing",
        "How far apart the spots are that are looked at",
        f'"{APART:g} m"',
        skip=f"{APART:g} m",
        default={"spacing": f"{APART:g} m"},
    )
    yield SETTLE


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
