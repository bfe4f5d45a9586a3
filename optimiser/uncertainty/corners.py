"""The worst and the best margin of a setup over all ends of the site's ranges.

Where margin is monotone in an input, its worse end is known beforehand:

- weight, apparent weight, break-out: every force is proportional to them.
- resistance: dH/dc has the sign of g.t cos - g.n sin, and so has the ground reaction; so as long as the
  load stays on the ground a rougher one never takes less pull. A smoother one may let it run by itself
  on a downhill leg, which is no haul either: that end is looked at too.
- a lip: the same sign decides, with the lip's moment arms in place of the resistance.
- ratings, breaking strengths, what pulls, traction, the share on driven wheels, a cavity, jerks: each
  moves what one piece stands, or all demands at once.
- lengths of ropes and runs: the longer one need not be used up.

Where it is not, every combination of ends is tried:

- efficiency of sheaves: a better sheave lowers the pull but leaves more tension in the line behind it,
  so the standing end's anchor is worse off. Every setup is made with each sheave at either end
  (`optimiser.gear.row`), so its margin is that at the worst of them already.
- thickness and height of trees: a thicker stem is stronger, but a strap may not reach round it, pulls
  at a wider angle, and a line may not pass it. Each piece depends on it in one direction.
- length of straps and chains: a longer one pulls at a better angle and leaves less room to the load.
- weight of a vehicle: it gives grip, but where it goes uphill it also costs pull.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from catalogue.gear import Rope
from optimiser.components import components, weakest
from optimiser.refit import Stopped, refit
from optimiser.results import Setup
from optimiser.site.document import Quantity
from optimiser.site.lines import Key
from optimiser.site.model import Origin, Site


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
    margin, weakest = _worst(site.origin, setup)
    if abs(margin - setup.margin) <= 1e-9 * setup.margin:
        margin, weakest = setup.margin, setup.weakest  # the same but for the rounding of sums
    best = refit(site.origin.site({}, "best"), setup)
    reached = 0.0 if isinstance(best, Stopped) else best.margin
    return Extremes(worst=margin, best=max(reached, margin), weakest=weakest)


def corner_sites(origin: Origin) -> Iterator[Site]:
    """The site at every combination of ends that may be the worst; efficiencies stay ranges.

    The first is the one at which each range is at its own worse end."""
    groups = []
    for of in _BOTH_ENDS:
        keys = [key for key in origin.ranges if of(origin, key)]
        if keys:
            groups.append(
                (_ends(origin.ranges, keys, high=False), _ends(origin.ranges, keys, high=True))
            )
    for choice in product(*groups):
        values: dict[Key, float] = {}
        for ends in choice:
            values |= ends
        yield origin.site(values, "worst")


def _worst(origin: Origin, setup: Setup) -> tuple[float, str]:
    found: list[tuple[float, str]] = []
    for site in corner_sites(origin):
        filled = refit(site, setup)
        if isinstance(filled, Stopped):
            return 0.0, filled.why
        found.append((filled.margin, weakest(components(filled)).name))
    return min(found, key=lambda e: e[0])


def _ends(ranges: Mapping[Key, Quantity], keys: list[Key], *, high: bool) -> dict[Key, float]:
    return {k: ranges[k].interval.high if high else ranges[k].interval.low for k in keys}


# ---- inputs whose worse end is not known beforehand ------------------------------------------------


def is_efficiency(_: Origin, key: Key) -> bool:
    return key[0] == "gear" and key[-1] == "efficiency"


def _is_tree(_: Origin, key: Key) -> bool:
    return key[0] == "tree" and key[-1] in ("diameter", "girth", "tree_height")


def _is_strap(origin: Origin, key: Key) -> bool:
    if key[0] != "gear" or key[-1] != "length":
        return False
    return not isinstance(origin.at(key[:2]).gear("stated"), Rope)


def _is_vehicle(_: Origin, key: Key) -> bool:
    return key[0] == "puller" and key[-1] == "weight"


def _is_resistance(_: Origin, key: Key) -> bool:
    return key[0] == "path" and key[-1] == "resistance"


_BOTH_ENDS: tuple[Callable[[Origin, Key], bool], ...] = (
    _is_tree,
    _is_strap,
    _is_vehicle,
    _is_resistance,
)
