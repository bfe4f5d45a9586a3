"""Prints how a load is raised, as listings, as blocks of an answer, and as JSON."""

from optimiser.jobs.lever.results import CornerShare, Levering, Step
from optimiser.rig.setup import names
from optimiser.site.model import Site
from optimiser.telling.fields.common import (
    ANGLE,
    COUNT,
    DOWN,
    FLAG,
    FORCE,
    LENGTH,
    RATIO,
    TEXT,
    TEXTS,
    UP,
    WEIGHT,
)  # fmt: skip
from optimiser.telling.fields.several import CAUTION
from shared.columns import Column, Many, Record
from shared.listing import Listing
from shared.report import Block
from shared.units import Dimension, show
from shared.words import counted

Corner = tuple[CornerShare, float]
"""A corner, and the force of the hand that raises it first, N."""

CORNER: Record[Corner] = Record("corners", "what a corner carries as the load stands", (
    Column("name", lambda c: c[0].name, TEXT, "the corner", "corner"),
    Column("weighed", lambda c: c[0].weighed, WEIGHT, "as weighed; nothing: it is not", "weighed", none=True),
    Column("least", lambda c: c[0].least, WEIGHT, "the least it can carry", "at least", rounding=DOWN),
    Column("even", lambda c: c[0].even, WEIGHT, "with equal springs under all; below 0: it would lift off",
           "on even springs"),
    Column("most", lambda c: c[0].most, WEIGHT, "the most it can carry", "at most", rounding=UP),
    Column("lift", lambda c: c[0].raise_force, FORCE, "what the bar's tip has to lift there first",
           "bar tip to raise it first", rounding=UP),
    Column("hand", lambda c: c[1], FORCE, "force of the hand for that", "hand for that",
           say=lambda c, system: _newtons(c[1], system)),
))  # fmt: skip

STEP: Record[Step] = Record("steps", "one layer of blocking under one corner", (
    Column("number", lambda s: s.number, COUNT, "its number", "step"),
    Column("corner", lambda s: s.corner, TEXT, "the corner", "corner"),
    Column("layer", lambda s: s.layer, COUNT, "the layer of blocking there", "layer"),
    Column("bites", lambda s: s.bites, COUNT, "bites of the bar; 0: it hangs free", "how",
           say=lambda s, _: _bites(s.bites) if s.by_bar else "hangs free: block it"),
    Column("force", lambda s: s.force if s.by_bar else None, FORCE, "force on the bar's tip", "bar tip",
           rounding=UP, none=True),
    Column("hand", lambda s: s.hand if s.by_bar else None, FORCE, "force of the hand", "hand", none=True,
           say=lambda s, system: _newtons(s.hand, system) if s.by_bar else "–"),
    Column("fulcrum", lambda s: s.fulcrum if s.by_bar else None, FORCE, "force on the fulcrum", "fulcrum",
           rounding=UP, none=True),
    Column("stack", lambda s: s.stack, LENGTH, "height of the corner's blocking afterwards", "stack then"),
    Column("spare", lambda s: s.spare_tilt, ANGLE, "further tilt that it stands, at worst", "from tipping",
           rounding=DOWN),
    Column("over", lambda s: " to ".join(s.over), TEXT, "the side over which it would tip", "over the side"),
    Column("rests_on", lambda s: s.rests_on, TEXTS, "corners that carry the load meanwhile"),
))  # fmt: skip

LEVERING: Record[Levering] = Record("levering", "how a load is raised, one corner at a time", (
    Column("feasible", lambda a: a.feasible, FLAG, "whether there is an order that works"),
    Column("weight", lambda a: a.weight, WEIGHT, "weight of the load"),
    Column("centre", lambda a: a.centre, Many(LENGTH), "centre of gravity: along and across the load"),
    Column("corners", lambda a: _corners(a), Many(CORNER), "what every corner carries"),
    Column("steps", lambda a: a.steps, Many(STEP), "the layers of blocking in order"),
    Column("order", lambda a: a.order, TEXTS, "the corners in the order in which they are raised"),
    Column("layers", lambda a: a.layers, COUNT, "layers under each corner"),
    Column("block", lambda a: a.block, LENGTH, "height of a layer"),
    Column("raised", lambda a: a.raised, LENGTH, "by how much it is raised"),
    Column("blocks", lambda a: a.blocks, COUNT, "blocks that are needed; the fulcrum's come on top"),
    Column("bites", lambda a: a.bites, COUNT, "bites of the bar"),
    Column("hand", lambda a: a.hand, FORCE, "worst force of the hand"),
    Column("hand_limit", lambda a: a.hand_limit, FORCE, "what the hand is asked for at most"),
    Column("hand_source", lambda a: a.hand_source, TEXT, "who states the limit: a source's key, or the site"),
    Column("bar_tip", lambda a: a.force, FORCE, "worst force on the bar's tip"),
    Column("bar_ratio", lambda a: a.bar_ratio, RATIO, "force on the tip divided by the hand's"),
    Column("bar_rating", lambda a: a.bar_rating, FORCE, "what the bar stands; nothing: UNRATED", none=True),
    Column("spare_tilt", lambda a: a.spare_tilt if a.feasible else None, ANGLE,
           "least further tilt that it stands at any moment", none=True),
    Column("spare_tilt_wanted", lambda a: a.spare_wanted, ANGLE, "further tilt that is wanted"),
    Column("states", lambda a: a.orders, COUNT, "states of the stacks that were gone through"),
    Column("reasons", lambda a: a.reasons, TEXTS, "why no order works"),
    Column("cautions", lambda a: a.cautions, Many(CAUTION), "what to mind"),
))  # fmt: skip

