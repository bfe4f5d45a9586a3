"""The constraint solver's fillings, slot by slot: what must fit between the load and an anchor."""

from dataclasses import replace
from math import dist

import numpy as np
import pytest

from catalogue.gear import Block
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.gear import assign
from optimiser.rig.gear.fill import fill
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import variants
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.rig.walk import PlaceKind, parts
from optimiser.site.counts import Count
from optimiser.site.model import Site
from tests.generated import HOME, made_up

ORDER = Order((Count.MARGIN,), 10.0)


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(replace(HOME, light=0.2), 2)


def turned_once(site: Site, *blocks: tuple[str, float, float]) -> Variant:
    """The line from the load over one block on a tree to the puller; blocks at hand: (name, length [m],
    rating [N])."""
    like = next(piece for piece in site.gear if isinstance(piece.gear, Block))
    assert isinstance(like.gear, Block)
    some = tuple(
        replace(like, name=name, count=1, gear=replace(like.gear, id=name, length=length, wll=wll))
        for name, length, wll in blocks
    )
    others = tuple(piece for piece in site.gear if not isinstance(piece.gear, Block))
    kit = Kit(tuple(sorted((*others, *some), key=lambda p: p.name)), kit_of(site).knots)
    scene = next(scene for scene in scenes(site, lay_stations(site)) if scene.rated)
    clear = scene.clear_from_load.all(axis=1) & scene.clear[:, scene.puller_number]
    tree = int(np.flatnonzero(clear[1:-1])[0]) + 1
    walks = np.array([[0, tree, scene.puller_number]])
    found = evaluate(scene, walks, np.array([[like.gear.eta]]))
    return next(variants(RigRow(found, 0), kit))


def room(variant: Variant) -> float:
    """Of the part between the load and the tree, m."""
    return min(least for _, _, least in variant.room())


def test_the_room_is_what_is_left_where_the_load_or_the_puller_comes_closest(site: Site) -> None:
    variant = turned_once(site, ("any", 0.1, 50_000.0))
    scene, tree = variant.row.scene, variant.row.numbers[1]
    x, y, z = scene.anchor_at(tree).position
    strap = (x, y, z + scene.places[tree].height)
    least = [min(dist(strap, at) for at in ends) for ends in (scene.hitch, scene.spots)]
    assert [room for _, _, room in variant.room()] == pytest.approx(least)


def test_the_strongest_block_is_taken_where_it_fits(site: Site) -> None:
    filled = assign.best(
        [turned_once(site, ("strong", 0.1, 50_000.0), ("weak", 0.1, 100.0))],
        ORDER, floor_margin=0.01,
    )  # fmt: skip

    assert filled is not None
    assert [option.piece.name for option in filled.blocks] == ["strong"]


def test_a_block_that_is_longer_than_the_room_is_not(site: Site) -> None:
    """What hangs between load and tree must not meet when the load has come closest."""
    long = room(turned_once(site, ("any", 0.1, 50_000.0)))

    filled = assign.best(
        [turned_once(site, ("strong", long, 50_000.0), ("weak", 0.1, 100.0))],
        ORDER, floor_margin=0.01,
    )  # fmt: skip
    alone = assign.best([turned_once(site, ("strong", long, 50_000.0))], ORDER, floor_margin=0.01)

    assert filled is not None
    assert [option.piece.name for option in filled.blocks] == ["weak"]
    assert alone is None


def test_the_quick_filling_leaves_no_gear_that_does_not_fit_in(site: Site) -> None:
    """It begins with the weakest pieces that do; here the weakest is too long for the room."""
    long = room(turned_once(site, ("any", 0.1, 50_000.0)))
    variant = turned_once(site, ("long", long, 100.0), ("short", 0.1, 50_000.0))

    filled = fill(variant, 0.01)

    assert filled is not None
    assert [option.piece.name for option in filled.blocks] == ["short"]


def test_the_standing_end_is_a_part_of_line_where_it_is_made_fast_to_the_load(site: Site) -> None:
    variant = turned_once(site, ("any", 0.1, 50_000.0))
    walk = variant.row.scene.walk(variant.row.numbers)

    assert [place.kind for place in walk].count(PlaceKind.LOAD) == 1
    assert variant.parts == parts(walk) == 1
