"""Says why a haul gets no second line from what it leaves of the gear, and what would cure that."""

from dataclasses import replace
from math import inf

from catalogue.gear import Rope
from optimiser.jobs.hold.find import best_line, find, hold_over, steered_with
from optimiser.jobs.hold.results import NotHeld
from optimiser.jobs.hold.spare import spare_site
from optimiser.jobs.hold.steer import slews
from optimiser.jobs.lower.nearly import nearest
from optimiser.jobs.lower.nothing_holds import what_stops
from optimiser.jobs.why.stops import NOT_ALL
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.stretches import Stretch
from optimiser.rig.setup import HoldingLine, Setup
from optimiser.search.clock import Clock
from optimiser.site.model import Owned, Site
from shared.units import Dimension, Rounding, show

PLENTY = 200.0
"""m of a rope that is surely long enough."""
NEAR_ENOUGH = 0.005
"""m: to within that the least length of a rope is looked for."""


def not_held(site: Site, setup: Setup, clock: Clock) -> tuple[NotHeld, ...]:
    """Every stretch of a haul for which there is no second line; none where it has all that it needs."""
    out: list[NotHeld] = []
    lines: tuple[HoldingLine, ...] = ()
    if setup.steered is not None or slews(setup):
        line = None if setup.steered is None else steered_with(site, setup)
        if line is None:
            out.append(_not_steered(site, setup))
        else:
            lines = (line,)
    held = replace(setup, holding=lines)
    spare = spare_site(site, held)
    for stretch in find(site, held, clock=clock).missing:
        out.append(_of(site, held, spare, stretch, clock))
    return tuple(out)


def _not_steered(site: Site, setup: Setup) -> NotHeld:
    """That no line steers it."""
    ropes = kit_of(spare_site(site, setup)).ropes
    why = (
        "no trunk to the other side bears a steering line whose way is free, with what the haul leaves"
        if ropes
        else "the haul leaves no rope for a steering line"
    )
    cure = "a trunk nearer to abreast of the load, on the other side" if ropes else "a second rope"
    return NotHeld(stretch=None, reasons=(why,), cures=(cure,))


def _of(site: Site, setup: Setup, spare: Site, stretch: Stretch, clock: Clock) -> NotHeld:
    """Why nothing holds it over a stretch."""
    if not kit_of(spare).rated_only.ropes:
        return _no_rope(site, setup, spare, stretch, clock)
    over = hold_over(spare, stretch, clock)
    # Whatever pulls is at work on the haul.
    job = replace(over.job, site=replace(over.ground, pullers=()))
    found = nearest(job, over.scenes[0].stations)
    return NotHeld(
        stretch=stretch,
        reasons=what_stops(over.job, over.scenes),
        cures=tuple(f"{m.change.text} ({m.limit})" for m in found if m.change.text and m.walk),
        late=any(m.limit == NOT_ALL for m in found),
    )


def _no_rope(site: Site, setup: Setup, spare: Site, stretch: Stretch, clock: Clock) -> NotHeld:
    """That the haul takes the only rope; and how long another one like it would have to be, for either."""
    known = [rope for rope in kit_of(site).rated_only.ropes if rope.name in setup.rope.name]
    long = min((_least(spare, rope, stretch, clock) for rope in known), default=inf)
    if known and best_line(_with(spare, known[0], known[0].length or 0.0), stretch, clock):
        long = min(long, setup.rope_needed)  # that one hauls, and the long one holds
    text = ""
    if long < inf:
        shown = show(long, Dimension.LENGTH, site.preferences.units, Rounding.UP)
        text = f"another rope like {known[0].name}, {shown} of it"
    return NotHeld(
        stretch=stretch,
        reasons=("the haul leaves no rope to hold it with",),
        cures=(text,) if text else (),
    )


def _least(spare: Site, rope: Owned[Rope], stretch: Stretch, clock: Clock) -> float:
    """The least length of another rope like one with which a line holds, m; infinite where none does."""
    line = best_line(_with(spare, rope, PLENTY), stretch, clock)
    if line is None:
        return inf
    low, high = 0.0, line.rope_needed
    while high - low > NEAR_ENOUGH:
        middle = (low + high) / 2.0
        line = best_line(_with(spare, rope, middle), stretch, clock)
        low, high = (middle, high) if line is None else (low, min(middle, line.rope_needed))
    return high


def _with(spare: Site, rope: Owned[Rope], length: float) -> Site:
    """What is left, with another rope of a length."""
    another = replace(rope, name=f"another {rope.name}", count=1, length=length)
    return replace(spare, gear=(*spare.gear, another))
