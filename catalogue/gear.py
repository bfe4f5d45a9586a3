"""Kinds of gear, as plain values in SI units.

Every kind carries `id`, `name`, and `source` (key into the list of sources). Ratings are working
load limits (WLL) in newtons; `None` means *unrated*: nothing is ever assumed in its place.
"""

from dataclasses import dataclass
from enum import Enum


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear:
    """What every piece of gear has.

    `value_sources`: (field, source key) for values that do not come from `source`.
    """

    id: str
    name: str
    source: str
    note: str = ""
    value_sources: tuple[tuple[str, str], ...] = ()

    def source_of(self, field: str) -> str:
        """Key of the source of one field's value."""
        return dict(self.value_sources).get(field, self.source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rope(Gear):
    """A rope by the metre. `mbs`: new dry minimum breaking strength, N, before any knot."""

    material: str
    diameter: float
    mbs: float | None
    design_factor: float
    wll: float | None = None  # a stated rating; never exceeded whatever mbs / design_factor gives
    stretch_at_break: float  # fraction
    mass_per_metre: float  # kg/m
    least_bend_ratio: float  # sheave D / rope d below which it must not run
    knottable: bool = True  # wire is not knotted, nor is HMPE

    @property
    def slippery(self) -> bool:
        """Fibre on which nothing is trusted to grip, and that takes a splice rather than a knot."""
        return any(word in self.material.casefold() for word in ("hmpe", "hmwpe"))

    @property
    def is_wire(self) -> bool:
        """Whether what is made for wire goes on it."""
        return not self.knottable and not self.slippery


@dataclass(frozen=True, slots=True, kw_only=True)
class Block(Gear):
    """A block. `eta` is what one sheave passes on when hauling; `wll` is for the whole block.

    `eta_most`: the high end, where that is given as a range; `eta` is then its low end, and each sheave
    may have any value between them.
    """

    sheaves: int
    opens: bool  # a snatch block
    rope_least: float  # m, rope diameter it takes
    rope_most: float  # m
    sheave_diameter: float  # m, at the bottom of the groove
    wll: float | None
    bearing: str
    eta: float
    length: float  # m, from the bearing point of its eye to the rope
    eye: float | None  # m, clear eye for a shackle pin; None: it has a hook and needs no shackle
    becket: bool = False
    eta_most: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shackle(Gear):
    """A bow shackle."""

    bow_diameter: float  # m
    pin_diameter: float  # m
    jaw: float  # m, clear width between the ears
    length: float  # m, pin to crown, inside
    wll: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Strap(Gear):
    """A web or round sling used as tree strap; `wll` is the vertical (straight) rating."""

    length: float  # m, bearing to bearing
    width: float  # m
    wll: float | None
    choker_factor: float
    basket_factor: float  # with parallel legs
    length_most: float | None = None  # m, where the length is a range: `length` is its low end


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain(Gear):
    """A length of chain with a hook or shackle at the end."""

    grade: str
    size: float  # m, nominal link diameter
    length: float  # m
    wll: float | None
    choker_factor: float
    basket_factor: float
    length_most: float | None = None  # m, as for a strap


@dataclass(frozen=True, slots=True, kw_only=True)
class Hook(Gear):
    """A hook or a rated link that joins two pieces without a pin."""

    wll: float | None
    length: float
    throat: float  # m


class MadeTo(Enum):
    """What a termination holds on."""

    EYE = "eye"  # a closed eye or ring, nothing between
    SHACKLE = "shackle"  # a shackle's bow or pin, or another pin that is put through it
    BAR = "bar"
    TRUNK = "trunk"  # a trunk or post
    ROPE = "rope"  # another rope, anywhere along it
    ROPE_END = "rope end"  # the end of another rope
    HOOK = "hook"
    BECKET = "becket"


class Needs(Enum):
    """What of its own rope a termination is made with."""

    FREE_END = "free end"  # a bare end
    BIGHT = "bight"  # any part of the rope, whatever is on its ends
    FITTED = "fitted"  # it is on the rope already


@dataclass(frozen=True, slots=True, kw_only=True)
class Termination(Gear):
    """A knot, splice or fitting at a rope's end.

    `keeps`: share of the rope's strength kept. Rope eaten is `eats_diameters` * d + `eats`, and round a
    trunk `turns` circumferences besides. The trunk must be `least_trunk` rope diameters thick at least.
    `turns`: round whatever it is made to; the rope lies side by side in an eye as often, rounded up.
    `besides`: what it takes that is no part of the rope, in words.
    """

    keeps: float
    eats_diameters: float
    eats: float  # m
    made_to: frozenset[MadeTo]
    needs: Needs
    turns: float = 0.0
    least_trunk: float = 0.0  # trunk diameter / rope diameter
    besides: str = ""
    for_wire: bool = False  # for wire rope only; False: for fibre rope only

    @property
    def tied(self) -> bool:
        """Made on the spot; False: it must be on the rope already."""
        return self.needs is not Needs.FITTED

    @property
    def joins_ropes(self) -> bool:
        """A bend: joins two ropes (and cannot pass a block)."""
        return MadeTo.ROPE_END in self.made_to

    @property
    def grips_rope(self) -> bool:
        """A hitch or grip that holds on another rope."""
        return MadeTo.ROPE in self.made_to

    @property
    def ends_rope(self) -> bool:
        """Whether it makes an end fast to something that is no rope."""
        return not (self.joins_ropes or self.grips_rope)

    @property
    def in_bight(self) -> bool:
        """A loop that can be tied in the middle of a rope, with both its ends in use."""
        return self.needs is Needs.BIGHT and self.ends_rope

    @property
    def stays_on(self) -> bool:
        """Whether it can be on a rope's end before the job: a fitting, or a loop that is tied already."""
        lasting = not self.tied or bool(self.besides) or MadeTo.HOOK in self.made_to
        return self.ends_rope and lasting

    @property
    def made_to_when_on_rope(self) -> frozenset[MadeTo]:
        """What it holds on where it is on the rope already: a loop that is closed takes a pin or a
        hook, but goes through no closed eye and round no trunk."""
        if self.needs is Needs.FITTED:
            return self.made_to
        return self.made_to & {MadeTo.SHACKLE, MadeTo.HOOK}


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition(Gear):
    """How worn a piece is: `keeps` is the share of its rating it is trusted with."""

    keeps: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing(Gear):
    """How a sheave turns on its pin. `eta`: share of the pull one sheave passes on when hauling,
    the same for every sheave of a tackle (a geometric loss, not 10 % of the load per sheave)."""

    eta: float


HELD_SOMEHOW = "stake or tie it so that it can neither roll, slide nor travel with the rope"
"""How an edge protector is kept in place, where nobody says better."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Protector(Gear):
    """What is laid where a rope runs over an edge, so that the edge and the rope do not wear each other.

    `surface`: what the rope runs on, one of `catalogue.edges.surfaces`; `fixing`: how it is kept in place,
    in words.
    """

    surface: str
    clearance: float  # m from the ground to the rope on it
    bend_radius: float  # m, the radius over which it bends the rope
    length: float  # m, across the rope
    covers: float  # m of ground along the rope
    made: bool = False  # cut or put together on the spot, not bought
    fixing: str = HELD_SOMEHOW
    friction: tuple[float, float] | None = (
        None  # of the owner's rope on it, low and high, as measured
    )
    wll: float | None = None  # nobody rates one; nothing hangs on it


AnyGear = Rope | Block | Shackle | Strap | Chain | Hook | Protector
