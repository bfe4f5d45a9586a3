"""Whether the puller of a rig stands where a parted line or a load that runs back would reach it.

The same question as `keepout.faults`, answered yes or no for every position of the load at once: the
ranking asks it of every rig. A rig whose puller stands badly is *marked down*: it is ranked as if its
margin, counted up to enough, were `MARK` lower (a rule of this program, stated in the answer).
"""

import numpy as np
import numpy.typing as npt

from optimiser.keepout import LANE, recoil_length

Array = npt.NDArray[np.float64]
MARK = 0.5
"""How much lower the margin of a marked-down rig counts (project choice)."""
EDGE = 1e-9
"""m²: on the edge of a triangle is outside."""


def in_bight(corners: tuple[Array, Array, Array], spots: Array) -> bool:
    """Whether any of the spots (R, 2) lies inside the triangle of the corners, (2,) or (M, 2) each, for
    any of the M positions of the load. On the edge is outside: in line is another danger."""
    a, b, c = corners
    for spot in spots:
        one, two, three = _turn(a, b, spot), _turn(b, c, spot), _turn(c, a, spot)
        left = (one > EDGE) & (two > EDGE) & (three > EDGE)
        right = (one < -EDGE) & (two < -EDGE) & (three < -EDGE)
        if bool(np.any(left | right)):
            return True
    return False


def in_line(ends: tuple[Array, Array], spots: Array) -> bool:
    """Whether any of the spots (R, 2) lies in the lane of the part of line between the ends, (2,) or
    (M, 2) each, its recoil beyond both ends included, for any of the M positions of the load."""
    a, b = ends
    way = b - a
    length = np.sqrt((way**2).sum(axis=-1))
    safe = np.maximum(length, 1e-6)
    reach = recoil_length(safe)
    for spot in spots:
        off = spot - a
        along = (off * way).sum(axis=-1) / safe
        aside = np.abs(off[..., 0] * way[..., 1] - off[..., 1] * way[..., 0]) / safe
        hit = (aside <= LANE + 1e-9) & (along >= -reach - 1e-9) & (along <= safe + reach + 1e-9)
        if bool(np.any(hit & (length >= 1e-6))):
            return True
    return False


def _turn(a: Array, b: Array, c: Array) -> Array:
    return np.asarray(
        (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1])
        - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
    )
