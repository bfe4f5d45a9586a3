"""No bound promises less than what a walk can end with: what the enumeration finds is never dismissed."""

from dataclasses import replace
from itertools import product
from math import inf
from statistics import median
from typing import Any

import numpy as np
import pytest

from catalogue.gear import Block
from optimiser.mechanics.arrays import Array
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.variants import variants
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.rig.walk import Walk, parts
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.bounds.marks import Marks
from optimiser.search.bounds.partial import Bound, Partial, Wanted
from optimiser.search.rules import Rules
from optimiser.site.model import Owned, Site
from tests.generated import Recipe, made_up
from tests.long import cases
from tests.oracle.enumeration import Found, enumerate_setups

PLAIN = Recipe(trees=4, heights=1, sheaves=3, items=14, spacing=2.0, light=0.4, protected=True)


def _weak_blocks(site: Site, share: float) -> Site:
    """The site with blocks of so much of their rating: they are what gives."""

    def weaker(piece: Owned) -> Owned:
        gear: Any = piece.gear
        if not isinstance(gear, Block) or gear.wll is None:
            return piece
        return replace(piece, gear=replace(gear, wll=gear.wll * share))

    return replace(site, gear=tuple(weaker(piece) for piece in site.gear))


Promised = dict[tuple[int, ...], tuple[float, ...]]
"""By path from the puller backwards: margin, resets, rope, parts, pull, whether it is marked down."""


def _all_bounds(scene: Scene, site: Site, most_pull: float) -> Promised:
    """The bound of every walk that may go on, from the puller backwards, where no more than `most_pull` [N]
    is of use; nothing is dismissed."""
    kit, rules = kit_of(site).rated_only, Rules.of(site.preferences.rules)
    grower = Grower(Tables(scene, kit, rules, 1e-3, True))
    out: Promised = {}
    level, _ = grower.first()
    while len(level):
        level, bound, _, _ = grower.grow(
            level,
            lambda b: np.ones(len(b), dtype=bool),
            lambda b: Wanted(np.full(len(b), 1e-3), np.full(len(b), most_pull)),
        )
        _note(out, level, bound)
    return out


def _note(out: Promised, level: Partial, bound: Bound) -> None:
    if not len(level):
        return
    counts = (bound.margin, bound.resets, bound.rope, bound.parts, bound.pull, bound.marked)
    columns = [column for column in counts if column is not None]
    assert len(columns) == len(counts)
    for path, *figures in zip(level.path, *columns, strict=True):
        out[tuple(int(p) for p in path)] = tuple(float(f) for f in figures)


def _pull(setup: Found) -> float:
    """N."""
    return setup.as_good[0][1]


def _path(scene: Scene, walk: Walk) -> tuple[int, ...]:
    return tuple(scene.number[place] for place in reversed(walk[:-1]))


def _stands_badly(scene: Scene, walk: Walk) -> bool:
    return scene.stands_badly([scene.number[place] for place in walk])


@pytest.mark.parametrize(
    ("regime", "number", "share"),
    cases(
        product(("easy", "puller", "anchor"), range(4), (1.0, 0.15)),
        quick=[("easy", 2, 1.0), ("anchor", 2, 1.0), ("easy", 1, 0.15)],
        seldom=[
            *(
                (regime, 0, share)
                for regime in ("easy", "puller", "anchor")
                for share in (1.0, 0.15)
            ),
            *(("easy", 1, 1.0), ("puller", 1, 1.0), ("anchor", 1, 0.15)),
        ],
    ),
)
def test_no_part_of_a_walk_is_promised_less_than_the_walk_has(
    regime: str, number: int, share: float
) -> None:
    site = _weak_blocks(made_up(replace(PLAIN, regime=regime), number), share)
    low = replace(site, preferences=replace(site.preferences, margin_wanted=1e-3))
    found = enumerate_setups(low, top=300, everything=True).setups
    laid = tuple(scenes(low, lay_stations(low)))
    looked = 0
    for most_pull in (inf, median(_pull(setup) for setup in found)):
        bounds = [(scene, _all_bounds(scene, low, most_pull)) for scene in laid]
        for setup in found:
            walk = setup.walks[0]
            if setup.unrated or _pull(setup) > most_pull:
                continue
            here = [both for both in bounds if both[0].puller.name == walk[-1].name]
            for depth in range(2, len(walk) - 1):
                promised = [known[_path(scene, walk)[:depth]] for scene, known in here]
                assert max(p[0] for p in promised) >= setup.margin * (1.0 - 1e-6)
                assert min(p[1] for p in promised) <= setup.resets
                assert min(p[2] for p in promised) <= setup.rope + 1e-6
                assert min(p[3] for p in promised) <= parts(walk)
                assert min(p[4] for p in promised) <= _pull(setup) * (1.0 + 1e-6)
                assert not promised[0][5] or _stands_badly(here[0][0], walk)
                looked += 1
    assert looked >= 3


@pytest.mark.parametrize("puller", ["vehicle", "people", "hand winch"])
@pytest.mark.parametrize("mirrored", [False, True])
def test_walks_are_marked_down_part_by_part_as_they_are_as_a_whole(
    puller: str, mirrored: bool
) -> None:
    """Any walks, the puller to the side, behind the load's way or at a tree: what marks a part of the walk
    down marks the whole, and the whole is marked down by its parts."""
    site = made_up(replace(PLAIN, trees=6, puller=puller, mirrored=mirrored), 3)
    (scene,) = scenes(site, lay_stations(site))
    rng = np.random.default_rng(4)
    met: set[bool] = set()
    for depth in (1, 2, 3, 4, 5):
        paths = rng.integers(1, scene.puller_number, (60, depth))
        at_load = rng.integers(0, 2, depth)
        paths[:, at_load[0] :: 2] = 0  # the load and anchors by turns
        marked = Marks(scene).of(paths)
        for path, mark in zip(paths, marked, strict=True):
            assert mark == scene.stands_badly([*path[::-1], scene.puller_number])
            met.add(bool(mark))
            for upto in range(1, depth):
                assert not Marks(scene).of(path[None, :upto])[0] or mark
    aside = puller == "vehicle" and not mirrored  # far off to one side
    assert met == ({False} if aside else {False, True})


