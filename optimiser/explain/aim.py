"""Where the puller would have to stand, or its run to lead, for its line to keep within its angles."""

from collections.abc import Iterator
from dataclasses import replace
from math import cos, radians, sin

import numpy as np

from optimiser.gear.row import RigRow
from optimiser.pulling import line_angles
from optimiser.results import Change
from optimiser.scene import Array
from optimiser.site.model import Puller
from shared.units import Dimension, Rounding, show

TURN = radians(0.25)
STEP = 0.1
"""m: how finely a better place is looked for."""
FURTHEST = 50.0
"""m"""


def angles(row: RigRow, puller: Puller) -> tuple[Array, Array]:
    """(X,) how far the hauling line leads off the run in plan and in rise, with the puller perhaps
    elsewhere than planned."""
    scene = replace(row.scene, puller=puller)
    states, last = row.evaluation.states, row.numbers[-2]
    target = scene.hitch[states.station] if last == 0 else row.scene.position[last]
    return line_angles(puller=puller, way=target - scene.spots[states.spot])


def turned(row: RigRow) -> Change | None:
    """The least turn of the run, to either side, that brings the line within the angle in plan."""
    puller = row.scene.puller
    for turn in _turns():
        x, y, z = puller.heading
        heading = (cos(turn) * x - sin(turn) * y, sin(turn) * x + cos(turn) * y, z)
        if angles(row, replace(puller, heading=heading))[0].max() <= puller.angle_limit:
            told = show(abs(turn), Dimension.ANGLE, row.scene.site.preferences.units, Rounding.UP)
            side = "left" if turn > 0 else "right"
            text = f"turn the run of {puller.name} by {told} to its {side}"
            return Change(text=text, amount=turn, unit="rad")
    return None


def _turns() -> Iterator[float]:
    for count in range(1, 721):
        yield count * TURN
        yield -count * TURN


def further(row: RigRow) -> Change | None:
    """How much further off along its run the puller must stand, on the same level, for its line to keep
    within the angle of rise."""
    puller = row.scene.puller
    flat = np.array([puller.heading[0], puller.heading[1], 0.0])
    flat /= max(float(np.linalg.norm(flat)), 1e-9)
    for off in np.arange(STEP, FURTHEST, STEP):
        x, y, z = (float(v) for v in np.array(puller.position) + off * flat)
        if np.abs(angles(row, replace(puller, position=(x, y, z)))[1]).max() <= puller.rise_limit:
            told = show(float(off), Dimension.LENGTH, row.scene.site.preferences.units, Rounding.UP)
            text = f"stand {puller.name} {told} further off along its run, on the same level"
            return Change(text=text, amount=float(off), unit="m")
    return None
