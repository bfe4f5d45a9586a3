"""Prints what a tape and a slope meter can check on a site: legs and their slopes, lengths between what
stands there, how exact each kind of reading is."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, dist
from typing import Any

from catalogue.instruments import Exactness, instruments
from optimiser.mechanics.ground.lie import slope
from optimiser.mechanics.values import Vec
from optimiser.site.measured.left_open import END, START
from optimiser.site.measured.sighted import exactness_of, kind_of
from optimiser.site.model import Leg, Site
from shared.listing import Column, Listing
from shared.report import Block
from shared.units import Dimension

LEGS, TAPE, EXACT = (
    "The path, leg by leg",
    "What a tape can check",
    "How exact each kind of reading is",
)
_LENGTH = Dimension.LENGTH
MOST_PRINTED = 40
"""Rows of lengths that people are shown; JSON has all."""
BETWEEN_MIDDLES = (
    "Straight lengths at the ground, from middle to middle of trunks: from bark to bark they are the radii "
    "less. Start and end: of the path, where the load's reference point comes to stand."
)

_OF_LEGS = (
    Column(key="leg", heading="leg"),
    Column(key="surface", heading="ground"),
    Column(key="length", heading="length", unit="m", kind=_LENGTH),
    Column(key="rise", heading="rise", unit="m", kind=_LENGTH),
    Column(key="slope", heading="slope"),
)
_OF_TAPE = (
    Column(key="from", heading="from"),
    Column(key="to", heading="to"),
    Column(key="tape", heading="tape", unit="m", kind=_LENGTH),
    Column(key="rise", heading="rise", unit="m", kind=_LENGTH),
    Column(key="slope", heading="slope"),
)
_OF_KINDS = (
    Column(key="kind", heading="reading"),
    Column(key="exact", heading="exact to"),
    Column(key="with", heading="read with"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Straight:
    """A straight line between two places by their names."""

    start: str
    end: str
    length: float  # m
    rise: float  # m
    slope: float  # rad


def tape_blocks(site: Site) -> list[Block]:
    """Lengths that a tape can check, with what they are."""
    lengths = straights(site)
    blocks: list[Block] = [(TAPE, _tape(lengths[:MOST_PRINTED]))]
    more = len(lengths) - MOST_PRINTED
    note = f" {more} more: --format json." if more > 0 else ""
    return [*blocks, ("", BETWEEN_MIDDLES + note)] if lengths else blocks


def exact_blocks(site: Site) -> list[Block]:
    """How exact each kind of reading is; nothing where every place is given by coordinates."""
    kinds = list(_kinds(site))
    if not kinds:
        return []
    rows = tuple(
        {"kind": kind, "exact": exact.text, "with": _instrument(kind, exact)}
        for kind, exact in kinds
    )
    return [(EXACT, Listing(columns=_OF_KINDS, rows=rows))]


def legs(site: Site) -> Listing:
    """One row for each leg of the path."""
    return Listing(
        columns=_OF_LEGS,
        rows=tuple(
            {
                "leg": str(number),
                "surface": leg.surface,
                "length": dist(leg.start, leg.end),
                "rise": leg.end[2] - leg.start[2],
                "slope": in_degrees(steepness(leg)),
            }
            for number, leg in enumerate(site.legs, start=1)
        ),
    )


def steepness(leg: Leg) -> float:
    """The slope of a leg, rad, below 0 where it falls."""
    return slope(start=leg.start, end=leg.end)


def in_degrees(angle: float) -> str:
    """ "14.0°" of an angle in rad."""
    return f"{round(degrees(angle), 1) + 0.0:.1f}°"


def taped_json(site: Site) -> dict[str, Any]:
    """Legs, lengths that a tape can check and the exactness of readings, ready for JSON."""
    return {
        "legs": [
            {
                "leg": number,
                "surface": leg.surface,
                "length_m": dist(leg.start, leg.end),
                "rise_m": leg.end[2] - leg.start[2],
                "slope_deg": degrees(steepness(leg)),
            }
            for number, leg in enumerate(site.legs, start=1)
        ],
        "tape": [
            {
                "from": each.start,
                "to": each.end,
                "tape_m": each.length,
                "rise_m": each.rise,
                "slope_deg": degrees(each.slope),
            }
            for each in straights(site)
        ],
        "accuracy": [
            {"kind": kind, "exact_to": exact.text, "read_with": _instrument(kind, exact)}
            for kind, exact in _kinds(site)
        ],
    }


def given_places(site: Site) -> list[dict[str, Any]]:
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
    places += [(puller.name, puller.position) for puller in site.pullers if not puller.anchor]
    return [
        {
            "name": name,
            "at": list(at if frame is None else frame.in_file(at)),
            "uncertainty_m": None,
        }
        for name, at in places
    ]


def straights(site: Site) -> tuple[Straight, ...]:
    """The lengths that nobody has measured yet: from the start of the path to what stands there, from the
    anchors to the pullers, from each anchor to the nearest other, and from the end of the path. A path of one
    leg is that leg's own length."""
    anchors = {anchor.name: anchor.position for anchor in site.standing}
    anchors |= {anchor.uses[-1][0]: anchor.position for anchor in site.anchors if anchor.uses}
    pullers = {puller.name: puller.position for puller in site.pullers if not puller.anchor}
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
    return Listing(
        columns=_OF_TAPE,
        rows=tuple(
            {
                "from": each.start,
                "to": each.end,
                "tape": each.length,
                "rise": each.rise,
                "slope": in_degrees(each.slope),
            }
            for each in lengths
        ),
        empty="every length between the ends of the path and what stands there was measured",
    )


def _kinds(site: Site) -> Iterator[tuple[str, Exactness]]:
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
