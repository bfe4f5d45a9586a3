"""Computes the worst and the best margin of a setup over all ends of the site's ranges.

A site read at its worst corner has every input at whichever end is the worse for each use of it, so
the margin of its setups is the worst one. Why that is so, input by input:

- weight, apparent weight, break-out: every force is proportional to them, the ground's too, so a light
  load lifts off no sooner than a heavy one.
- resistance: dH/dc has the sign of g.t cos - g.n sin, and so has the ground reaction; so as long as the
  load stays on the ground a rougher one never takes less pull. A smoother one may let it run on by
  itself downhill, which is no haul either: `Evaluation.may_run_on` looks at that end. Letting down is
  planned at the smooth end.
- a lip: the same sign decides, with the lip's moment arms in place of the resistance.
- ratings, breaking strengths, what pulls, traction, the share on driven wheels, a cavity, jerks: each
  moves what one piece stands, or all demands at once.
- lengths of ropes and runs: the longer one need not be used up.
- thickness and height of trees: the thin, low stem is what holds, the thick, high one what straps go
  round and lines pass. Each use is worse at one end, so each is taken at that (`Tree`); what hangs in a
  strap hangs furthest out on the thin stem (`rig.gear.kit.round_trunk`).
- length of straps and chains: the short one reaches and stands least, the long one leaves least room.
- weight of a vehicle: where it gives the grip, the pull is in proportion to it; where the pull is
  stated, it only costs pull uphill.
- efficiency of sheaves: a better sheave lowers the pull but leaves more tension in the line behind it,
  so either end may be the worse, for each sheave by itself. Every demand is the worst over all
  combinations of ends (`rig.gear.row.RigRow.corners`, which states why no value between is worse).
"""

from dataclasses import dataclass

from optimiser.rig.components import components
from optimiser.rig.refit import Stopped, refit
from optimiser.rig.setup import Setup
from optimiser.site.lines import Key
from optimiser.site.model import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class Extremes:
    """Margin of a setup at the worst and at the best ends; 0 where it does not work at all there.
    `weakest`: the piece, or the reason, at the worst."""

    worst: float
    best: float
    weakest: str


def extremes(site: Site, setup: Setup) -> Extremes:
    """Worst and best margin over the ranges of the site's file. Without any: the margin as it is."""
    if site.origin is None or not site.uncertain:
        return Extremes(worst=setup.margin, best=setup.margin, weakest=setup.weakest)
    worst, best = site.origin.ends
    margin, weakest = setup.margin, setup.weakest
    if site.origin.corner != "worst":
        margin, weakest = _at_worst(worst, setup)
    fitted = refit(best, setup)
    reached = 0.0 if isinstance(fitted, Stopped) else fitted.margin
    return Extremes(worst=margin, best=max(reached, margin), weakest=weakest)


def _at_worst(worst: Site, setup: Setup) -> tuple[float, str]:
    filled = refit(worst, setup)
    if isinstance(filled, Stopped):
        return 0.0, filled.why
    weakest = min(components(filled), key=lambda part: part.margin)
    return filled.margin, weakest.name


def is_efficiency(key: Key) -> bool:
    """Whether a key of the site file is the efficiency of sheaves."""
    return key[0] == "gear" and key[-1] == "efficiency"
