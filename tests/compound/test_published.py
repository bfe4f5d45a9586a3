"""Tackles on tackles: the advantage of the one times that of the other, as handbooks have it.

nicholls p. 44 has a twofold hauled by a gun tackle, 4 times 3, a handbook of small-boat sailing luff upon
luff, the firehouse articles a tackle hauled by another. All are for parallel parts; here everything stands
in one line over 2 km, which comes to the same.
"""

from dataclasses import replace

import numpy as np
import pytest

from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene, scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.two_ropes.evaluate import evaluate_pairs
from tests.compound.straight import in_line

FAR, NEAR = 1, 2
"""Numbers of the two anchors' places: where the main tackle hangs, where the second does."""


def compound(first: list[int], second: list[int], eta: float = 1.0) -> Evaluation:
    """A compound over the straight site; 0 is the load, GRIP_NUMBER the grip."""
    site = in_line()
    scene: Scene = next(scenes(site, lay_stations(site)))
    sheaves = len(first) + len(second) - 2
    return evaluate_pairs(scene, np.array([first]), np.array([second]), np.full((1, sheaves), eta))


TWOFOLD = [FAR, 0, FAR, 0, FAR]
"""To disadvantage: four sheaves, four parts at the load, the hauling part leaves the fixed block."""
GUN = [FAR, 0, FAR]
LUFF_TO_ADVANTAGE = [FAR, 0, FAR, 0]
"""Three sheaves, four parts: the hauling part leaves the block on the load."""


def over(second: int) -> list[int]:
    """A second tackle with so many parts at the grip."""
    return [NEAR if (second - k) % 2 == 0 else GRIP_NUMBER for k in range(second + 1)]


@pytest.mark.parametrize(
    ("first", "parts", "second", "published"),
    [
        # nicholls p. 44: twofold to disadvantage hauled by a gun tackle to advantage, 4 x 3.
        (TWOFOLD, 4, 3, 12.0),
        # Small-boat sailing p. 56: luff upon luff, 1 lb holds 16 lb without friction.
        (LUFF_TO_ADVANTAGE, 4, 4, 16.0),
        # firehouse: 3 to 1 hauled by 2 to 1.
        ([0, FAR, 0], 3, 2, 6.0),
        (GUN, 2, 3, 6.0),
    ],
)
def test_advantages_multiply(first: list[int], parts: int, second: int, published: float) -> None:
    rig = compound(first, over(second))

    assert rig.course.tackle is not None
    assert rig.course.tackle.parts == second
    assert parts * second == published
    assert rig.ideal_advance[0] == pytest.approx(published, rel=2e-3)
    assert rig.advance[0] == pytest.approx(published, rel=2e-3)


@pytest.mark.parametrize("eta", [0.85, 0.9, 0.96])
def test_friction_multiplies_through(eta: float) -> None:
    """Each tackle by itself is a sum of the powers of eta; the compound is their product."""
    rig = compound(TWOFOLD, over(3), eta)

    main = sum(eta**k for k in range(1, 5))
    second = sum(eta**k for k in range(1, 4))
    assert rig.advance[0] == pytest.approx(main * second, rel=2e-3)
    assert rig.gained[0] == pytest.approx(second, rel=1e-12)


def test_loads_multiply_through() -> None:
    """The first rope's hauling part carries what all parts of the second give; a block on the grip
    twice the pull less friction; the second anchor all of the first rope and the hauling part."""
    eta = 0.9
    rig = compound(TWOFOLD, over(2), eta)
    grip = rig.course.grip
    assert grip is not None
    pull = 1.0

    assert rig.tau[grip - 1, 0] == pytest.approx((eta + eta**2) * pull)
    at_grip = np.linalg.norm(rig.node_force[grip + 2, :, 0, 0])
    assert at_grip == pytest.approx(eta + eta**2, rel=1e-3)
    nodes = [i for i, number in enumerate(rig.walks[0]) if number == NEAR]
    on_anchor = np.linalg.norm(rig.node_force[nodes, :, 0].sum(axis=0)[:, 0])
    # The hauling part leads on in the direction in which the grip is pulled.
    assert on_anchor == pytest.approx(eta + eta**2 - 1.0, rel=1e-3)


def test_both_ropes_on_one_anchor_are_summed() -> None:
    """Main tackle and second tackle on one anchor: it carries what both pull, not one of them."""
    site = in_line()
    scene: Scene = next(scenes(site, lay_stations(site)))
    below = np.array([[n if n == GRIP_NUMBER else FAR for n in over(2)]])
    one = evaluate_pairs(scene, np.array([[0, NEAR]]), below, np.ones((1, 3)))
    both = evaluate_pairs(scene, np.array([[FAR, 0, NEAR]]), below, np.ones((1, 4)))
    index = int(scene.anchor_of[FAR])

    alone = float((one.anchor_demand[index][1] / one.pull)[0, 0])
    shared = float((both.anchor_demand[index][1] / both.pull)[0, 0])
    # A part of the main rope on the same anchor adds its tension, twice the pull, the same way.
    assert abs(shared - alone) == pytest.approx(2.0, rel=1e-2)


def test_an_anchor_is_needed_for_the_second_rope() -> None:
    site = in_line()
    bare = replace(site, anchors=site.anchors[:1])
    assert len(next(scenes(bare, lay_stations(bare))).places) == 3
