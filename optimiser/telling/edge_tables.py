"""Prints what is made and laid before a rope is run: anchors, and where ropes run over edges. As listings,
texts and JSON."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from optimiser.rig import edge_words, made_anchors
from optimiser.rig.laid_edges import Edge, Over, edges
from optimiser.rig.setup import Contact, Setup, ToMake
from optimiser.site.model import Site
from optimiser.telling.fields.common import ANGLE, COUNT, FORCE, LENGTH, RATIO, TEXT, UP
from shared.columns import Column, Record, Where
from shared.listing import Listing
from shared.report import Block
from shared.units import show

TITLE, STEPS = "Over the edge", "step by step"
MADE = "Anchors to make first"


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """A part of a rope on an edge. `runs`: the rope runs there."""

    edge: Edge
    part: int
    found: tuple[Contact, ...]
    runs: bool

    @property
    def left(self) -> tuple[float, float]:
        """From where to where across the path, m to its left."""
        return min(c.left_from for c in self.found), max(c.left_to for c in self.found)


TOUCH: Record[Touch] = Record("edges", "a part of a rope that runs over an edge", (
    Column("part", lambda t: t.part, COUNT, "the part of the rope, from the standing end", "part"),
    Column("from", lambda t: min(c.from_m for c in t.found), LENGTH, "where it touches first", "from"),
    Column("to", lambda t: max(c.to_m for c in t.found), LENGTH, "where it touches last", "to"),
    Column("across", say=lambda t, system: edge_words.across(*t.left, system), heading="across the path",
           where=Where.PEOPLE, yields=9),
    Column("left_from", lambda t: t.left[0], LENGTH, "to the left of the path, least", where=Where.DATA),
    Column("left_to", lambda t: t.left[1], LENGTH, "to the left of the path, most", where=Where.DATA),
    Column("turns", lambda t: max(c.angle for c in t.found), ANGLE, "by which it turns", "turns by",
           rounding=UP, yields=6),
    Column("force", lambda t: max(c.force for c in t.found), FORCE, "what it presses with", "presses with",
           rounding=UP),
    Column("shift", lambda t: max(c.shift for c in t.found), FORCE, "what pulls level on what lies there",
           "pulls level with", rounding=UP, yields=7),
    Column("friction", lambda t: t.edge.planned if t.runs else None, RATIO, "friction that is planned with",
           "friction", yields=8, say=lambda t, _: _friction(t)),
    Column("low", lambda t: t.edge.friction.low, RATIO, "friction at least", where=Where.DATA),
    Column("high", lambda t: t.edge.friction.high, RATIO, "friction at most", where=Where.DATA),
    Column("lies", lambda t: edge_words.what(t.edge), TEXT, "what lies there", "on"),
))  # fmt: skip


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
    return Listing.of(
        TOUCH, _touches(site, line), site.preferences.units, empty="no line touches an edge"
    )


def _touches(site: Site, line: Over) -> Iterator[Touch]:
    for edge in edges(site, line):
        ordered = sorted(edge.contacts, key=lambda c: c.part)
        for part, found in groupby(ordered, key=lambda c: c.part):
            runs = not (line.still and part == 1)
            yield Touch(edge=edge, part=part, found=tuple(found), runs=runs)


def _friction(touch: Touch) -> str:
    """What is planned with, and how sure it is."""
    if not touch.runs:
        return "does not run"
    known = touch.edge.friction
    low, high, used = (show(v, RATIO) for v in (known.low, known.high, touch.edge.planned))
    return f"{used} ({low} to {high})"


def blocks_made(made: Sequence[ToMake], system: str) -> list[Block]:
    """How each anchor is made, step by step."""
    out: list[Block] = []
    for one in made:
        numbered = enumerate(made_anchors.steps(one, system), start=1)
        wording = "\n".join(f"{number}. {step}" for number, step in numbered)
        out.append((f"{MADE}: {one.anchor}" if len(made) > 1 else MADE, wording))
    return out
