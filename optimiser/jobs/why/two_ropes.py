"""Checks one tackle on tackle: the rig with its gear, or what stops it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

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
from optimiser.site.counts import Count
from optimiser.site.model import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class ExplainedPair:
    """The best filling of the two walks, or what stops them (in words, each once)."""

    setup: Setup | None
    stops: tuple[str, ...]

    @property
    def works(self) -> bool:
        return self.setup is not None


def explain(site: Site, walks: tuple[Walk, Walk]) -> ExplainedPair:
    """Put a first and a second walk to every check. The second's parts at the grip lead to one
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
            stops += [failure.text for failure in ev.verdict.failures(0)]
            if not ev.works.all():
                continue
            found, why = _filled(ev, kit, order, site.preferences.margin_wanted)
            stops += why
            if found is not None and (best is None or found.margin > best.margin):
                best = found
    if best is None:
        distinct = dict.fromkeys(stops) or {"there are not enough sheaves for it": None}
        return ExplainedPair(setup=None, stops=tuple(distinct))
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
    best = Filler(replace(order, names=(Count.MARGIN,), enough=CAP), floor).best(able)
    if best is not None:
        return best, []
    reach = max(loose_margin(variant) for variant in able)
    if reach >= floor:
        return None, ["there are not enough pieces that fit and are strong enough together"]
    return None, [f"the margin is {reach:.2f} at most, and {floor:g} is wanted"]
