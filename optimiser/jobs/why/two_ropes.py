"""Checks one tackle on tackle: the rig with its gear, or what stops it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear.assign import CAP, Filled
from optimiser.rig.gear.fill import loose_margin
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene, scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.rig.setup import Setup
from optimiser.rig.two_ropes.evaluate import CompoundEvaluation, evaluate
from optimiser.rig.two_ropes.pairs import grips_on
from optimiser.rig.two_ropes.second_rope import Tackle
from optimiser.rig.two_ropes.slots import CompoundRow
from optimiser.rig.two_ropes.variants import variants
from optimiser.rig.walk import Walk
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show


@dataclass(frozen=True, slots=True, kw_only=True)
class ExplainedPair:
    """The best filling of the two walks, or what stops them (in words, each once)."""

    setup: Setup | None
    stops: tuple[str, ...]


def explain(site: Site, walks: tuple[Walk, Walk]) -> ExplainedPair:
    """Hold a first and a second walk against every check. The second's parts at the grip lead to one
    place at an anchor (`optimiser.rig.notation`). Straps only at heights that the search tries."""
    kit, order = kit_of(site), Order.of(site.preferences)
    best: Filled | None = None
    stops: list[str] = []
    for scene in scenes(site, lay_stations(site)):
        if scene.puller.name != walks[1][-1].name:
            continue
        unknown = [str(p) for walk in walks for p in walk if _number(scene, p) is None]
        if unknown:
            stops.append(f"no strap is tried at {unknown[0]}: see `bankhaul check` for the heights")
            continue
        for ev in _evaluated(scene, kit, walks):
            stops += _stopped(ev, scene)
            if not ev.works.all():
                continue
            found, why = _filled(ev, kit, order, site.preferences.margin_wanted)
            stops += why
            if found is not None and (best is None or found.margin > best.margin):
                best = found
    if best is None:
        told = dict.fromkeys(stops) or {"there are not enough sheaves for it": None}
        return ExplainedPair(setup=None, stops=tuple(told))
    setup = build_setup(best, rank=1)
    verify(site, setup)
    return ExplainedPair(setup=setup, stops=())


def _number(scene: Scene, place: object) -> int | None:
    if getattr(place, "kind", "") == "grip":
        return GRIP_NUMBER
    return scene.number.get(place)  # type: ignore[call-overload]


def _evaluated(scene: Scene, kit: Kit, walks: tuple[Walk, Walk]) -> Iterator[CompoundEvaluation]:
    first = np.array([[_number(scene, place) for place in walks[0][:-1]]], dtype=np.int64)
    tackle = Tackle(tuple(_number(scene, place) or 0 for place in walks[1][:-1]))
    for etas in eta_patterns(kit, first.shape[1] - 1 + tackle.sheaves):
        yield evaluate(scene, first, tackle, np.array([etas]))


def _stopped(ev: CompoundEvaluation, scene: Scene) -> Iterator[str]:
    """What stops the forces or the lines, with its worst number, at its first place along the path."""
    pull, units = ev.pull[0], scene.site.preferences.units
    with np.errstate(invalid="ignore"):
        lifted = ~(ev.reaction[0] >= 0.0)
        askew = ev.side_pull[0] > ev.side_limit + 1e-12
    checks = (
        (~np.isfinite(pull), "the rig cannot move the load"),
        (
            (pull <= 0.0) | ev.may_run_on,
            "the load runs downhill by itself: it needs a holding line",
        ),
        (lifted, f"the load lifts off the ground{_lift(ev.reaction[0], lifted, units)}"),
        (askew, f"the load slews: pulled too far sideways{_slew(ev, askew)}"),
        (~ev.clear[0], "a line meets the ground, a trunk, a post or the load's nose"),
        (ev.puller_limit[0] <= 0.0, "the hauling line leaves the puller's run by too much"),
    )
    at = scene.stations.at[ev.states.station]
    for bad, text in checks:
        if bad.any():
            where = show(float(at[bad][0]), Dimension.LENGTH, units)
            yield f"{text}, first with the load at {where}"


def _lift(reaction: Array, lifted: Mask, units: str) -> str:
    """By how much it is lifted where that is known."""
    known = reaction[lifted & np.isfinite(reaction)]
    if not len(known):
        return ""
    return f" by up to {show(-float(known.min()), Dimension.FORCE, units, Rounding.UP)}"


def _slew(ev: CompoundEvaluation, askew: Mask) -> str:
    """The worst side pull and its limit."""
    if not askew.any():
        return ""
    worst = int(np.flatnonzero(askew)[np.argmax((ev.side_pull[0] / ev.side_limit)[askew])])
    side, limit = float(ev.side_pull[0][worst]), float(ev.side_limit[worst])
    if not np.isfinite(side):
        return " (it is not pulled forward at all)"
    return f" ({side:.2f} sideways for 1 forward, {limit:.2f} is the limit)"


def _filled(
    ev: CompoundEvaluation, kit: Kit, order: Order, floor: float
) -> tuple[Filled | None, list[str]]:
    """The filling of the greatest margin, or why there is none."""
    if not any(grips_on(kit, rope) for rope in kit.ropes):
        return None, [
            "nothing at hand grips a rope: no friction hitch, rope grip or knot in the bight"
        ]
    row = CompoundRow(ev, 0)
    if not row.works_throughout:
        return None, ["it fails where its sheaves run more freely, within their range"]
    able = list(variants(row, kit))
    if not able:
        return None, ["no two ropes are long enough, or the grip has no half metre to go"]
    best = Filler(replace(order, names=("margin",), enough=CAP), floor).best(able)
    if best is not None:
        return best, []
    reach = max(loose_margin(variant) for variant in able)
    if reach >= floor:
        return None, ["there are not enough pieces that fit and are strong enough together"]
    return None, [f"the margin is {reach:.2f} at most, and {floor:g} is wanted"]
