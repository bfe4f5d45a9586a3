"""The one list of what a rig loads: nothing is missing from it, and every margin is the least of it."""

from collections import Counter

import numpy as np
import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.components import components, hung
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.loads import worst
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.refit import Stopped, refit
from optimiser.rig.setup import PIECES, Role
from optimiser.site.model import Site
from tests.search.sites import site

SITES = [0, 8, 33, 38]
"""Fibre and wire, and one with bridles."""


def fillings(where: Site) -> list[Filled]:
    found = [
        refit(where, s) for s in rank(where, RankQuestion(top=6, everything=True, explain=False))
    ]
    out = [filled for filled in found if not isinstance(filled, Stopped)]
    assert out
    return out


def test_the_sites_have_what_can_be_loaded() -> None:
    roles = {load.role for n in SITES for f in fillings(site(n)) for load in f.loads()}
    assert {Role.SHEAVE, Role.LEG, Role.STRAP, Role.SHACKLE, Role.BLOCK, Role.PULLER_HITCH} <= roles


@pytest.mark.parametrize("number", SITES)
def test_the_margin_is_the_least_of_the_list(number: int) -> None:
    for filled in fillings(site(number)):
        row = filled.variant.row
        least = min(load.ratio(row) for load in filled.loads())
        assert filled.margin == least
        assert min(part.margin for part in components(filled)) == pytest.approx(least, rel=1e-12)


@pytest.mark.parametrize("number", SITES)
def test_whatever_hangs_is_loaded_once(number: int) -> None:
    """The gear list and the components name the same pieces at the same places, as often."""
    for filled in fillings(site(number)):
        listed = Counter((h.role, h.item, h.place) for h in hung(filled) if h.role in PIECES)
        loaded = Counter((c.role, c.item, c.place) for c in components(filled) if c.role in PIECES)
        assert listed == loaded
        used = Counter(piece.name for piece in filled.pieces)
        assert used == Counter(h.item for h in hung(filled) if h.role in PIECES[:-1])


@pytest.mark.parametrize("number", SITES)
def test_what_fills_a_slot_carries_what_the_slot_does(number: int) -> None:
    """Straps, legs and the shackles of ends and bridles, before and after a piece is chosen."""
    for filled in fillings(site(number)):
        row = filled.variant.row

        def carried(loads: object, roles: tuple[Role, ...], row: RigRow = row) -> Counter[object]:
            assert isinstance(loads, tuple)
            some = (load for load in loads if load.role in roles)
            return Counter((x.role, x.nodes, worst(row, x.force).value) for x in some)

        slots, loads = filled.variant.slots, tuple(filled.loads())
        for roles in ((Role.STRAP,), (Role.LEG,)):
            assert carried(slots, roles) == carried(loads, roles)
        assert carried(slots, (Role.SHACKLE,)) <= carried(loads, (Role.SHACKLE,))
        turned = {n for slot in slots if slot.role is Role.BLOCK for n in slot.nodes}
        assert turned == {n for load in loads if load.role is Role.BLOCK for n in load.nodes}


@pytest.mark.parametrize("number", [0, 8, 12, 33])
def test_anchors_of_many_rigs_at_once_stand_as_each_by_itself(number: int) -> None:
    where = site(number)
    for scene in scenes(where, lay_stations(where)):
        rng = np.random.default_rng(number)
        places = np.arange(scene.puller_number)
        walks = rng.choice(places, size=(60, 4))
        walks = walks[(walks[:, :-1] != walks[:, 1:]).all(axis=1)]
        walks = np.column_stack([walks, np.full(len(walks), scene.puller_number)])
        ev = evaluate(scene, walks, rng.uniform(0.7, 1.0, (len(walks), 3)))
        able = np.flatnonzero(np.isfinite(ev.pull).all(axis=1))
        together, by_state = ev.anchor_margin(able), ev.anchor_margin(able, by_state=True)
        assert np.array_equal(together, by_state.min(axis=1))
        for i, index in enumerate(able):
            uses = RigRow(ev, int(index)).anchor_use.values()
            least = [known / peak.value for peak, known in uses if known is not None and peak.value]
            if ev.rubs(int(index)):  # with the least friction on edges an anchor may bear more
                assert together[i] >= min(least, default=np.inf) * (1.0 - 1e-12)
            else:
                assert together[i] == min(least, default=np.inf)
