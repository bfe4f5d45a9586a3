"""Names of arrays, and the letters that stand for their axes everywhere.

n walks; m sheaves of a walk, so m + 1 parts of line and m + 2 nodes; S stations along the path; R spots of
the puller along its run; X = S x R states; P places at anchors, so P + 2 with the load (0) and the puller
(last); q combinations of ends of ranges; 3 for the coordinates x, y, z in metres.
"""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
"""Quantities in SI units."""
Mask = npt.NDArray[np.bool_]
"""What holds, and what does not."""
Numbers = npt.NDArray[np.int64]
"""Numbers of walks, places, stations or states."""
