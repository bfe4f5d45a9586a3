"""Whether a haul with the holding lines it needs exists on a stretch, by plain enumeration: every way to part
the gear between the two, every walk of both.

Slow on purpose: no bounds, no order, nothing known from other stretches. It shares the evaluators and the
filling of slots with the program, neither the search nor what that makes of a haul without a line.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise, product

import numpy as np

from catalogue.gear import Block, Rope, Shackle
from optimiser.jobs.hold.spare import spare_site
from optimiser.rig.build import build_setup
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.holders import hand, hand_limit
from optimiser.rig.forces.lowering import LetDown, evaluate_lowering
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.fill import fill
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.turns import let_down_variants
from optimiser.rig.gear.variants import eta_patterns, variants
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.ground.stretches import stretches
from optimiser.rig.setup import Setup, Way
from optimiser.search.stages.track import track
from optimiser.site.model import Owned, Site, is_strap
from tests.stages.exhaustive import walks

Split = tuple[Owned, ...]
MOST_OF_A_LINE = {Block: 1, Shackle: 3}
"""Pieces of a kind beyond which a line of one sheave has no place for more; straps: two."""


def fewest_stages(site: Site, grain: float, most: int) -> int | None:
    """The fewest stages, each of which has its holding lines; None where most do not do."""
    way = track(site, grain=grain)
    reached = {0}
    for stages in range(1, most + 1):
        reached = {
            end
            for begin in reached
            for end in range(begin + 1, way.end + 1)
            if works(site, way.stretch(begin, end))
        }
        if way.end in reached:
            return stages
    return None


def works(site: Site, scenes: tuple[Scene, ...]) -> bool:
    """Whether any haul over the scenes' stretch leaves what holds the load wherever it would run back."""
    needs = stretches(scenes[0].stations)
    assert all(one.way is Way.BACK for one in needs), "not of paths that fall"
    if not needs:
        return any(_hauls(site, site.gear, scenes))
    ends = [(one.from_m, one.to_m) for one in needs]
    for split in _splits(site):
        apart = replace(site, gear=split)
        if not all(_held(apart, *end) for end in ends):
            continue
        for setup in _hauls(site, _rest(site, split), scenes):
            left = replace(spare_site(site, setup), gear=split)
            if all(_held(left, *end) for end in ends):
                return True
    return False


def _splits(site: Site) -> Iterator[Split]:
    """Every set of gear that a line may have, with one rope."""
    ropes = [p for p in site.gear if isinstance(p.gear, Rope)]
    others = [p for p in site.gear if not isinstance(p.gear, Rope)]
    most = [2 if is_strap(p) else MOST_OF_A_LINE.get(type(p.gear), 0) for p in others]
    counts = [range(min(p.count, many) + 1) for p, many in zip(others, most, strict=True)]
    for rope in ropes:
        for many in product(*counts):
            some = (replace(p, count=n) for p, n in zip(others, many, strict=True) if n)
            yield (rope, *some)


def _rest(site: Site, split: Split) -> tuple[Owned, ...]:
    taken = {piece.name: piece.count for piece in split}
    left = (replace(p, count=p.count - taken.get(p.name, 0)) for p in site.gear)
    return tuple(p for p in left if p.count > 0)


def _hauls(site: Site, gear: tuple[Owned, ...], scenes: tuple[Scene, ...]) -> Iterator[Setup]:
    """Every haul with some gear."""
    kit, floor = kit_of(replace(site, gear=gear)), site.preferences.margin_wanted
    for scene in scenes:
        for walk in walks(scene, min(site.preferences.most_sheaves, kit.sheave_count)):
            for etas in eta_patterns(kit, len(walk) - 2):
                ev = evaluate(scene, np.array([walk]), np.array([etas]).reshape(1, len(etas)))
                if not ev.works.all():
                    continue
                for filled in _filled(variants(RigRow(ev, 0), kit), floor):
                    yield build_setup(filled, rank=1)


def _held(site: Site, begin: float, end: float) -> bool:
    """Whether any line of at most one sheave holds the load from one place to another."""
    laid = lay_stations(site, (begin, end))
    stations = laid.pick(laid.between(begin, end))
    kit, limit = kit_of(site), hand_limit(site.preferences, None)
    for attachment in attachments(site):
        scene = Scene(site, stations, attachment, hand(site))
        places = range(len(scene.places) - 1)
        for many in (0, 1):
            for walk in product(places, repeat=many + 2):
                if any(a == b for a, b in pairwise(walk)):
                    continue
                if 0 not in walk or walk[-1] == 0:
                    continue
                for etas in eta_patterns(kit, many):
                    rated, free = evaluate_lowering(
                        scene, np.array([walk]), np.array([etas]).reshape(1, many)
                    )
                    if not (rated.works.all() and free.works.all()):
                        continue
                    row = LetDown(rated, 0, RigRow(free, 0))
                    every = let_down_variants(row, kit, limit)
                    if any(_filled(every, site.preferences.margin_wanted)):
                        return True
    return False


def _filled(every: Iterator[Variant], floor: float) -> Iterator[Filled]:
    for variant in every:
        filled = fill(variant, floor)
        if filled is not None:
            yield filled
