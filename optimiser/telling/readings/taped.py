"""Prints what a tape and a slope meter can check on a site: legs and their slopes, lengths between what
stands there, how exact each kind of reading is."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, dist

from catalogue.instruments import Exactness, instruments
from optimiser.mechanics.ground.lie import slope
from optimiser.mechanics.values import Vec
from optimiser.site.measured.left_open import END, START
from optimiser.site.measured.sighted import exactness_of, kind_of
from optimiser.site.model import Leg, Site
from optimiser.telling.fields.common import ANGLE, COUNT, LENGTH, TEXT
from shared.columns import Column, Many, Record
from shared.listing import Listing
from shared.report import Block

LEGS, TAPE, EXACT = (
    "The path, leg by leg",
    "What a tape can check",
    "How exact each kind of reading is",
)
MOST_PRINTED = 40
"""Rows of lengths that people are shown; JSON has all."""
BETWEEN_MIDDLES = (
    "Straight lengths at the ground, from middle to middle of trunks: from bark to bark they are the radii "
    "less. Start and end: of the path, where the load's reference point comes to stand."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """A straight line between two places by their names."""

    start: str
    end: str
    length: float  # m
    rise: float  # m
    slope: float  # rad


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A place as the site file has it; `uncertainty`, m: None where nobody states it."""

    name: str
    at: Vec
    uncertainty: float | None = None


Numbered = tuple[int, Leg]
Kind = tuple[str, Exactness]

LEG: Record[Numbered] = Record("legs", "a leg of the path", (
    Column("leg", lambda n: n[0], COUNT, "its number", "leg", say=lambda n, _: str(n[0])),
    Column("surface", lambda n: n[1].surface, TEXT, "the ground", "ground"),
    Column("length", lambda n: dist(n[1].start, n[1].end), LENGTH, "its length", "length"),
    Column("rise", lambda n: n[1].end[2] - n[1].start[2], LENGTH, "how much higher it ends", "rise"),
    Column("slope", lambda n: degrees(steepness(n[1])), ANGLE, "its slope, below 0 where it falls", "slope",
           unit="deg", say=lambda n, _: in_degrees(steepness(n[1]))),
))  # fmt: skip

STRAIGHT: Record[Straight] = Record("tape", "a length that a tape can check", (
    Column("from", lambda s: s.start, TEXT, "from which place", "from"),
    Column("to", lambda s: s.end, TEXT, "to which", "to"),
    Column("tape", lambda s: s.length, LENGTH, "straight, at the ground, from middle to middle", "tape"),
    Column("rise", lambda s: s.rise, LENGTH, "how much higher the second is", "rise"),
    Column("slope", lambda s: degrees(s.slope), ANGLE, "slope from the first to the second", "slope",
           unit="deg", say=lambda s, _: in_degrees(s.slope)),
))  # fmt: skip

EXACT_TO: Record[Kind] = Record("accuracy", "how exact a kind of reading is", (
    Column("kind", lambda k: k[0], TEXT, "kind of reading", "reading"),
    Column("exact_to", lambda k: k[1].text, TEXT, "two readings of three like it are within that",
           "exact to"),
    Column("read_with", lambda k: _instrument(*k), TEXT, "the instrument", "read with"),
))  # fmt: skip

PLACED: Record[Placed] = Record("place", "a place of the site", (
    Column("name", lambda p: p.name, TEXT, "its name"),
    Column("at", lambda p: p.at, Many(LENGTH), "x, y, z as in the site file", name="at"),
    Column("uncertainty", lambda p: p.uncertainty, LENGTH,
           "the true place is no further away in 95 of 100 surveys; nothing: nobody states it", none=True),
))  # fmt: skip


def tape_blocks(site: Site) -> list[Block]:
    """Lengths that a tape can check, with what they are."""
    lengths = straights(site)
    blocks: list[Block] = [(TAPE, _tape(lengths[:MOST_PRINTED]))]
    more = len(lengths) - MOST_PRINTED
    note = f" {more} more: --format json." if more > 0 else ""
    return [*blocks, ("", BETWEEN_MIDDLES + note)] if lengths else blocks


