"""Defines what the program answers, as frozen values: setups, their pieces, and rankings of them.

Everything is SI at full precision; rounding and units of the answer belong to whoever prints it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from catalogue.gear import Protector, Rope
from optimiser.mechanics.resting import LEVEL, Rest
from optimiser.mechanics.values import Factor
from optimiser.rig.status import Status, Unsearched
from optimiser.rig.walk import Guide, PlaceKind, Walk, notation
from optimiser.rig.where_it_stands import Standing
from optimiser.site.counts import Count
from optimiser.site.model import Making, Owned, Puller, Site
from shared import notebook
from shared.words import counted

LINES = " + "
"""Between the walks of two ropes in a reeving's notation."""


SLING = "sling, "
"""How a sling between two trees hangs, before its knots."""


class Role(StrEnum):
    """What a thing does in a rig."""

    STRAP = "strap"
    PROTECTOR = "edge protector"
    LEG = "bridle leg"
    SHACKLE = "shackle"
    HOOK = "hook"
    BLOCK = "block"
    EXTENSION = "extension"  # a strap or chain between a rope's standing end and its place
    BEND = "bend"  # a knot that joins two ropes
    END = "end"  # a knot or splice at the end of a rope, or the hands that hold it
    TIE = "tie"  # a knot round a trunk
    GRIP = "grip"  # what holds a second rope's tackle on the first
    TURNS = "turns"  # round turns on a trunk, eased out by hand
    # In no list of gear, but loaded like what is:
    ROPE = "rope"
    SHEAVE = "rope over a sheave"
    ANCHOR = "anchor"
    HITCH = "hitch of the load"
    PULLER = "puller"
    PULLER_HITCH = "hitch of the puller"
    HOLDER = "holder"  # the hand behind the turns, or the puller that pays the rope out
    HOLD = "hold"  # where the line takes hold of the load


class Way(StrEnum):
    """What a second line keeps a load from: running back the way it came, or on downhill, by itself; or
    slewing aside under the haul."""

    BACK = "back"
    ON = "on"
    ASIDE = "aside"


PIECES = (
    Role.PROTECTOR,
    Role.STRAP,
    Role.LEG,
    Role.SHACKLE,
    Role.HOOK,
    Role.BLOCK,
    Role.EXTENSION,
)
"""Roles of pieces by themselves; the other ones of a list of gear are what is done with a rope."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """One owned piece, or one end of a rope, at one place of the rig.

    `node`: the positions in the walk it serves (0 is the standing end). `how`: hitch or knot in words.
    """

    place: str
    role: Role
    item: str
    how: str
    nodes: tuple[int, ...]

    @property
    def slung(self) -> bool:
        """Whether it is a sling between two trees."""
        return self.role is Role.STRAP and self.how.startswith(SLING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One thing that is loaded: worst demand (times the dynamic factor), where, and what it stands.

    `at` is the distance along the path at which the worst comes, m. `capacity` None: unrated.
    `unit` is "N" or "N·m".
    """

    role: Role
    name: str
    item: str
    place: str
    demand: float
    at: float
    capacity: float | None
    unit: str
    factors: tuple[Factor, ...]
    note: str = ""

    @property
    def rating(self) -> float:
        """The capacity of a part that has one. Raises ValueError for an unrated part."""
        if self.capacity is None:
            raise ValueError(f"{self.name} has no rating")
        return self.capacity

    @property
    def utilisation(self) -> float | None:
        """Demand / capacity; None where there is no rating."""
        return None if self.capacity is None else self.demand / self.capacity

    @property
    def margin(self) -> float:
        """Capacity / demand; infinite where nothing pulls or no rating is known."""
        if self.capacity is None or self.demand <= 0.0:
            return float("inf")
        return self.capacity / self.demand


