"""Decides whether the puller of a rig stands where a parted line or a load that runs back would reach
it.

The same question as `keepout.faults`, answered yes or no for every position of the load at once: the
ranking checks it for every rig. A rig whose puller stands badly is *marked down*: it is ranked as if its
margin, counted up to enough, were `MARK` lower (a rule of this program, stated in the answer).
"""

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.ground import keepout

MARK = 0.5
"""How much lower the margin of a marked-down rig counts (project choice)."""


def in_bight(corners: tuple[Array, Array, Array], spots: Array) -> bool:
    """Whether any of the spots (R, 2) lies inside the triangle of the corners, (2,) or (M, 2) each, for
    any of the M positions of the load. On the edge is outside: in line is another danger."""
    return any(bool(np.any(keepout.inside_angle(corners, spot))) for spot in spots)


def in_line(ends: tuple[Array, Array], spots: Array) -> bool:
    """Whether any of the spots (R, 2) lies in the lane of the part of line between the ends, (2,) or
    (M, 2) each, its recoil beyond both ends included, for any of the M positions of the load."""
    return any(bool(np.any(keepout.inside_lane(ends, spot))) for spot in spots)
