"""Puts what pulls leave of weight, resistance and break-out into the document in place of what it had."""

from typing import Any

from optimiser.site.document.quantity import Quantity, Worse
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.pulled.contradictions import contradictions
from optimiser.site.pulled.narrowing import Ends, narrowed
from optimiser.site.pulled.outcome import Pulls
from optimiser.site.pulled.readings import box_of, readings
from shared.units import Dimension, Interval, show

Found = tuple[Key, str]


def with_pulls(document: SiteDocument) -> tuple[SiteDocument, list[Found]]:
    """The document with its ranges as the pulls leave them, or what is wrong with the pulls. Its places are
    known already."""
    before = box_of(document)
    found, faults = readings(document, before)
    if faults:
        return document, faults
    after = narrowed(before, [read.pull for read in found])
    if after is None:
        return document, list(contradictions(document, before, found))
    pulls = Pulls(document=document, readings=tuple(found), before=before, after=after)
    load, path = document.load, document.path
    weight = _quantity(load.weight, load.weight.interval.stated, after.weight, Dimension.WEIGHT)
    legs = list(path.leg)
    for number in pulls.legs:
        leg, ground = legs[number], after.grounds[number]
        middle = (ground.resistance.low + ground.resistance.high) / 2.0
        stated = middle if leg.resistance is None else leg.resistance.interval.stated
        changes: dict[str, Any] = {
            "resistance": _quantity(leg.resistance, stated, ground.resistance, Dimension.RATIO)
        }
        if leg.breakout is not None:
            stated = leg.breakout.interval.stated
            changes["breakout"] = _quantity(leg.breakout, stated, ground.breakout, Dimension.RATIO)
        legs[number] = leg.model_copy(update=changes)
    out = document.model_copy(
        update={
            "load": load.model_copy(update={"weight": weight}),
            "path": path.model_copy(update={"leg": legs}),
        }
    )
    out.keep_pulls(pulls)
    return out, []


def _quantity(old: Quantity | None, stated: float, ends: Ends, dimension: Dimension) -> Quantity:
    """A range between other ends; as it was where they are the same."""
    if old is not None and old.ends == (ends.low, ends.high):
        return old
    low, high = (show(end, dimension) for end in (ends.low, ends.high))
    return Quantity(
        text=low if low == high else f"{low} to {high}",
        interval=Interval(
            low=ends.low, high=ends.high, stated=min(max(stated, ends.low), ends.high)
        ),
        dimension=dimension,
        worse=Worse.HIGH,
    )