def test_a_part_that_holds_the_load_back_has_the_least_tension() -> None:
    """With bearings of several kinds the best promise of a part that pulls backwards is the worst
    bearing's."""
    site = made_up(replace(PLAIN, mixed=True), 1)
    (scene,) = scenes(site, lay_stations(site))
    t = Tables(scene, kit_of(site), Rules.of(site.preferences.rules), 1.0)
    assert len(t.kit.etas) > 1
    back = t.gain < 0.0
    for depth in range(t.sheaves + 1):
        assert (t.gain_at(depth)[~back] >= t.eta_worst**depth * t.gain[~back] - 1e-12).all()
        assert t.gain_at(depth)[back] == pytest.approx(t.eta_worst**depth * t.gain[back])


def _hitch_ratio(evaluation: Evaluation) -> float:
    """The least rating / demand over the hitches, by the rig's own figures."""
    row = RigRow(evaluation, 0)
    used = ((peak.value, rating) for peak, rating in row.hitch_use)  # 0: that leg hangs loose
    return min(rating / value for value, rating in used if rating is not None and value > 0.0)


def _led(scene: Scene, t: Tables) -> Array:
    """(n, 3) pulls on the load at the first station by each part of line there may be, and by any two
    together in several shares."""
    every = [scene.unit[a, 0] for a in t.anchors]
    if t.direct:
        every.append(scene.unit[-1, 0])
    shares = np.linspace(0.0, 1.0, 21)
    return np.array([s * u + (1.0 - s) * v for u in every for v in every for s in shares])


@pytest.mark.parametrize("number", range(4))
def test_what_a_newton_on_the_load_gives_at_the_most(number: int) -> None:
    """Seen from the side, no parts of line together give more along the path and of the weight they take off,
    per newton, than is promised, and some nearly do. Lines that all lead low promise less than the best way
    to pull there is, which leads up by atan c."""
    site = made_up(replace(PLAIN, trees=6), number)
    for scene in scenes(site, lay_stations(site)):
        t = Tables(scene, kit_of(site), Rules.of(site.preferences.rules), 1.0)
        st, pulls = scene.stations, _led(scene, t)
        along, up, c = pulls @ st.along[0], pulls @ st.normal[0], st.resistance[0]
        given = (along + c * up) / np.hypot(along, up)
        assert t.rows[0] == 0
        assert t.most_given[0] == pytest.approx(given.max(), abs=1e-3)
        assert t.most_given[0] >= given.max() - 1e-12
        low = (up < c * along).all()
        assert (t.most_given[0] < np.hypot(1.0, c) * (1.0 - 1e-9)) == low


@pytest.mark.parametrize("number", range(4))
def test_where_blocks_have_no_room_no_pieces_fit(number: int) -> None:
    """Trees that stand close together: of rigs that turn at two of them one after the other no pieces can be
    given to those that are dismissed; trees further apart than any two blocks with their straps are none of
    these."""
    site = made_up(replace(PLAIN, trees=6), number)
    x, y, z = site.anchors[0].position
    near = (
        replace(tree, position=(x + 0.7 * i, y + 0.6 * (-1) ** i, z))  # type: ignore[type-var]
        for i, tree in enumerate(site.anchors)
    )
    site = replace(site, anchors=tuple(near))
    kit, filler = kit_of(site), Filler(Order.of(site.preferences), 1e-6)
    for scene in scenes(site, lay_stations(site)):
        t = Tables(scene, kit, Rules.of(site.preferences.rules), 1.0)
        close = np.argwhere(t.hops & ~t.turned_hops)
        assert len(close)
        for a, b in close.tolist():
            ev = evaluate(scene, np.array([[0, b, a, scene.puller_number]]), np.full((1, 2), 0.9))
            assert filler.best(variants(RigRow(ev, 0), kit)) is None
        far = scene.distance >= 2.0 * (t.hung_block.max() + 1e-6)
        assert (t.turned_hops | ~(t.hops & far)).all()


@pytest.mark.parametrize("bridle", [False, True])
@pytest.mark.parametrize("number", range(3))
def test_no_rig_spares_the_hitch_more_than_is_promised(bridle: bool, number: int) -> None:
    """Whatever the walk, what must move the load hangs on its hitches."""
    site = made_up(replace(PLAIN, bridle=bridle, trees=6), number)
    looked = 0
    for scene in scenes(site, lay_stations(site)):
        if scene.attachment.bridled != bridle:
            continue
        t = Tables(scene, kit_of(site), Rules.of(site.preferences.rules), 1.0)
        for a in t.anchors:
            for walk in ([a, 0, scene.puller_number], [0, a, scene.puller_number]):
                ev = evaluate(scene, np.array([walk]), np.full((1, 1), t.eta_best))
                if np.isfinite(ev.pull).all() and (ev.pull > 0.0).all():
                    assert t.hitch_margin >= _hitch_ratio(ev) * (1.0 - 1e-9)
                    looked += 1
        assert t.hitch_margin < 50.0
    assert looked >= 3