levering_json = LEVERING.json


def report(site: Site, answer: Levering) -> list[Block]:
    """The whole answer: shares, the order step by step, what it proves, cautions."""
    system = site.preferences.units
    blocks: list[Block] = [
        (f"What the corners of {site.load.name} carry", corner_listing(answer, system)),
        ("", shares_note(answer, system)),
    ]
    if answer.feasible:
        title = f"Raised {show(answer.raised, LENGTH, system)}, step by step"
        blocks += [
            (title, Listing.of(STEP, answer.steps, system)),
            ("", order_note(answer, system)),
            ("Cautions", "\n".join(f"- {c.text} [{c.source}]" for c in answer.cautions)),
        ]
    else:
        text = "\n".join(f"- {reason}" for reason in answer.reasons)
        blocks.append(("NO ORDER WORKS", text))
    return blocks


def corner_listing(answer: Levering, system: str = "metric") -> Listing:
    """One row a corner."""
    return Listing.of(CORNER, _corners(answer), system)


def _corners(answer: Levering) -> list[Corner]:
    return [(corner, corner.raise_force / answer.bar_ratio) for corner in answer.corners]


def shares_note(answer: Levering, system: str) -> str:
    """How the shares are meant."""
    three = (
        "Three corners share the weight by moments alone."
        if len(answer.corners) == 3
        else "Four corners under a stiff load are indeterminate: a millimetre decides which of them "
        "carry. Hence the least and the most that each can carry, and between them "
        "what equal springs under all four would give. Raising a corner of a stiff load takes the "
        "most, and lifts a whole side."
    )
    weight = show(answer.weight, Dimension.WEIGHT, system)
    return f"Weight {weight}. {three}"


def order_note(answer: Levering, system: str) -> str:
    """What the order is, and what is proven of it."""
    most = _newtons(answer.hand_limit, system)
    whose = "as you say" if answer.hand_source == "site" else f"one person [{answer.hand_source}]"
    spare = show(answer.spare_tilt, ANGLE, system, DOWN)
    wanted = show(answer.spare_wanted, ANGLE, system)
    bar = (
        "UNRATED bar"
        if answer.bar_rating is None
        else (f"of {show(answer.bar_rating, FORCE, system, DOWN)} it stands")
    )
    tip = show(answer.force, FORCE, system, UP)
    first = list(dict.fromkeys(answer.order))
    return "\n".join(
        [
            f"Corners first come up in this order: {names(first)}. {counted(answer.blocks, 'block')} of "
            f"{show(answer.block, Dimension.SIZE, system)}, {counted(answer.bites, 'bite')} of the bar; the "
            "fulcrum's blocking comes on top.",
            f"Hand at worst {_newtons(answer.hand, system)} of {most} ({whose}); the bar's tip "
            f"lifts {answer.bar_ratio:.1f} times that, {tip} at worst, {bar}.",
            f"It stands at least {spare} from tipping all the time; {wanted} are wanted.",
            "Proven: no order of corners, with stacks at most two layers uneven, keeps further "
            "from tipping (up to twice what is wanted), or as far with fewer bites, or with as few "
            f"and less force: all {answer.orders} states of the stacks were gone through.",
        ]
    )


def _bites(count: int) -> str:
    return f"{count} {'bite' if count == 1 else 'bites'} of the bar"


def _newtons(value: float, system: str) -> str:
    """A force of a hand: whole newtons, or pounds."""
    if system == "imperial":
        return show(value, FORCE, system, UP)
    return f"{-(-value // 1):.0f} N"
