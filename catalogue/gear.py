"""Kinds of gear, as plain values in SI units.

Every kind carries `id`, `name`, and `source` (key into the list of sources). Ratings are working
load limits (WLL) in newtons; `None` means *unrated*: nothing is ever assumed in its place.
"""

from dataclasses import dataclass


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
    knottable: bool = True  # wire is not knotted


@dataclass(frozen=True, slots=True, kw_only=True)
class Block(Gear):
    """A block. `eta` is what one sheave passes on when hauling; `wll` is for the whole block."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain(Gear):
    """A length of chain with a hook or shackle at the end."""

    grade: str
    size: float  # m, nominal link diameter
    length: float  # m
    wll: float | None
    choker_factor: float
    basket_factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Hook(Gear):
    """A hook or a rated link that joins two pieces without a pin."""

    wll: float | None
    length: float
    throat: float  # m


@dataclass(frozen=True, slots=True, kw_only=True)
class Termination(Gear):
    """A knot, splice or fitting at a rope's end.

    `keeps`: share of the rope's strength kept. Rope eaten is `eats_diameters` * d + `eats`; a knot
    tied round a trunk (`round_trunk`) eats `trunk_turns` circumferences besides.
    """

    keeps: float
    eats_diameters: float
    eats: float  # m
    tied: bool  # tied on the spot by anyone; False: must be on the rope already
    direct: bool  # can be made on a hitch, ring or pin without a shackle
    round_trunk: bool = False  # can be made round a trunk without strap or shackle
    trunk_turns: float = 0.0
    joins_ropes: bool = False  # a bend: joins two ropes (and cannot pass a block)
    grips_rope: bool = False  # a hitch or grip that holds on another rope
    in_bight: bool = False  # can be tied in the middle of a rope, with both its ends in use
    for_wire: bool = False  # for wire rope only; False: for fibre rope only


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition(Gear):
    """How worn a piece is: `keeps` is the share of its rating it is trusted with."""

    keeps: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing(Gear):
    """How a sheave turns on its pin. `eta`: share of the pull one sheave passes on when hauling,
    the same for every sheave of a tackle (a geometric loss, not 10 % of the load per sheave)."""

    eta: float


AnyGear = Rope | Block | Shackle | Strap | Chain | Hook
