"""Prints how a load is raised, as listings, as blocks of an answer, and as JSON."""

from typing import Any, cast

from optimiser.jobs.lever.results import Levering, Step
from optimiser.rig.setup import names
from optimiser.site.model import Site
from shared.listing import Column, Kind, Listing, Where, plain
from shared.report import Block
from shared.units import Dimension, Rounding, show
from shared.words import counted

_LENGTH, _FORCE, _ANGLE = Dimension.LENGTH, Dimension.FORCE, Dimension.ANGLE
_UP, _DOWN = Rounding.UP, Rounding.DOWN

_CORNERS = (
    Column(key="name", heading="corner"),
    Column(key="weighed", heading="weighed", unit="N", kind=Dimension.WEIGHT),
    Column(key="least", heading="at least", unit="N", kind=Dimension.WEIGHT, rounding=_DOWN),
    Column(key="even", heading="on even springs", unit="N", kind=Dimension.WEIGHT),
    Column(key="most", heading="at most", unit="N", kind=Dimension.WEIGHT, rounding=_UP),
    Column(key="lift", heading="bar tip to raise it first", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="hand_told", heading="hand for that", where=Where.PEOPLE),
    Column(key="hand", heading="hand", unit="N", kind=_FORCE, where=Where.DATA),
)

_STEPS = (
    Column(key="number", heading="step", kind=Kind.COUNT),
    Column(key="corner", heading="corner"),
    Column(key="layer", heading="layer", kind=Kind.COUNT),
    Column(key="how", heading="how", where=Where.PEOPLE),
    Column(key="bites", heading="bites", kind=Kind.COUNT, where=Where.DATA),
    Column(key="force", heading="bar tip", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="hand_told", heading="hand", where=Where.PEOPLE),
    Column(key="hand", heading="hand", unit="N", kind=_FORCE, where=Where.DATA),
    Column(key="fulcrum", heading="fulcrum", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="stack", heading="stack then", unit="m", kind=_LENGTH),
    Column(key="spare", heading="from tipping", unit="rad", kind=_ANGLE, rounding=_DOWN),
    Column(key="over", heading="over the side"),
)


def report(site: Site, answer: Levering) -> list[Block]:
    """The whole answer: shares, the order step by step, what it proves, cautions."""
    system = site.preferences.units
    blocks: list[Block] = [
        (f"What the corners of {site.load.name} carry", corner_listing(answer, system)),
        ("", shares_note(answer, system)),
    ]
    if answer.feasible:
        title = f"Raised {show(answer.raised, _LENGTH, system)}, step by step"
        blocks += [
            (title, step_listing(answer.steps, system)),
            ("", order_note(answer, system)),
            ("Cautions", "\n".join(f"- {c.text} [{c.source}]" for c in answer.cautions)),
        ]
    else:
        text = "\n".join(f"- {reason}" for reason in answer.reasons)
        blocks.append(("NO ORDER WORKS", text))
    return blocks


def corner_listing(answer: Levering, system: str = "metric") -> Listing:
    """One row a corner."""
    return Listing(
        columns=_CORNERS,
        rows=tuple(
            {
                "name": corner.name,
                "weighed": corner.weighed,
                "least": corner.least,
                "even": corner.even,
                "most": corner.most,
                "lift": corner.raise_force,
                "hand_told": _newtons(corner.raise_force / answer.bar_ratio, system),
                "hand": corner.raise_force / answer.bar_ratio,
            }
            for corner in answer.corners
        ),
    )


def step_listing(steps: tuple[Step, ...], system: str = "metric") -> Listing:
    """One row a layer of blocking."""
    return Listing(
        columns=_STEPS,
        rows=tuple(
            {
                "number": step.number,
                "corner": step.corner,
                "layer": step.layer,
                "how": _bites(step.bites) if step.by_bar else "hangs free: block it",
                "bites": step.bites,
                "force": step.force if step.by_bar else None,
                "hand_told": _newtons(step.hand, system) if step.by_bar else "–",
                "hand": step.hand if step.by_bar else None,
                "fulcrum": step.fulcrum if step.by_bar else None,
                "stack": step.stack,
                "spare": step.spare_tilt,
                "over": " to ".join(step.over),
            }
            for step in steps
        ),
    )


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
    spare = show(answer.spare_tilt, _ANGLE, system, _DOWN)
    wanted = show(answer.spare_wanted, _ANGLE, system)
    bar = (
        "UNRATED bar"
        if answer.bar_rating is None
        else (f"of {show(answer.bar_rating, _FORCE, system, _DOWN)} it stands")
    )
    tip = show(answer.force, _FORCE, system, _UP)
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


def levering_json(answer: Levering) -> dict[str, Any]:
    """The whole answer as one object: SI, full precision."""
    out = {
        "feasible": answer.feasible,
        "weight_N": answer.weight,
        "centre_m": answer.centre,
        "corners": corner_listing(answer).records(),
        "steps": [
            {**record, "rests_on": list(step.rests_on)}
            for record, step in zip(step_listing(answer.steps).records(), answer.steps, strict=True)
        ],
        "order": answer.order,
        "layers": answer.layers,
        "block_m": answer.block,
        "raised_m": answer.raised,
        "blocks": answer.blocks,
        "bites": answer.bites,
        "hand_N": answer.hand,
        "hand_limit_N": answer.hand_limit,
        "hand_source": answer.hand_source,
        "bar_tip_N": answer.force,
        "bar_ratio": answer.bar_ratio,
        "bar_rating_N": answer.bar_rating,
        "spare_tilt_rad": answer.spare_tilt if answer.feasible else None,
        "spare_tilt_wanted_rad": answer.spare_wanted,
        "states": answer.orders,
        "reasons": answer.reasons,
        "cautions": [
            {"key": c.key, "text": c.text, "source": c.source, "always": c.always}
            for c in answer.cautions
        ],
    }
    return cast(dict[str, Any], plain(out))


def _bites(count: int) -> str:
    return f"{count} {'bite' if count == 1 else 'bites'} of the bar"


def _newtons(value: float, system: str) -> str:
    """A force of a hand: whole newtons, or pounds."""
    if system == "imperial":
        return show(value, _FORCE, system, _UP)
    return f"{-(-value // 1):.0f} N"
