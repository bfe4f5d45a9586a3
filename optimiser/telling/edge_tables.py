"""Prints what is made and laid before a rope is run: anchors, and where ropes run over edges. As listings,
texts and JSON."""

from collections.abc import Sequence
from itertools import groupby
from math import degrees
from typing import Any

from optimiser.rig import edge_words, made_anchors
from optimiser.rig.laid_edges import Edge, Over, edges
from optimiser.rig.setup import Contact, Setup, ToMake
from optimiser.site.model import Site
from shared.listing import Column, Kind, Listing, Where
from shared.report import Block
from shared.units import Dimension, Rounding, show

_LENGTH, _FORCE, _RATIO = Dimension.LENGTH, Dimension.FORCE, Dimension.RATIO

TITLE, STEPS = "Over the edge", "step by step"

NEEDS = Column(key="edge", heading="over the edge", where=Where.UNDER)
"""What has to be laid, in a list of setups."""

MAKE = Column(key="make", heading="to make", where=Where.UNDER)
"""What has to be made, in a list of setups."""
MADE = "Anchors to make first"

_TOUCHES = (
    Column(key="part", heading="part", kind=Kind.COUNT),
    Column(key="from", heading="from", unit="m", kind=_LENGTH),
    Column(key="to", heading="to", unit="m", kind=_LENGTH),
    Column(key="across", heading="across the path", where=Where.PEOPLE, yields=9),
    Column(key="left_from", heading="left from", unit="m", kind=_LENGTH, where=Where.DATA),
    Column(key="left_to", heading="left to", unit="m", kind=_LENGTH, where=Where.DATA),
    Column(
        key="turns",
        heading="turns by",
        unit="rad",
        kind=Dimension.ANGLE,
        rounding=Rounding.UP,
        yields=6,
    ),
    Column(key="force", heading="presses with", unit="N", kind=_FORCE, rounding=Rounding.UP),
    Column(
        key="shift",
        heading="pulls level with",
        unit="N",
        kind=_FORCE,
        rounding=Rounding.UP,
        yields=7,
    ),
    Column(key="range", heading="friction", where=Where.PEOPLE, yields=8),
    Column(key="friction", heading="friction", kind=_RATIO, where=Where.DATA),
    Column(key="low", heading="friction at least", kind=_RATIO, where=Where.DATA),
    Column(key="high", heading="friction at most", kind=_RATIO, where=Where.DATA),
    Column(key="lies", heading="on"),
)


def needed(setup: Setup, system: str) -> str | None:
    """What has to be laid for the ropes of a haul; None where they touch nothing."""
    gear = (*setup.gear, *(h for line in setup.holding for h in line.gear))
    contacts = (*setup.contacts, *(c for line in setup.holding for c in line.contacts))
    return edge_words.needs(gear, contacts, system)


def blocks(site: Site, lines: Sequence[Over]) -> list[Block]:
    """For every rope that runs over an edge: where it does, then what is laid and done there."""
    out: list[Block] = []
    for line in lines:
        title = f"{TITLE}: {line.called}" if line.called else TITLE
        numbered = enumerate(edge_words.steps(site, line), start=1)
        wording = [f"{number}. {step}" for number, step in numbered]
        wording += [edge_words.rubbing(line, edge) for edge in edges(site, line)]
        out.append((title, listing(site, line)))
        out.append((f"{title}, {STEPS}", "\n".join(wording)))
    return out


def listing(site: Site, line: Over) -> Listing:
    """One row for each part of a rope and each edge it runs over."""
    system = site.preferences.units
    rows = []
    for edge in edges(site, line):
        ordered = sorted(edge.contacts, key=lambda c: c.part)
        for part, found in groupby(ordered, key=lambda c: c.part):
            runs = not (line.still and part == 1)
            rows.append(_row(edge, part, list(found), system, runs=runs))
    return Listing(columns=_TOUCHES, rows=tuple(rows), empty="no line touches an edge")


def _row(
    edge: Edge, part: int, found: Sequence[Contact], system: str, *, runs: bool
) -> dict[str, Any]:
    left = min(c.left_from for c in found), max(c.left_to for c in found)
    friction = edge.friction
    low, high, used = (show(v, _RATIO) for v in (friction.low, friction.high, edge.planned))
    return {
        "part": part,
        "from": min(c.from_m for c in found),
        "to": max(c.to_m for c in found),
        "across": edge_words.across(*left, system),
        "left_from": left[0],
        "left_to": left[1],
        "turns": max(c.angle for c in found),
        "force": max(c.force for c in found),
        "shift": max(c.shift for c in found),
        "range": f"{used} ({low} to {high})" if runs else "does not run",
        "friction": edge.planned if runs else None,
        "low": friction.low,
        "high": friction.high,
        "lies": edge_words.what(edge),
    }


def contacts_json(contacts: Sequence[Contact]) -> list[dict[str, Any]]:
    """Where a rope touches, ready for JSON: [] where it touches nothing."""
    return [_contact_json(contact) for contact in contacts]


def _contact_json(contact: Contact) -> dict[str, Any]:
    return {
        "part": contact.part,
        "from_m": contact.from_m,
        "to_m": contact.to_m,
        "left_from_m": contact.left_from,
        "left_to_m": contact.left_to,
        "angle_deg": degrees(contact.angle),
        "friction": contact.friction,
        "force_N": contact.force,
        "protector": contact.protector,
        "shift_N": contact.shift,
        "load_from_m": contact.load_from,
        "load_to_m": contact.load_to,
    }


def blocks_made(made: Sequence[ToMake], system: str) -> list[Block]:
    """How each anchor is made, step by step."""
    out: list[Block] = []
    for one in made:
        numbered = enumerate(made_anchors.steps(one, system), start=1)
        wording = "\n".join(f"{number}. {step}" for number, step in numbered)
        out.append((f"{MADE}: {one.anchor}" if len(made) > 1 else MADE, wording))
    return out


def made_json(made: Sequence[ToMake]) -> list[dict[str, Any]]:
    """What has to be made, ready for JSON: [] where nothing has."""
    return [
        {
            "anchor": one.anchor,
            "minutes": one.making.minutes,
            "pieces": [{"count": many, "what": what} for many, what in one.making.pieces],
            "steps": list(one.making.steps),
            "spread_rad": one.spread,
            "rise_rad": one.rise,
        }
        for one in made
    ]
