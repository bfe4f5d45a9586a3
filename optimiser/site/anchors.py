"""The kinds of anchor: a living tree, and anything that bears a force, stated or worked out.

To add a kind: one class with the members of `optimiser.site.model.Anchor`, and one document model.
"""

from dataclasses import dataclass
from math import pi

from optimiser.mechanics.values import AnchorStrength, Vec
from optimiser.site.model import AnchorKind, Directions, Making

LEAST_LEVER = 0.3
"""m added to a strap's height: a pull at the ground line would else be held by anything, and the
tree-pulling tests behind the coefficients pulled at mid stem (project choice, not published)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """A sound single-stemmed living tree."""

    name: str
    position: Vec
    diameter: float  # m at the ground end of the stem, outside bark; of a range the thick end
    species: str
    heights: tuple[float, ...]
    strength: AnchorStrength
    top: float  # m
    least_diameter: float | None = None  # m, the thin end of a range

    kind = AnchorKind.TREE
    horizontal_only = True
    ties_round = True
    eye = None
    directions = None
    making = None
    uses = ()

    @property
    def girth(self) -> float:
        return pi * self.diameter

    @property
    def radius(self) -> float:
        return self.diameter / 2

    @property
    def least_radius(self) -> float:
        return self.radius if self.least_diameter is None else self.least_diameter / 2

    def lever(self, height: float) -> float:
        return height + LEAST_LEVER


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedAnchor:
    """A boulder, buried log, picket holdfast, parked vehicle: what bears a force, stated or worked out."""

    name: str
    position: Vec
    kind: AnchorKind
    heights: tuple[float, ...]
    girth: float | None
    strength: AnchorStrength
    radius: float
    top: float
    eye: float | None = None  # m, clear width for a pin; None: a strap goes round, or any pin fits
    directions: Directions | None = None
    making: Making | None = None
    uses: tuple[tuple[str, int], ...] = ()

    horizontal_only = False

    @property
    def least_radius(self) -> float:
        return self.radius

    @property
    def ties_round(self) -> bool:
        """Only round a post of known girth."""
        return self.girth is not None and self.kind.is_trunk

    def lever(self, height: float) -> float:
        return 1.0