def exact_blocks(site: Site) -> list[Block]:
    """How exact each kind of reading is; nothing where every place is given by coordinates."""
    kinds = list(exact_kinds(site))
    return [(EXACT, Listing.of(EXACT_TO, kinds))] if kinds else []


def legs(site: Site) -> Listing:
    """One row for each leg of the path."""
    return Listing.of(LEG, enumerate(site.legs, start=1))


def steepness(leg: Leg) -> float:
    """The slope of a leg, rad, below 0 where it falls."""
    return slope(start=leg.start, end=leg.end)


def in_degrees(angle: float) -> str:
    """ "14.0°" of an angle in rad."""
    return f"{round(degrees(angle), 1) + 0.0:.1f}°"


def given_places(site: Site) -> list[Placed]:
    """The places of a site whose file has coordinates for all of them: of these nobody states how sure they
    are."""
    frame = site.frame
    places: list[tuple[str, Vec]] = [(START, site.legs[0].start)]
    places += [(f"end of leg {i}", leg.end) for i, leg in enumerate(site.legs[:-1], start=1)]
    places += [(END, site.legs[-1].end)]
    places += [(anchor.name, anchor.position) for anchor in site.standing]
    spots = {anchor.uses[-1][0]: anchor.position for anchor in site.anchors if anchor.uses}
    places += spots.items()
    places += [(post.name, post.position) for post in site.obstacles]
    places += list(_of_pullers(site))
    return [Placed(name=name, at=at if frame is None else frame.in_file(at)) for name, at in places]


def _of_pullers(site: Site) -> Iterator[tuple[str, Vec]]:
    """Where pullers stand that are made fast to nothing; of one that may choose, the points of its ground."""
    for puller in site.pullers:
        if puller.room is not None:
            called = f"{puller.room.word} of {puller.name}, {puller.room.point_word}"
            yield from ((f"{called} {i}", at) for i, at in enumerate(puller.room.points, start=1))
        elif not puller.anchor:
            yield puller.name, puller.position


def straights(site: Site) -> tuple[Straight, ...]:
    """The lengths that nobody has measured yet: from the start of the path to what stands there, from the
    anchors to the pullers, from each anchor to the nearest other, and from the end of the path. A path of one
    leg is that leg's own length."""
    anchors = {anchor.name: anchor.position for anchor in site.standing}
    anchors |= {anchor.uses[-1][0]: anchor.position for anchor in site.anchors if anchor.uses}
    pullers = dict(_of_pullers(site))
    at = {START: site.legs[0].start, END: site.legs[-1].end} | anchors | pullers
    found = [(START, name) for name in (*anchors, *pullers)]
    found += [(anchor, puller) for puller in pullers for anchor in anchors]
    for one in anchors:
        others = [name for name in anchors if name != one]
        if others:
            found.append((one, min(others, key=lambda name: dist(anchors[one], anchors[name]))))
    found += [(START, END)] if len(site.legs) > 1 else []
    found += [(END, name) for name in (*anchors, *pullers)]
    done = set()
    if site.surveyed is not None:
        done = {frozenset(c.observation.points) for c in site.surveyed.survey.first.readings}
    out = {}
    for start, end in found:
        if frozenset((start, end)) not in done and frozenset((start, end)) not in out:
            out[frozenset((start, end))] = Straight(
                start=start,
                end=end,
                length=dist(at[start], at[end]),
                rise=at[end][2] - at[start][2],
                slope=slope(start=at[start], end=at[end]),
            )
    return tuple(out.values())


def _tape(lengths: tuple[Straight, ...]) -> Listing:
    empty = "every length between the ends of the path and what stands there was measured"
    return Listing.of(STRAIGHT, lengths, empty=empty)


def exact_kinds(site: Site) -> Iterator[Kind]:
    """The kinds of readings that the site has."""
    if site.surveyed is None or site.origin is None:
        return
    steps = [str(reading.key[-1]) for reading, _ in site.surveyed.compared() if not reading.implied]
    for kind in dict.fromkeys(kind_of(step) for step in steps):
        yield kind, exactness_of(site.origin.document.accuracy, kind)


def _instrument(kind: str, exact: Exactness) -> str:
    """The instrument of that exactness; what it is where the file has a figure of its own."""
    named = next((name for name, known in instruments(kind).items() if known == exact), None)
    return "as the site file states" if named is None else named
