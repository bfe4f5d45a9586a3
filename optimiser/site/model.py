"""The site as plain, frozen values in SI units, every name resolved and every guess at one end.

Nothing here knows of files: `reading` makes a `Site` from a document, and everything else works on it.
Coordinates are metres: x and y in plan, z up. A site that was read stands in a frame of its own
(`optimiser.site.frame`); `Site.frame` leads back to the coordinates of its file.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeGuard

from catalogue.book import load_catalogue
from catalogue.gear import (
    AnyGear,
    Chain,
    Condition,
    MadeTo,
    Protector,
    Rope,
    Strap,
    Termination,
)
from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import AnchorStrength, Factor, Vec
from optimiser.site.counts import USUAL, Count
from optimiser.site.frame import Frame
from optimiser.site.lever import LeverJob
from optimiser.site.roaming.rooms import Body, Room, Stand

if (
    TYPE_CHECKING
):  # at run time the package of the document would be taken in, which needs this module
    from optimiser.site.document.quantity import Corner, Quantity
    from optimiser.site.lines import Key
    from optimiser.site.measured.outcome import Outcome

if TYPE_CHECKING:  # only from Python 3.13 on does `typing` know type variables with a default
    from typing_extensions import TypeVar

    Kind = TypeVar("Kind", bound=AnyGear, default=AnyGear, covariant=True)
else:
    from typing import TypeVar

    Kind = TypeVar("Kind", covariant=True)
One = TypeVar("One", bound=AnyGear)

BREAKOUT_REACH = 1.0
"""m from a leg's start over which its break-out factor holds (the job's own definition)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A straight piece of the path. `apparent`, `breakout`: factors on the weight (the latter over the
    first metre only); `step`: height of a lip at the leg's start that wheels must climb, m. `moved`,
    `saved`: of a leg on which a pull was read (`optimiser.site.pulled`)."""

    start: Vec
    end: Vec
    surface: str
    motion: Motion
    resistance: float
    resistance_low: float  # the least that may be counted on to hold the load
    apparent: float = 1.0
    breakout: float = 1.0
    step: float = 0.0
    resistance_least: float | None = None  # low end of the file's own range; None: no range
    edge_protected: bool = False  # a roller, log or hose lies where a line would touch ground
    protector: Protector | None = None  # what lies there, where the file states it
    moved: float = (
        1.0  # factor on the weight in what it takes to move the load, not in what holds it
    )
    saved: float | None = (
        None  # of the resistance, what a line that lifts surely saves; None: all of it
    )

    @property
    def saved_by_lift(self) -> float:
        """Resistance that a line which lifts the load surely saves."""
        return self.resistance if self.saved is None else min(self.saved, self.resistance)

    @property
    def laid(self) -> Protector | None:
        """What lies on its ground for lines to run over; None: nothing."""
        if not self.edge_protected:
            return None
        return self.protector or load_catalogue().laid_already


@dataclass(frozen=True, slots=True, kw_only=True)
class Fixture:
    """What a rope's end is made fast to. `width`: clear width of an eye, thickness of a trunk, m; None:
    not known, or it does not matter. `girth`: what one turn round a trunk takes, m."""

    kind: MadeTo
    width: float | None = None
    girth: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hitch:
    """A point of the load a line may be made fast to, relative to the load's reference point.

    The reference point is what the path is the path of. `ahead` in the direction of travel, `left`
    across it, `height` plumb above the ground. `eye`: clear hole for a pin, None if anything fits.
    `kind`: what it is; where nobody states it, only what holds on an eye is made fast to it.
    """

    name: str
    ahead: float
    left: float
    height: float
    rating: float | None
    eye: float | None = None
    kind: MadeTo = MadeTo.EYE

    @property
    def fixture(self) -> Fixture:
        """What a rope's end is made fast to."""
        return Fixture(kind=self.kind, width=self.eye)


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What is hauled. `wheel_radius` None: it slides (skids, sledge, its own belly).

    `overhang`: how far the load reaches ahead of its reference point. `axle_share`: largest share of
    the weight on one axle (what has to climb a step). `may_bridle`: hitch points may be joined by
    two legs to one ring. `lightest`: what it can be lightened to, N; None: it cannot be.
    """

    name: str
    weight: float
    wheel_radius: float | None
    axle_share: float
    overhang: float
    length: float
    width: float = 1.0
    hitches: tuple[Hitch, ...]
    may_bridle: bool = False
    bridle_leg: float = 1.5  # m, length of a bridle leg when one is rigged
    lightest: float | None = None


class AnchorKind(StrEnum):
    """What an anchor is; a site file's own words."""

    TREE = "tree"
    BOULDER = "boulder"
    BURIED_LOG = "buried log"
    PICKET_HOLDFAST = "picket holdfast"
    PARKED_VEHICLE = "parked vehicle"
    RING = "ring"
    POST = "post"
    STUMP = "stump"
    SHARED = "two trees"
    OTHER = "other"

    @property
    def is_trunk(self) -> bool:
        """Whether a rope may be tied or eased straight round it: it would saw on a boulder's edges, and
        cannot be led round what is buried or parked."""
        return self in (AnchorKind.TREE, AnchorKind.POST)

    @property
    def is_set_down(self) -> bool:
        """Whether people put it where they want it."""
        return self in (
            AnchorKind.PARKED_VEHICLE, AnchorKind.PICKET_HOLDFAST, AnchorKind.BURIED_LOG
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Directions:
    """Which pulls an anchor stands. `up`: steepest above level, rad; `aside`: furthest either way of the one
    line in plan that it is made or stands for, rad, None: any way. That line is laid out by the pulls."""

    up: float
    aside: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """How an anchor is made. `pieces`: how many of what; `minutes`: two people's; `steps`: in their order."""

    pieces: tuple[tuple[int, str], ...]
    minutes: float
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sling:
    """How a sling hangs between two trees. `trees`: their names; `ties`: where it is made fast, at the middle
    of each trunk, m; `legs`: both legs together, m; `angle`: between them with the shackle in the middle,
    rad; `tighter`: the most that one leg may carry over the pull; `levers`: of each tree, m."""

    trees: tuple[str, str]
    ties: tuple[Vec, Vec]
    legs: float
    angle: float
    tighter: float
    levers: tuple[float, float]


class Anchor(Protocol):
    """Something a strap, chain or shackle can be made fast to. A new kind of anchor is a class with
    these members (see `optimiser.site.anchors`) and an entry in the document's anchor models."""

    @property
    def name(self) -> str: ...
    @property
    def position(self) -> Vec: ...
    @property
    def heights(self) -> tuple[float, ...]: ...
    @property
    def girth(self) -> float | None:
        """Circumference a strap must go round, m; None: it has an eye, no strap is needed."""

    @property
    def eye(self) -> float | None:
        """Clear width for a pin where it has an eye (no girth), m; None: any pin fits."""

    @property
    def radius(self) -> float:
        """Half-width as an obstacle to a line, m; where the thickness is a range, at its thick end."""

    @property
    def least_radius(self) -> float:
        """The same at its thin end."""

    @property
    def top(self) -> float:
        """Height above its ground up to which it stands in a line's way, m."""

    @property
    def strength(self) -> AnchorStrength: ...
    def lever(self, height: float) -> float:
        """What a force at `height` is multiplied with to compare it with the strength: m, or 1."""

    @property
    def horizontal_only(self) -> bool:
        """True where only the horizontal part of a pull counts against the strength."""

    @property
    def kind(self) -> AnchorKind: ...
    @property
    def ties_round(self) -> bool:
        """True where a rope may be tied, or eased with turns, straight round it (a trunk)."""

    @property
    def directions(self) -> Directions | None:
        """Which pulls it stands; None: all."""

    @property
    def making(self) -> Making | None:
        """How it is made; None: it stands there."""

    @property
    def sling(self) -> Sling | None:
        """How a sling hangs between two trees, where it is these together; None: it is one thing."""

    @property
    def uses(self) -> tuple[tuple[str, int], ...]:
        """What of the site's stock it takes if it is used, and how much; empty: it stands there anyway."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A post no line may run through: upright cylinder."""

    name: str
    position: Vec
    radius: float
    top: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Puller:
    """What pulls the hauling line.

    It stands at `position` at the near end of its run (the line is made fast `height` above it) and
    goes `run` metres along the unit vector `heading` for one stroke. A hand winch is made fast to the
    anchor `anchor` instead: then run is 0, `purchase` is what it hauls in one go, and its pull comes
    on that anchor too. One that has a `room` may stand anywhere in it (`optimiser.site.roaming.stands`):
    each stand is a value of its own; the site's own is the first. `limit` is the greatest pull in the line
    on level ground in line with the run.
    """

    name: str
    kind: PulledBy
    position: Vec
    height: float
    heading: Vec
    run: float
    purchase: float | None
    limit: float
    limit_factors: tuple[Factor, ...]
    hitch_rating: float | None
    hitch_eye: float | None
    needs_termination: bool  # False: hands hold the bare rope
    weight: float | None = None  # N, whole vehicle; for slope under it
    driven_weight: float | None = None  # N
    traction: float | None = None
    angle_limit: float = 0.349  # rad between the line and the run, in plan
    rise_limit: float = 0.349  # rad of the line above or below the run
    anchor: str | None = None
    dynamic: float = 1.0  # demand on everything but the puller itself is multiplied by this
    hitch_kind: MadeTo = MadeTo.EYE  # of a vehicle
    room: Room | None = None  # where it may stand, if that is left to the search
    stand: Stand | None = None  # which of the stands in its room this is
    body: Body | None = None  # what it takes of the ground, if it may choose where to stand

    @property
    def fixture(self) -> Fixture | None:
        """What the hauling end is made fast to; None: hands hold the rope. A hand winch has a hook,
        unless the file gives the width of an eye."""
        if not self.needs_termination:
            return None
        if self.has_hook and self.hitch_eye is None:
            return Fixture(kind=MadeTo.HOOK)
        return Fixture(kind=self.hitch_kind, width=self.hitch_eye)

    @property
    def has_hook(self) -> bool:
        """A hand winch has a hook at its line's end: no shackle is needed there."""
        return self.purchase is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned(Generic[Kind]):
    """Some equal pieces of gear of one kind, `Owned[Rope]` where it is known to be rope. `keeps`:
    condition factor on the rating.

    For ropes `length` and `ends` apply; a rope has count 1 (several equal ropes are several entries).
    """

    name: str  # the owner's name for it, unique in the site
    gear: Kind
    count: int
    condition: Condition
    length: float | None = None
    ends: tuple[Termination | None, Termination | None] = (None, None)  # None: a bare end
    unrated: bool = False  # the owner states that there is no rating to go by
    price: float | None = None  # set on pieces that would have to be bought
    joined: "Joined | None" = (
        None  # set on a rope that is put together (`optimiser.rig.gear.joined`)
    )

    @property
    def parts(self) -> "tuple[Owned, ...]":
        """The piece, or the two that it is put together of."""
        return (self,) if self.joined is None else (self.joined.first, self.joined.second)


def is_of(piece: Owned, kind: type[One]) -> TypeGuard[Owned[One]]:
    """Whether the piece is of that kind of gear."""
    return isinstance(piece.gear, kind)


def is_strap(piece: Owned) -> TypeGuard[Owned[Strap | Chain]]:
    """Whether the piece is what goes round a trunk."""
    return isinstance(piece.gear, Strap | Chain)


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """What a rope is put together of: `first` at the standing end, a rope or a strap or chain that
    lengthens it; `second`, the rope that is hauled on; `bend`, the knot that joins two ropes."""

    first: Owned[Rope | Strap | Chain]
    second: Owned[Rope]
    bend: Termination | None


class Trip(StrEnum):
    """One trip of a load: hauled along the path from its start to its end, or let down from the higher end to
    the lower."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferences:
    """What the owner wants of the answer. `rules` are the names of the rules that are on; `trips`: those that
    the load makes, in their order."""

    margin_wanted: float = 1.0
    enough: float = 2.0
    order: tuple[Count, ...] = USUAL
    units: str = "metric"
    side_pull_rolling: float = 0.27  # sideways / forward pull
    side_pull_sliding: float = 0.47
    clearance: float = 0.05  # m a line stays above ground, and off trunks that it passes
    ground_known_within: float = (
        2.0  # m to either side of the path over which its profile is the ground's
    )
    rope_spare: float = 1.0  # m kept in hand at the puller
    knots: tuple[Termination, ...] = ()
    most_sheaves: int = 6
    rules: frozenset[str] = frozenset()
    currency: str = ""
    station_spacing: float = 0.25
    trips: tuple[Trip, ...] = (Trip.UP,)
    resistance_counted_on: float = (
        0.5  # share of the least that keeps the load (mechanics/data/hold.toml)
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """An uncertain input: its key in the site file and its ends in SI (worst for the haul first).
    `either`: either end may be the worse, and both are planned for."""

    key: str
    worst: float
    best: float
    stated: float
    dimension: str
    either: bool = False


class Origin(Protocol):
    """What a site was made of: it can be made again with other values."""

    @property
    def document(self) -> Any:
        """The document (`optimiser.site.document`)."""

    @property
    def corner(self) -> "Corner":
        """The end at which the guesses of the document were taken."""

    @property
    def ranges(self) -> "Mapping[Key, Quantity]":
        """Every quantity of the haul that is given as a range."""

    @property
    def ends(self) -> "tuple[Site, Site]":
        """The site with every range at its worse, and at its better end."""

    def site(self, values: "Mapping[Key, float]", corner: "Corner | None" = None) -> "Site":
        """The site with some quantities at other values [SI], the rest at `corner`."""

    def moved(self, at: "Mapping[str, Vec]") -> "Site":
        """The site with its measured places elsewhere: coordinates of the file [m] by name."""

    def at(self, key: "Key") -> Any:
        """What the document has at a key."""

    def label(self, key: "Key") -> str:
        """The key as it is written for people."""

    def stated(self, key: "Key") -> "Quantity | None":
        """The quantity at a key; None where there is none."""

    def has(self, key: "Key") -> bool:
        """Whether the file has something at a key."""

    @property
    def pulls(self) -> Any:
        """What the pulls that were read came to (`optimiser.site.pulled`); None: none was."""

    def before_pulls(self) -> "Site | None":
        """The site by its file alone, as if no pull had been read; None where none was."""

    def line(self, key: "Key") -> int | None:
        """The line of a key in the file, or of the closest thing around it that has one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Everything the program knows about one job."""

    title: str
    legs: tuple[Leg, ...]
    load: Load
    anchors: tuple[Anchor, ...]
    obstacles: tuple[Obstacle, ...]
    pullers: tuple[Puller, ...]
    gear: tuple[Owned, ...]
    preferences: Preferences
    stock: tuple[tuple[str, int], ...] = ()  # what anchors may be made of, and of room for them
    guesses: tuple[Guess, ...] = field(default=())
    lever: LeverJob | None = None
    origin: Origin | None = field(default=None, compare=False, repr=False)  # None: made by hand
    frame: Frame | None = field(default=None, compare=False, repr=False)  # None: made by hand
    file: str = field(default="", compare=False, repr=False)  # that it was read from; "" for none
    surveyed: "Outcome | None" = field(default=None, compare=False, repr=False)
    """What the readings came to, in the coordinates of the file; None: it has none."""

    @property
    def name(self) -> str:
        """What the job is called among others: its file, or its title."""
        return self.file or self.title

    @property
    def uncertain(self) -> bool:
        """Whether anything of the haul is given as a range, and where it stands is known."""
        return self.origin is not None and bool(self.origin.ranges)

    @property
    def standing(self) -> tuple[Anchor, ...]:
        """The anchors that stand there whether they are used or not."""
        return tuple(a for a in self.anchors if not a.uses and a.sling is None)

    @property
    def has_made(self) -> bool:
        """Whether any anchor stands some pulls only, has to be made first, or is two trees together."""
        return any(a.directions is not None or a.uses or a.sling is not None for a in self.anchors)

    @property
    def has_shared(self) -> bool:
        """Whether any two trees may share a pull by a sling."""
        return any(a.sling is not None for a in self.anchors)

    def anchor(self, name: str) -> Anchor:
        """The anchor of that name; KeyError where there is none."""
        for anchor in self.anchors:
            if anchor.name == name:
                return anchor
        raise KeyError(name)