@dataclass(frozen=True, slots=True, kw_only=True)
class IfStands:
    """What a part without a rating would have to stand for the answer to hold, the margin wanted included.
    `item`, `place`: as of the component; `what`: the part in words; `unit` is "N" or "N·m"."""

    item: str
    place: str
    what: str
    force: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StationRow:
    """The state of the haul with the load at one station of the path."""

    at: float  # m along the path
    slope: float  # rad
    surface: str
    pull: float  # N at the hauling end
    ground_reaction: float  # N
    side_pull: float  # sideways / forward, positive to the left
    advantage: float  # actual: forward pull on the load / pull
    ideal_advantage: float
    runs_back: float  # N along the slope to keep it when the line goes slack; 0: it rests by itself
    runs_on: float = 0.0  # the same where it is downhill ahead
    rest: Rest = Rest.RESTS  # what the load does there when let go of
    steer: float = 0.0  # N in the steering line that keeps the side pull to its limit


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldRow:
    """The load at one place of the path, on its way down.

    `rest`: what it does there when let go of; `runs`: N along the ground that it is held with, 0 where it
    rests; `push`: N that starts it; `line`: worst tension at the held end, N;
    `control`: the same with the sheaves as they are rated, which help, N; `hand`: behind the turns,
    N (None where a puller holds).
    """

    at: float
    slope: float
    surface: str
    rest: Rest
    runs: float
    push: float
    line: float
    control: float
    hand: float | None
    ground_reaction: float
    side_pull: float
    rope_out: float  # m between the standing end and where it is held

    @property
    def climbs(self) -> bool:
        """Whether the way down rises here, so that the load has to be hauled."""
        return self.slope < -LEVEL


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A caution a setup's own numbers call for, or one that always holds. `source` is a key. `short`: the
    same in few words, of one that always holds; "" where there are none."""

    key: str
    text: str
    source: str
    always: bool = False
    short: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One rope of a setup: its walk, the efficiencies of its sheaves, and how much it takes, m."""

    walk: Walk
    rope: Owned[Rope]
    etas: tuple[float, ...]
    rope_needed: float
    gained: float = 1.0  # tension at its hauling end / pull of the puller


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Where a part of the rope runs over an edge, with the load anywhere on the stretch.

    `part`: of the rope, from the standing end, the first is 1; `from_m` to `to_m` along the path and
    `left_from` to `left_to` m to the left of it: where it touches. `angle`: by which it turns there at
    most, rad; `friction`: the coefficient that is planned with; `force`: what it presses with at worst,
    N; `shift`: what pulls level at worst on what lies there, N; `protector`: the name of what lies
    there, `owned`: as a piece of the gear (None: it lies there already). `load_from` to `load_to` m
    along the path: where the load is while it touches; None: not known.
    """

    part: int
    from_m: float
    to_m: float
    left_from: float
    left_to: float
    angle: float
    friction: float
    force: float
    protector: str
    owned: Owned[Protector] | None = None
    shift: float = 0.0
    load_from: float | None = None
    load_to: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Slung:
    """A sling between two trees that share a pull. `how`: its knots; `height` m up on both; `legs`: both
    together, m; `angle`: between them with the shackle in the middle, `angle_least`, `angle_most`: with it
    at rest, rad; `pull`: on both trees at worst, N, with the dynamic factor as all of these; `even`: the most
    in each leg where both carry the same; `tighter`: in the tighter one; `alone`: what each tree stands over
    the whole pull, None where that is not known."""

    trees: tuple[str, str]
    rope: str
    how: str
    height: float
    legs: float
    angle: float
    angle_least: float
    angle_most: float
    pull: float
    even: float
    tighter: float
    alone: tuple[float | None, float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToMake:
    """One anchor that a rig takes and somebody has to make. `way`: which way in plan it has to face, rad from
    the x axis of the site's frame, None: any way; `faces`: the same in words; `spread`: how far the pulls on
    it lead to either side of that, rad; `rise`: the steepest, rad above level."""

    anchor: str
    making: Making
    way: float | None
    faces: str
    spread: float
    rise: float
    slung: Slung | None = None  # two trees, between which a sling is tied


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldingLine:
    """A second line on the load that keeps it in hand over a stretch, from what the haul leaves of the
    gear. It does not make the haul's margin any better.

    `way`: BACK where the load would run back (the line is taken in as it comes up), ON where it
    would run on downhill (the line is eased), ASIDE where the haul alone would slew it (the line is
    tended so that it goes straight; the pull of the haul is that with this line's part against it). The
    rope's last place in `walk` is the trunk with `turns` round turns, and a hand behind them.
    """

    way: Way
    from_m: float  # m along the path
    to_m: float
    walk: Walk
    turns: int
    rope: Owned[Rope]
    attachment: str
    force: float  # N that keeps the load, worst: along the ground, or across it where it slews
    line: float  # N, worst tension in front of the turns
    hand: float  # N, worst behind them
    hand_limit: float
    margin: float
    weakest: str
    rope_needed: float
    taken: float  # m of rope taken in, or eased out, over the stretch
    gear: tuple[Hung, ...]
    components: tuple[
        Component, ...
    ]  # anchors and hitches: of what the haul leaves of their strength
    profile: tuple[HoldRow, ...] = ()  # its states, `at` along the path as it is hauled
    rest: Rest = Rest.RUNS  # what the load does there at worst when let go of
    contacts: tuple[Contact, ...] = ()  # where it runs over edges
    made: tuple[ToMake, ...] = ()  # anchors that have to be made first


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """One way to haul over a stretch of the path, with the gear that hangs where.

    Tackle on tackle has a second rope (`compound`): `walk`, `rope` and `etas` are then of the main
    one, which ends at the grip; pull, parts, advantages, rope and resets are of the whole. Nodes in
    `gear` count on through the ropes (`nodes`).
    """

    rank: int
    walk: Walk
    from_m: float
    to_m: float
    rope: Owned[Rope]
    attachment: str  # hitch of the load, or the two hitches of a bridle
    puller: Puller
    etas: tuple[float, ...]  # of the sheaves in the order of the walk
    parts: int
    ideal_advantage: float  # at the station of the worst pull
    actual_advantage: float
    pull: float  # N, worst along the stretch
    pull_at: float  # m
    margin: float
    weakest: str
    unrated: tuple[str, ...]  # names of pieces without a rating; empty: the setup is fully rated
    rope_needed: float
    rope_owned: float
    hauled: float  # m of rope the puller takes in
    strokes: int
    resets: int
    gear: tuple[Hung, ...]
    components: tuple[Component, ...]
    profile: tuple[StationRow, ...]
    cautions: tuple[Caution, ...]
    stops: tuple[
        float, ...
    ] = ()  # m along the path, of each reset (`optimiser.rig.forces.travel.stroke_ends`)
    marked_down: bool = False  # its puller stands badly: ranked as if the margin were lower
    alike: tuple[Walk, ...] = ()  # the same but for interchangeable anchors
    margin_worst: float | None = None  # over all ends of the site's ranges; None: not looked at
    margin_best: float | None = None  # with every range at its better end
    within: tuple[float, float] | None = None  # share of samples within every rating, and its error

    second: Line | None = None  # the rope whose tackle is made fast to the main one
    main_rope: float = 0.0  # m of the main rope where there is a second, else 0
    main_gained: float = 1.0  # tension of the main rope at the grip / pull
    if_stands: tuple[IfStands, ...] = ()  # what each part without a rating would have to stand
    holding: tuple[HoldingLine, ...] = ()  # in the order of their stretches
    moved: tuple[float, ...] = ()  # m along the path, of the stops at which the grip is moved back
    gripped: tuple[float, ...] = ()  # m of the main rope up to the grip, before and after each move
    steered: Guide | None = None  # how its steering line leads, where it would slew without one
    contacts: tuple[Contact, ...] = ()  # where the rope runs over edges
    made: tuple[ToMake, ...] = ()  # anchors that have to be made first, its second lines' too
    standing: Standing | None = None  # where its puller stands, where that was left to the search
    site: Site | None = field(default=None, compare=False, repr=False)
    """What it was found for, where somebody may want to see it drawn; no part of the answer."""

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every rope, the main one first."""
        needed = self.rope_needed if self.second is None else self.main_rope
        main = Line(
            walk=self.walk, rope=self.rope, etas=self.etas, rope_needed=needed,
            gained=self.main_gained,
        )  # fmt: skip
        return (main,) if self.second is None else (main, self.second)

    @property
    def courses(self) -> tuple[Walk, ...]:
        """The walks as they lie on the ground: a second rope's parts between the grip and its anchor
        lie along the main one, which so leads on to that anchor."""
        if self.second is None:
            return (self.walk,)
        below = self.second.walk
        first = max(i for i, place in enumerate(below) if place.kind is PlaceKind.GRIP) + 1
        return (*self.walk[:-1], below[first]), (self.walk[-2], *below[first:])

    @property
    def nodes(self) -> Walk:
        """The places of all ropes one after the other, as `gear` counts them."""
        return tuple(place for line in self.lines for place in line.walk)

    @property
    def reeving(self) -> str:
        return LINES.join(notation(line.walk) for line in self.lines)

    def _repr_html_(self) -> str:
        """For notebooks."""
        return notebook.html(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class LoweringSetup:
    """One way to let the load down over a stretch of the path, from `from_m` down to `to_m`.

    The rope's last place in `walk` is where it is held: a trunk with `turns` round turns and a hand
    behind them, or the puller `holder`, which pays it out (then `turns` is 0).
    """

    rank: int
    walk: Walk
    turns: int
    holder: Puller | None
    from_m: float
    to_m: float
    rope: Owned[Rope]
    attachment: str
    etas: tuple[float, ...]
    parts: int
    friction: float  # round the trunk, as reckoned with; 0 where a puller holds
    ratio: float  # line / hand
    line: float  # N, worst tension at the held end
    line_at: float
    hand: float  # N, worst behind the turns; 0 where a puller holds
    hand_least: float  # N at the same place if the turns grip as well as they may
    hand_limit: float
    hand_source: str
    margin: float
    weakest: str
    unrated: tuple[str, ...]
    rope_needed: float
    rope_owned: float
    paid_out: float  # m of rope from top to bottom
    strokes: int
    resets: int
    heat: float  # J that go into rope and bark at the turns
    dynamic: float
    gear: tuple[Hung, ...]
    components: tuple[Component, ...]
    profile: tuple[HoldRow, ...]  # from the top down
    cautions: tuple[Caution, ...]
    if_stands: tuple[IfStands, ...] = ()  # what each part without a rating would have to stand
    contacts: tuple[Contact, ...] = ()  # where the rope runs over edges
    made: tuple[ToMake, ...] = ()  # anchors that have to be made first
    margin_worst: float | None = None  # over all ends of the site's ranges; None: not looked at
    margin_best: float | None = None  # at the better ends; infinite where the load rests there
    standing: Standing | None = None  # where its holder stands, where that was left to the search

    @property
    def reeving(self) -> str:
        """The walk in one line, with the turns."""
        turns = f" x {counted(self.turns, 'turn')}" if self.turns else ""
        return f"{notation(self.walk)}{turns}"


AnyRig = Setup | LoweringSetup | HoldingLine
"""Whatever has gear that hangs along the walk of a rope."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """The smallest single change that cures a failure: `amount` in `unit`, in words in `text`."""

    text: str
    amount: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """A rig that nearly works: what stops it, by how much, and the change that would cure it."""

    walk: Walk  # () where it concerns every rig
    limit: str  # kind of limit that stops it
    text: str
    short_by: float  # need / have, 1 at the limit
    change: Change


@dataclass(frozen=True, slots=True)
class PutTogether:
    """Ropes that are joined or lengthened bring more margin than what is listed: so much at least; None: it
    was not settled whether they do."""

    margin: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """The ranked setups. `proven`: the search finished, so no better setup exists in the stated space.
    `unsearched`: where it did not finish, what could still come; None where that is not known."""

    setups: tuple[Setup, ...]
    proven: bool
    order: tuple[Count, ...]
    rules: tuple[str, ...]
    space: int  # walks in the space under the rules
    looked_at: int
    confirmed: int
    timings: tuple[tuple[str, float], ...] = ()  # s by what was done (`optimiser.search.stopwatch`)
    misses: tuple[Miss, ...] = field(default=())
    compounds: int | None = (
        None  # pairs of walks of tackle on tackle in the space; None: not searched
    )
    compounds_left: bool = False  # there is some, but too much of it to look at without a request
    put_together: PutTogether | None = None  # of ropes, where those listed are of one piece
    not_held: int | None = None  # left out for want of a holding line; None: not requested
    unsearched: Unsearched | None = None
    left_out: int = 0  # setups that work at the planned ends of the ranges, but not at all ends
    listed: int | None = None  # setups in the list where only one was requested; None: all are here

    @property
    def many(self) -> int:
        """Setups in the list."""
        return len(self.setups) if self.listed is None else self.listed

    @property
    def status(self) -> Status:
        """How far the list is settled."""
        return Status.of(found=self.many > 0, settled=self.proven)

    def __iter__(self) -> Iterator[Setup]:
        return iter(self.setups)

    def __len__(self) -> int:
        return len(self.setups)

    def __getitem__(self, index: int) -> Setup:
        return self.setups[index]

    def _repr_html_(self) -> str:
        """For notebooks."""
        return notebook.html(self)


def names(items: Sequence[str]) -> str:
    """Words joined as in speech."""
    if len(items) < 2:
        return "".join(items)
    return ", ".join(items[:-1]) + " and " + items[-1]
