"""No bound promises less than what a walk can end with: what the enumeration finds is never dismissed."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from catalogue.gear import Block
from optimiser.gear.kit import kit_of
from optimiser.rig import Walk
from optimiser.scene import Scene, scenes
from optimiser.search.grow import Grower
from optimiser.search.partial import Bound, Partial
from optimiser.search.rules import Rules
from optimiser.search.tables import Tables
from optimiser.site.model import Owned, Site
from optimiser.stations import lay_stations
from tests.generated import Recipe, made_up
from tests.oracle.enumeration import enumerate_setups

PLAIN = Recipe(trees=4, heights=1, sheaves=3, items=14, spacing=2.0, light=0.4, protected=True)


def _weak_blocks(site: Site, share: float) -> Site:
    """The site with blocks of so much of their rating: they are what gives."""

    def weaker(piece: Owned) -> Owned:
        gear: Any = piece.gear
        if not isinstance(gear, Block) or gear.wll is None:
            return piece
        return replace(piece, gear=replace(gear, wll=gear.wll * share))

    return replace(site, gear=tuple(weaker(piece) for piece in site.gear))


def _all_bounds(scene: Scene, site: Site) -> dict[tuple[int, ...], tuple[float, float, float]]:
    """The bound of every walk that may go on, from the puller backwards; nothing is dismissed."""
    kit, rules = kit_of(site).rated_only, Rules.of(site.preferences.rules)
    grower = Grower(Tables(scene, kit, rules, 1e-3, True))
    out: dict[tuple[int, ...], tuple[float, float, float]] = {}
    level, _ = grower.first()
    while len(level):
        level, bound, _, _ = grower.grow(level, lambda b: np.ones(len(b.margin), dtype=bool), 1e-3)
        _note(out, level, bound)
    return out


def _note(
    out: dict[tuple[int, ...], tuple[float, float, float]], level: Partial, bound: Bound
) -> None:
    for path, *figures in zip(level.path, bound.margin, bound.resets, bound.rope, strict=True):
        margin, resets, rope = (float(f) for f in figures)
        out[tuple(int(p) for p in path)] = (margin, resets, rope)


def _path(scene: Scene, walk: Walk) -> tuple[int, ...]:
    return tuple(scene.number[place] for place in reversed(walk[:-1]))


@pytest.mark.parametrize("regime", ["easy", "puller", "anchor"])
@pytest.mark.parametrize("number", range(4))
@pytest.mark.parametrize("share", [1.0, 0.15])
def test_no_part_of_a_walk_is_promised_less_than_the_walk_has(
    regime: str, number: int, share: float
) -> None:
    site = _weak_blocks(made_up(replace(PLAIN, regime=regime), number), share)
    low = replace(site, preferences=replace(site.preferences, margin_wanted=1e-3))
    found = enumerate_setups(low, top=300, everything=True).setups
    bounds = {
        (scene.puller.name, scene.attachment.name): (scene, _all_bounds(scene, low))
        for scene in scenes(low, lay_stations(low))
    }
    looked = 0
    for setup in found:
        walk = setup.walks[0]
        here = [both for (puller, _), both in bounds.items() if puller == walk[-1].name]
        for depth in range(2, len(walk) - 1 if not setup.unrated else 0):
            promised = [known[_path(scene, walk)[:depth]] for scene, known in here]
            assert max(p[0] for p in promised) >= setup.margin * (1.0 - 1e-6)
            assert min(p[1] for p in promised) <= setup.resets
            assert min(p[2] for p in promised) <= setup.rope + 1e-6
            looked += 1
    assert looked >= 3
