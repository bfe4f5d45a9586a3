"""Pulls on anchors that stand some pulls only, node by node and state by state, by hand."""

from dataclasses import replace
from math import pi
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optimiser.rig.forces import ways
from optimiser.site.anchors import RatedAnchor
from optimiser.site.model import AnchorKind, Directions
from optimiser.site.roaming.rooms import Body
from tests.geometry.plain import SITE, STRENGTH

ANCHOR = RatedAnchor(
    name="pickets", position=(24.0, 12.0, 3.0), kind=AnchorKind.PICKET_HOLDFAST, heights=(0.1,),
    girth=None, strength=STRENGTH, radius=0.1, top=0.3, directions=Directions(up=0.2, aside=0.3),
    uses=(("lane", 1),),
)  # fmt: skip


def at_anchors(anchors: Any, nodes: list[list[int]], **more: Any) -> Any:
    """What is read of some walks, whose anchors at each node are given by number."""
    (puller,) = SITE.pullers
    body = Body(length=4.0, width=2.0, run=8.0)
    site = replace(SITE, anchors=tuple(anchors))
    scene = SimpleNamespace(site=site, puller=replace(puller, body=body, heading=(1.0, 0.0, 0.0)))
    return SimpleNamespace(scene=scene, anchors=np.array(nodes), walks=np.array(nodes), **more)


def test_what_is_made_stands_out_of_the_puller_s_way() -> None:
    """One there already, one made on the run, one made beside it; at either end of the rope."""
    there = replace(ANCHOR, name="rock", uses=())
    beside = replace(ANCHOR, position=(24.0, 30.0, 3.0))
    found = ways.run_over(at_anchors((there, ANCHOR, beside), [[0, 2], [1, 2], [2, 1], [0, 0]]))
    assert found.tolist() == [False, True, True, False]


@pytest.mark.parametrize(
    ("force", "rise"),
    [((3.0, 4.0, 5.0), pi / 4.0), ((0.0, 0.0, 2.0), pi / 2.0), ((0.0, 0.0, 0.0), 0.0)],
)
def test_how_steeply_an_anchor_is_pulled(force: tuple[float, ...], rise: float) -> None:
    """Up is up, whether it is pulled aside too or not; a slack line pulls nowhere."""
    pull = np.array(force).reshape(1, 3, 1, 1)
    states = SimpleNamespace(station=np.zeros(1, dtype=int))
    found = ways.pulls(at_anchors((ANCHOR,), [[0]], node_force=pull, states=states), 0)
    assert found.rise[0, 0] == pytest.approx(rise)


@pytest.mark.parametrize(
    ("first", "turns", "faces"),
    [
        ((0.0, 0.0), ((0.0, 0.5), (0.1, 0.55)), True),
        ((0.0, 0.0), ((0.0, 0.5), (0.1, 0.65)), False),
        ((0.0, 0.2), ((0.0, 0.3), (0.0, 0.3)), True),
        ((0.0, 0.4), ((0.0, 0.3), (0.0, 0.3)), False),
        ((0.0, 2.0 * pi - 0.2), ((0.0, 0.3), (0.0, 0.3)), True),
        ((pi - 0.1, -pi + 0.1), ((0.0, 0.3), (0.0, 0.3)), True),
    ],
)
def test_one_anchor_faces_all_pulls_of_all_looks(
    first: tuple[float, float], turns: tuple[tuple[float, float], ...], faces: bool
) -> None:
    """It stands 0.3 to either side: of what it is looked at, the furthest apart count."""
    turn = np.array(turns)
    seen = ways.Pulls(ANCHOR, np.array([0, 1]), np.zeros_like(turn), turn, np.array(first))
    ev = SimpleNamespace(walks=np.zeros((2, 1), dtype=int), pulls_on_made=(seen,))
    assert ways.one_way((ev, slice(0, 2))) == faces
