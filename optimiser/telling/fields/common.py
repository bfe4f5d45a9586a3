"""Describes the figures that every answer has of a rig: what it stands, what it takes, how much work."""

from math import degrees

from optimiser.rig import made_anchors
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.rig.where_it_stands import Standing, Taped
from optimiser.rig.where_it_stands import sentence as in_full
from shared.columns import Column, Kind, Many, Record, Where
from shared.units import Dimension, Rounding

TEXT, FLAG, COUNT, SHARE = Kind.TEXT, Kind.FLAG, Kind.COUNT, Kind.SHARE
MEASURE, MONEY = Kind.MEASURE, Kind.MONEY
LENGTH, FORCE, WEIGHT = Dimension.LENGTH, Dimension.FORCE, Dimension.WEIGHT
RATIO, ANGLE = Dimension.RATIO, Dimension.ANGLE
UP, DOWN = Rounding.UP, Rounding.DOWN
TEXTS = Many(TEXT)

Rig = Setup | LoweringSetup
"""What hauls the load or lets it down."""

RANK: Column[Rig] = Column("rank", lambda s: s.rank, COUNT, "its number in the answer", "rank")
FROM: Column[Rig] = Column(
    "from", lambda s: s.from_m, LENGTH, "where its stretch of the path begins", "from"
)
TO: Column[Rig] = Column("to", lambda s: s.to_m, LENGTH, "where its stretch of the path ends", "to")
ATTACHMENT: Column[Rig] = Column(
    "attachment", lambda s: s.attachment, TEXT, "where the line takes hold of the load"
)
ROPE: Column[Rig] = Column("rope", lambda s: s.rope.name, TEXT, "name of the rope")
PARTS: Column[Rig] = Column(
    "parts", lambda s: s.parts, COUNT, "parts of line that pull on the load", "parts"
)
ETAS: Column[Rig] = Column(
    "sheave_efficiencies", lambda s: [round(eta, 12) for eta in s.etas], Many(RATIO),
    "share of the tension that each sheave passes on while it hauls, in the order of the reeving",
)  # fmt: skip
MARGIN: Column[Rig] = Column(
    "margin", lambda s: s.margin, RATIO,
    "what the weakest piece stands, divided by what comes on it at worst", "margin", rounding=DOWN,
)  # fmt: skip
WEAKEST: Column[Rig] = Column(
    "weakest", lambda s: s.weakest, TEXT, "the piece that has the least margin", "weakest piece"
)
UNRATED: Column[Rig] = Column(
    "unrated", lambda s: s.unrated, TEXTS, "pieces without a rating; none: all is rated"
)
PULL: Column[Setup] = Column(
    "pull",
    lambda s: s.pull,
    FORCE,
    "what the puller has to pull at worst",
    "worst pull",
    rounding=UP,
)
ROPE_NEEDED: Column[Rig] = Column(
    "rope_needed", lambda s: s.rope_needed, LENGTH, "rope that it takes", "rope needed", rounding=UP
)
ROPE_OWNED: Column[Rig] = Column(
    "rope_owned", lambda s: s.rope_owned, LENGTH, "rope that there is", "rope owned", rounding=DOWN
)
RESETS: Column[Rig] = Column(
    "resets", lambda s: s.resets, COUNT,
    "how often the puller is run out again, or whoever pays out takes a new grip", "resets",
)  # fmt: skip
REEVING: Column[Rig] = Column(
    "reeving", lambda s: [str(place) for place in s.walk], TEXTS,
    "the places of the rope, from the standing end on",
)  # fmt: skip
NOTATION: Column[Rig] = Column(
    "reeving", lambda s: s.reeving, TEXT, "the reeving as one text", "reeving", where=Where.CSV
)

MAKE: Column[Rig] = Column(
    "make", say=lambda s, system: made_anchors.needs(s.made, system), heading="to make",
    where=Where.NOTE,
)  # fmt: skip

TAPED: Record[Taped] = Record("taped", "a tape from something that can be seen to where a puller stands", (
    Column("name", lambda t: t.name, TEXT, "what it is held to, at its foot"),
    Column("distance", lambda t: t.distance, LENGTH, "from its middle to the ground below the hitch"),
    Column("at_end", lambda t: t.at_end, LENGTH, "the same where the run ends: which way it goes"),
))  # fmt: skip

STANDS: Record[Standing] = Record("standing", "where a puller stands that may choose, which way it goes", (
    Column("room", lambda s: s.room, TEXT, "what it stands on: track or area"),
    Column("along", lambda s: s.along, LENGTH,
           "along the track from its start; in an area from its first corner towards the second"),
    Column("aside", lambda s: s.aside, LENGTH, "to the left of that"),
    Column("spot", lambda s: s.spot, Many(LENGTH), "where its run begins, as the site file counts"),
    Column("heading", lambda s: degrees(s.heading), ANGLE,
           "which way it goes, from the x axis of the site file towards its y axis", unit="deg"),
    Column("faces", lambda s: s.faces, TEXT, "the same in words"),
    Column("run", lambda s: s.run, LENGTH, "how far it can go from there in one stroke"),
    Column("taped", lambda s: s.taped, Many(TAPED), "how far that is from two things that can be seen"),
    Column("left", lambda s: s.left, FLAG, "whether it lies left of the line from the first to the second"),
    Column("spots_searched", lambda s: s.spots, COUNT, "candidates over which the answer is proven"),
    Column("refined", lambda s: s.refined, FLAG, "whether it was moved off the candidate, to 0.1 m"),
))  # fmt: skip
STANDING: Column[Rig] = Column(
    "standing", lambda s: s.standing, STANDS, "where its puller stands, where that was left to the search",
    when=lambda s: s.standing is not None,
)  # fmt: skip
STANDS_AT: Column[Rig] = Column(
    "stands", say=lambda s, system: stands_at(s, system), heading="where it stands", where=Where.NOTE
)  # fmt: skip


def stands_at(rig: Rig, system: str) -> str | None:
    """Where the puller of a rig stands, as a sentence; None where the site file says so."""
    return None if rig.standing is None else in_full(rig.standing, system)


def sentence(text: str) -> str:
    """The words as a sentence."""
    return f"{text[:1].upper()}{text[1:]}."
