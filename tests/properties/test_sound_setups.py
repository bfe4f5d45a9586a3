"""Whatever is shown works: no piece over its rating, and the independent re-check agrees."""

from dataclasses import replace
from math import isinf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalogue.gear import Block, Shackle
from optimiser.proof.loads.haul import verify
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.site.anchors import RatedAnchor
from tests.properties.jobs import RECIPES, TIED, UNRATED, MadeUp, key_of, made_ups, ranked

ALL = (*RECIPES, *TIED, *UNRATED)


@given(job=made_ups(ALL), everything=st.booleans())
def test_no_piece_above_its_capacity(job: MadeUp, everything: bool) -> None:
    """Pieces without a rating are excepted, and named."""
    for setup in ranked(job.site, everything=everything):
        assert setup.margin >= 1.0
        for piece in setup.components:
            if piece.capacity is None:
                assert piece.item in setup.unrated or any(piece.item in n for n in setup.unrated)
            else:
                assert piece.demand <= piece.capacity * (1.0 + 1e-9)
                assert setup.margin <= piece.margin * (1.0 + 1e-9)
        tight = min(setup.components, key=lambda piece: piece.margin)
        assert isinf(tight.margin) or setup.margin == pytest.approx(tight.margin, rel=1e-9)


@given(job=made_ups(ALL), everything=st.booleans())
def test_the_re_check_agrees(job: MadeUp, everything: bool) -> None:
    for setup in ranked(job.site, everything=everything):
        verify(job.site, setup)


@given(job=made_ups(ALL))
def test_rated_ones_first_and_each_list_in_order(job: MadeUp) -> None:
    found = ranked(job.site, top=6)
    order = Order.of(job.site.preferences)
    rated = [s for s in found if not s.unrated]
    assert found.setups[: len(rated)] == tuple(rated)
    for group in (rated, [s for s in found if s.unrated]):
        keys = [order.sortable(key_of(setup)) for setup in group]
        assert keys == sorted(keys)
    assert [s.rank for s in found] == list(range(1, len(found) + 1))


@given(job=made_ups(ALL))
def test_counts_and_lengths_fit_together(job: MadeUp) -> None:
    owned = {piece.name: piece.count for piece in job.site.gear}
    for setup in ranked(job.site):
        assert setup.rope_needed <= setup.rope_owned + 1e-9
        assert setup.resets == setup.strokes - 1 >= 0
        assert setup.actual_advantage <= setup.ideal_advantage + 1e-9
        assert all(row.ground_reaction >= 0.0 for row in setup.profile)
        used: dict[str, int] = {}
        for piece in setup.gear:
            if piece.role not in ("end", "tie"):
                used[piece.item] = used.get(piece.item, 0) + 1
        assert all(many <= owned[name] for name, many in used.items())


@given(
    job=made_ups(),
    eyes=st.tuples(*[st.sampled_from([0.018, 0.02, 0.03])] * 3),
    more=st.integers(0, 4),
)
def test_every_pin_goes_through_what_it_hangs_in(
    job: MadeUp, eyes: tuple[float, float, float], more: int
) -> None:
    """Shackles of 19 and 24 mm pin; eyes of hitch, vehicle and ring that take both, one or none."""
    site = job.site
    hitch, vehicle, ring = eyes
    site = replace(
        site,
        load=replace(site.load, hitches=tuple(replace(h, eye=hitch) for h in site.load.hitches)),
        pullers=tuple(
            replace(p, hitch_eye=vehicle if p.needs_termination else None) for p in site.pullers
        ),
        anchors=tuple(
            replace(a, eye=ring) if isinstance(a, RatedAnchor) and a.girth is None else a
            for a in site.anchors
        ),
        gear=tuple(
            replace(p, count=p.count + more) if isinstance(p.gear, Shackle) else p
            for p in site.gear
        ),
    )
    kinds = {piece.name: piece.gear for piece in site.gear}
    widths = {"load": hitch, **{p.name: vehicle for p in site.pullers}}
    widths |= {a.name: ring for a in site.anchors if a.girth is None}
    for setup in ranked(site, everything=True):
        blocks = {h.nodes: kinds[h.item] for h in setup.gear if h.role == "block"}
        for hung in setup.gear:
            pin = kinds.get(hung.item)  # a rope joined of two is none of them
            if hung.role != "shackle" or not isinstance(pin, Shackle):
                continue
            bridled = any(piece.role == "bridle leg" for piece in setup.gear)
            if bridled and hung.place == "load" and hung.nodes[0] >= 0:
                assert hung.how.endswith("to the bridle's legs")  # not in an eye of the load's
            else:
                assert pin.pin_diameter <= widths.get(hung.place.split("@")[0], 1.0) + 1e-9
            block = blocks.get(hung.nodes)
            if isinstance(block, Block) and block.eye is not None:
                assert pin.pin_diameter <= block.eye + 1e-9


@given(job=made_ups(), number=st.integers(0, 10_000), better=st.floats(0.0, 0.09))
def test_less_friction_never_calls_for_more_pull(job: MadeUp, number: int, better: float) -> None:
    """Of one walk, sheave by sheave, where every part helps the load on. (It is not so for every
    anchor: a better sheave brings more tension to the standing end.)"""
    rng = np.random.default_rng(number)
    scene = next(scenes(job.site, lay_stations(job.site)))
    anchors = np.arange(1, scene.puller_number)
    first, second = rng.choice(anchors, 2, replace=False)
    walks = np.array([[0, first, 0, second, scene.puller_number]])
    stations = scene.stations
    helps = scene.forward + stations.resistance * scene.lift
    if not bool((helps[[first, second]] > 0.0).all()):
        return
    rough = np.array([[0.9, 0.85, 0.9]])
    smooth = rough.copy()
    smooth[0, int(rng.integers(3))] += better
    before, after = (evaluate(scene, walks, etas).pull[0] for etas in (rough, smooth))
    assert (after <= before * (1.0 + 1e-12)).all()
