"""The kinds of anchor: a living tree, and anything that bears a force, stated or worked out.

To add a kind: one class with the members of `optimiser.site.model.Anchor`, and one document model.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist, pi

from optimiser.mechanics.anchor import shared
from optimiser.mechanics.published import number
from optimiser.mechanics.values import AnchorStrength, Factor, Vec
from optimiser.site.model import AnchorKind, Directions, Making, Sling

JOINS = " & "
"""Between the names of the two trees in that of both together."""
CLOSE = 0.05
"""m between the faces of two trunks at least."""
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
    sling = None
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
    sling = None

    @property
    def least_radius(self) -> float:
        return self.radius

    @property
    def ties_round(self) -> bool:
        """Only round a post of known girth."""
        return self.girth is not None and self.kind.is_trunk

    def lever(self, height: float) -> float:
        return 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedAnchor:
    """Two trees with a sling between them on which a shackle runs. Lines are tabulated to the middle between
    the fastenings, from which the shackle hangs about as far out whichever way it is pulled; where it comes
    to rest is worked out for each rig. `strength`: the pull, N, under which either tree carries what it
    stands, with the tighter leg on it."""

    name: str
    position: Vec  # on the ground half way between the trees
    heights: tuple[float, ...]
    sling: Sling
    strength: AnchorStrength

    kind = AnchorKind.SHARED
    girth = None
    eye = None
    radius = 0.0
    least_radius = 0.0
    top = 0.0
    horizontal_only = False
    ties_round = False
    directions = None
    making = None
    uses = ()

    def lever(self, height: float) -> float:
        return 1.0


def shared_anchor(
    one: Tree, other: Tree, *, height: float | None = None, angle: float | None = None
) -> SharedAnchor | str:
    """Two trees as one anchor, or why they cannot share. `height`: of the sling on both, m, None: as low as
    a strap may go on both; `angle`: between its legs with the shackle in the middle, rad, None: as usual."""
    low, high = max(min(t.heights) for t in (one, other)), min(max(t.heights) for t in (one, other))
    if low > high + 1e-9:
        return "no height is allowed for a strap on both"
    up = low if height is None else height
    if not low - 1e-9 <= up <= high + 1e-9:
        return f"a sling {up:g} m up: straps may go from {low:g} to {high:g} m on both"
    (ax, ay, az), (bx, by, bz) = one.position, other.position
    ties = (ax, ay, az + up), (bx, by, bz + up)
    apart = dist(*ties)
    if apart < one.radius + other.radius + CLOSE:
        return "they stand too close to each other for a sling between them"
    wide = number("shared", "angle").value if angle is None else angle
    rubs = number("shared", "friction")
    sling = Sling(
        trees=(one.name, other.name),
        ties=ties,
        legs=shared.legs_for(apart=apart, angle=wide),
        angle=wide,
        tighter=shared.tighter_share(angle=wide, friction=rubs.value),
        levers=(one.lever(up), other.lever(up)),
    )
    return SharedAnchor(
        name=f"{one.name}{JOINS}{other.name}",
        position=((ax + bx) / 2.0, (ay + by) / 2.0, (az + bz) / 2.0),
        heights=(up,),
        sling=sling,
        strength=_together((one, other), sling, rubs.source),
    )


def _together(trees: Sequence[Tree], sling: Sling, source: str) -> AnchorStrength:
    """The pull, N, under which the weaker of two trees carries what it stands; None where one has no
    strength."""
    each = [tree.strength.capacity for tree in trees]
    known = [c for c in each if c is not None]
    capacity = None
    if len(known) == len(each):
        pulls = [c / lever / sling.tighter for c, lever in zip(known, sling.levers, strict=True)]
        capacity = min(pulls)
    return AnchorStrength(
        capacity=capacity,
        unit="N",
        factors=(
            Factor(
                name="tighter leg over the pull, at most",
                value=sling.tighter,
                unit="",
                source=source,
            ),
        ),
        governs="the weaker tree with the tighter leg on it",
    )
