"""A site file with every point of it moved: turned about the plumb line, then shifted."""

import re
from dataclasses import dataclass
from math import cos, degrees, sin

from optimiser.mechanics.values import Vec
from shared.units import Dimension
from shared.written import parse

_QUANTITY = r'"[^"]*"'
_POINTS = re.compile(r"^(?:start|to|at|towards|row|spots|track|area)\s*=\s*\[.*$", re.M)
_POINT = re.compile(rf"\[({_QUANTITY}), ({_QUANTITY}), ({_QUANTITY})\]")
_HEADING = re.compile(r'^heading(\s*=\s*)"([^"]*)"', re.M)


@dataclass(frozen=True)
class Move:
    """Turned by `angle` [rad] about the origin, then shifted [m]."""

    angle: float = 0.0
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def file(self, text: str) -> str:
        """The TOML text with its points and headings in other coordinates."""
        moved, points = _POINTS.subn(lambda line: _POINT.sub(self._point, line[0]), text)
        assert points >= 3, "a path and something beside it"
        return _HEADING.sub(self._heading, moved)

    def point(self, at: Vec) -> Vec:
        """Where a point comes to lie."""
        (x, y, z), (dx, dy, dz) = at, self.shift
        c, s = cos(self.angle), sin(self.angle)
        return (c * x - s * y + dx, s * x + c * y + dy, z + dz)

    def _point(self, found: re.Match[str]) -> str:
        x, y, z = (_metres(found[k]) for k in (1, 2, 3))
        result = ", ".join(f'"{value:.13f} m"' for value in self.point((x, y, z)))
        return f"[{result}]"

    def _heading(self, found: re.Match[str]) -> str:
        turned = degrees(parse(found[2], Dimension.ANGLE).low + self.angle)
        return f'heading{found[1]}"{turned:.12f} deg"'


def _metres(quoted: str) -> float:
    return parse(quoted.strip('"'), Dimension.LENGTH).low
