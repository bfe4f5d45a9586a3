"""Says why a haul gets no second line from what it leaves of the gear, and what would cure that."""

from dataclasses import dataclass, replace

from optimiser.jobs.hold.find import best_line, find, hold_over, steered_with
from optimiser.jobs.hold.spare import spare_site
from optimiser.jobs.hold.steer import slews
from optimiser.jobs.lower.nearly import cures
from optimiser.jobs.lower.nothing_holds import what_stops
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.stretches import Stretch
from optimiser.rig.setup import HoldingLine, Setup, Way
from optimiser.search.clock import Clock
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show

PLENTY = 200.0
"""m of a rope that is surely long enough; what a line takes of it is reported."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotHeld:
    """A stretch over which nothing that the haul leaves keeps the load in hand: why, and what would do, each
    by itself, the least first. `stretch` None: it slews, and no line steers it. `late`: not all was looked
    at."""

    stretch: Stretch | None
    reasons: tuple[str, ...]
    cures: tuple[str, ...]
    late: bool = False


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
        out.append(_of(site, spare, stretch, clock))
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


def _of(site: Site, spare: Site, stretch: Stretch, clock: Clock) -> NotHeld:
    """Why nothing holds it over a stretch."""
    if not kit_of(spare).rated_only.ropes:
        return _no_rope(site, spare, stretch, clock)
    over = hold_over(spare, stretch, clock)
    nearest = cures(over.job, over.scenes)
    return NotHeld(
        stretch=stretch,
        reasons=what_stops(over.job, over.scenes),
        cures=nearest.lines,
        late=nearest.late,
    )


def _no_rope(site: Site, spare: Site, stretch: Stretch, clock: Clock) -> NotHeld:
    """That the haul takes the only rope; and how long another one would have to be."""
    texts = []
    for rope in kit_of(site).rated_only.ropes:
        another = replace(rope, name=f"another {rope.name}", count=1, length=PLENTY)
        line = best_line(replace(spare, gear=(*spare.gear, another)), stretch, clock)
        if line is not None:
            units = site.preferences.units
            long = show(line.rope_needed, Dimension.LENGTH, units, Rounding.UP)
            texts.append((line.rope_needed, f"another rope like {rope.name}, {long} of it"))
    return NotHeld(
        stretch=stretch,
        reasons=("the haul leaves no rope to hold it with",),
        cures=tuple(text for _, text in sorted(texts)[:1]),
    )


def way_of(one: NotHeld) -> Way:
    """Which way the load would go there."""
    return Way.ASIDE if one.stretch is None else one.stretch.way
