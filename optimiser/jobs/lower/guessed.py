"""Works out how good a way down is at the ends of its site's ranges, and how wrong each guess may be."""

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from math import inf

import numpy as np

from catalogue.gear import Rope
from optimiser.jobs.lower.again import ends, on, rising
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.ranges.breakeven import (
    MEASURED,
    BreakEven,
    Margin,
    Worth,
    break_evens_of,
    worth_measuring_of,
)
from optimiser.jobs.ranges.input_kinds import Input, InputKind
from optimiser.jobs.ranges.inputs import inputs_of_way_down
from optimiser.proof.ranges import verify_margins_down
from optimiser.rig.components import weakest
from optimiser.rig.forces.grips import Grip, grip_of
from optimiser.rig.gear.turns import Gripping
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.refit import NEAR, Stopped
from optimiser.rig.setup import LoweringSetup
from optimiser.site.model import Origin, Site
from shared.units import Dimension, show


def with_ends(site: Site, found: Lowering, *, hand: float | None = None) -> Lowering:
    """The answer with the margin of every way down at the worst and at the best ends of the ranges, each
    re-checked; as it is where the site has none. `site`: with the path as its file has it; `hand`: the most
    that the hand may hold, N, where that was requested."""
    if not site.uncertain:
        return found
    assert site.origin is not None
    worst, best = (rising(made, found) for made in _ends_of(site.origin))

    def ended(setup: LoweringSetup) -> LoweringSetup:
        least = setup.margin
        if site.origin is not None and site.origin.corner != "worst":
            least = margin_on(worst, found, setup)[0]
        most = max(margin_on(best, found, setup)[0], least)
        out = replace(setup, margin_worst=least, margin_best=most)
        verify_margins_down(out, worst, best, hand=hand)
        return out

    return replace(
        found,
        setups=tuple(ended(setup) for setup in found.setups),
        stages=tuple(ended(setup) for setup in found.stages),
    )


def _ends_of(origin: Origin) -> tuple[Site, Site]:
    """The site with every range at its worse and at its better end for a load that is let down: rough ground
    helps to hold it."""
    rough = {
        key: quantity.interval.high
        for key, quantity in origin.ranges.items()
        if key[0] == "path" and key[-1] == "resistance"
    }
    return origin.ends[0], origin.site(rough, "best")


def margin_on(
    site: Site, found: Lowering, setup: LoweringSetup, *, gripping: Gripping = grip_of
) -> tuple[float, str]:
    """Margin of a way down, with the pieces it has, on another site that rises along its path, and the
    weakest piece; infinite where the load rests all along its stretch, and 0, with the reason, where it does
    not work or the load may run where nothing holds it."""
    laid = lay_stations(site)
    live = laid.at[laid.held_back > 0.0]
    if found.stuck_at is not None:
        live = live[live >= found.stuck_at - NEAR]
    low, high = ends(site, found, setup)
    if not ((live >= low - NEAR) & (live <= high + NEAR)).any():
        return inf, "it rests by itself"
    bare = np.ones(len(live), dtype=bool)
    for one in (setup,) if found.setups else found.stages:
        begin, end = ends(site, found, one)
        bare &= (live < begin - NEAR) | (live > end + NEAR)
    if bare.any():
        at = show(float(live[bare].max()), Dimension.LENGTH, site.preferences.units)
        return 0.0, f"the load may run at {at} of the path, where no line holds it"
    rigged = on(site, found, setup, gripping=gripping)
    if isinstance(rigged, Stopped):
        return 0.0, rigged.why
    least = weakest(tuple(rigged.pieces))
    return least.margin, least.name


class _Moved:
    """A way down whose inputs are moved one by one."""

    def __init__(self, site: Site, found: Lowering, setup: LoweringSetup) -> None:
        self.found, self.setup = found, setup
        self.inputs: Sequence[Input] = inputs_of_way_down(site, setup)

    def margins(self, moved: Sequence[tuple[Input, float]]) -> list[Margin]:
        """See `optimiser.jobs.ranges.breakeven.Moved`."""
        return [self._margin(one, value) for one, value in moved]

    def _margin(self, one: Input, value: float) -> Margin:
        try:
            site = rising(one.at(value), self.found)
        except ValueError as error:
            return 0.0, str(error)
        gripping = partial(_slipping, value) if one.kind is InputKind.TURNS else grip_of
        return margin_on(site, self.found, self.setup, gripping=gripping)


def _slipping(friction: float, rope: Rope) -> Grip | None:
    """The grip of a rope that has so much friction round a trunk."""
    grip = grip_of(rope)
    return None if grip is None else replace(grip, low=friction)


def break_evens(site: Site, found: Lowering, setup: LoweringSetup) -> tuple[BreakEven, ...]:
    """How wrong each guess may be before the way down comes to a limit, as
    `optimiser.jobs.ranges.breakeven.break_evens` has it of a haul."""
    return break_evens_of(_Moved(site, found, setup), setup.components)


def worth_measuring(
    site: Site, found: Lowering, setup: LoweringSetup, many: int = MEASURED
) -> tuple[Worth, ...]:
    """The guesses that move its margin most between the ends they may well lie at."""
    return worth_measuring_of(_Moved(site, found, setup), site, many)
