"""A site's own frame: origin at the start of the path, x level along its first leg, z up.

Every site is brought into it once, when it is read. What follows sees the same numbers wherever the
surveyor put the origin and whichever way the axes point, so that a tie falls the same way: without it
the last digit of a length, which depends on the origin, would choose between two equal rigs.
"""

from dataclasses import dataclass
from math import hypot

Vec = tuple[float, float, float]

DECIMALS = 8
"""Lengths are kept to 10 nm. Coarser than the rounding errors of coordinates some kilometres from their
origin (1e-12 m), finer than anything that is measured or compared."""
WAY_DECIMALS = 12
"""The same for the components of a unit vector."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where the frame lies in the coordinates of the site file. `origin` [m]; `cos`, `sin`: of the angle
    from the file's x axis to the frame's."""

    origin: Vec
    cos: float
    sin: float

    @staticmethod
    def of(start: Vec, end: Vec) -> "Frame":
        """The frame of a path by the ends of its first leg, which is not plumb [m]."""
        x, y = end[0] - start[0], end[1] - start[1]
        length = hypot(x, y)
        return Frame(origin=start, cos=x / length, sin=y / length)

    def point(self, at: Vec) -> Vec:
        """A point of the file, in the frame [m]."""
        x, y, z = (a - o for a, o in zip(at, self.origin, strict=True))
        return _rounded((self.cos * x + self.sin * y, self.cos * y - self.sin * x, z), DECIMALS)

    def way(self, unit: Vec) -> Vec:
        """A direction of the file, in the frame."""
        x, y, z = unit
        x, y, z = _rounded(
            (self.cos * x + self.sin * y, self.cos * y - self.sin * x, z), WAY_DECIMALS
        )
        length = hypot(x, y, z)
        return (x / length, y / length, z / length)

    def in_file(self, at: Vec) -> Vec:
        """A point of the frame in the coordinates of the site file [m]: what people are shown."""
        x, y, z = at
        back = (self.cos * x - self.sin * y, self.sin * x + self.cos * y, z)
        return _rounded(tuple(b + o for b, o in zip(back, self.origin, strict=True)), DECIMALS)


def _rounded(vector: tuple[float, ...], decimals: int) -> Vec:
    x, y, z = (round(value, decimals) + 0.0 for value in vector)  # no minus before zero
    return (x, y, z)
