"""Equilibrium of every node of a rig as one linear system, sharing no code with the program.

Unknowns: tension of every segment, three ground forces on the load, three forces at every other
node. Equations: friction of every sheave, three balances per node, friction under the load. The
system is put together here from coordinates alone and solved by a general linear solver.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from tests.validation.sample_rigs import SAMPLES, Array, SampleRig, evaluated, points


@dataclass(frozen=True)
class Solved:
    """`tensions` N from the standing end on; `normal`, `sideways` of the ground on the load N;
    `reactions`: force that each other node is held with, N (row per node of the walk)."""

    tensions: Array
    normal: float
    sideways: float
    reactions: dict[str, Array]


def solve(rig: SampleRig, *, weight: float, resistance: float, eta: float) -> Solved:
    """Impending motion along the path, by numpy's dense solver."""
    nodes = points(rig, np.array(rig.hitch))
    segments = len(nodes) - 1
    others = [name for name in dict.fromkeys(rig.walk) if name != "load"]
    size = segments + 3 + 3 * len(others)
    along = np.array(rig.along) / np.sqrt(np.dot(rig.along, rig.along))
    left = np.array((-along[1], along[0], 0.0)) / np.hypot(along[0], along[1])
    up = np.array(
        (
            along[1] * left[2] - along[2] * left[1],
            along[2] * left[0] - along[0] * left[2],
            along[0] * left[1] - along[1] * left[0],
        )
    )
    matrix, right = np.zeros((size, size)), np.zeros(size)
    drag, side, normal = segments, segments + 1, segments + 2
    row = 0
    for sheave in range(1, segments):  # T_in = eta T_out, the hauling end being the last
        matrix[row, sheave - 1], matrix[row, sheave] = 1.0, -eta
        row += 1
    matrix[row, drag], matrix[row, normal] = 1.0, -resistance  # drag = c N
    row += 1
    for name in ["load", *others]:
        for segment in range(segments):
            way = nodes[segment + 1] - nodes[segment]
            way = way / np.sqrt(np.dot(way, way))
            for end, sign in ((segment, 1.0), (segment + 1, -1.0)):
                if rig.walk[end] == name:
                    matrix[row : row + 3, segment] += sign * way
        if name == "load":
            matrix[row : row + 3, drag] = -along
            matrix[row : row + 3, side] = left
            matrix[row : row + 3, normal] = up
            right[row + 2] = weight
        else:
            at = segments + 3 + 3 * others.index(name)
            matrix[row : row + 3, at : at + 3] = np.eye(3)
        row += 3
    assert row == size
    out: Array = np.linalg.solve(matrix, right).astype(np.float64)
    reactions = {
        name: out[segments + 3 + 3 * i : segments + 6 + 3 * i] for i, name in enumerate(others)
    }
    return Solved(out[:segments], float(out[normal]), float(out[side]), reactions)


@pytest.mark.parametrize("eta", [1.0, 0.909, 0.85])
@pytest.mark.parametrize("rig", SAMPLES, ids=[rig.name for rig in SAMPLES])
def test_every_force(rig: SampleRig, eta: float) -> None:
    """Pull, tensions, ground reaction, side force and every anchor's force agree to 1e-9."""
    weight, resistance = 3000.0, 0.25
    solved = solve(rig, weight=weight, resistance=resistance, eta=eta)
    ours = evaluated(rig, hitch=np.array(rig.hitch), weight=weight, resistance=resistance, eta=eta)
    assert ours.pull[0, 0] == pytest.approx(solved.tensions[-1], rel=1e-9)
    for segment, tension in enumerate(solved.tensions):
        assert ours.tension(segment)[0, 0] == pytest.approx(tension, rel=1e-9)
    assert ours.reaction[0, 0] == pytest.approx(solved.normal, rel=1e-9)
    sideways = ours.sideways[0, 0] * ours.pull[0, 0]
    assert sideways == pytest.approx(-solved.sideways, rel=1e-9, abs=1e-9)
    for name, force in solved.reactions.items():
        nodes = tuple(i for i, node in enumerate(rig.walk) if node == name)
        assert ours.joint_force(nodes)[0, 0] == pytest.approx(np.linalg.norm(force), rel=1e-9)
