"""Defines a staged plan, as frozen values in SI units."""

from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.jobs.hold.results import NotHeld
from optimiser.mechanics.resting import Rest
from optimiser.rig.setup import Miss, PutTogether, Role, Setup
from optimiser.rig.status import Status
from optimiser.site.counts import PlanCount


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Between where and where a stage's rig could work with the pieces it has, m along the path,
    and what stops it before and beyond ("" at the path's own ends)."""

    from_m: float
    to_m: float
    before: str
    beyond: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One piece that changes its place between two stages, or one that keeps it (both the same).

    `role` as in `optimiser.rig.setup.Hung`; of an end of a rope the place is followed by ": " and the
    knot. "puller" and "hold" are about who pulls, and where the line takes hold of the load.
    `origin` None: it was not in use; `target` None: it is not needed any more.
    """

    item: str
    role: Role
    origin: str | None
    target: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What happens between one stage and the next.

    `rest`: what the load does with the line slack; `runs_back`, `runs_on`: force along the slope that
    keeps it from running back, or on downhill, N; both 0 where it rests by itself, and then `to_spare`
    is the force it would surely take to start it, N.
    `turns`: angle by which the load is turned on the spot, rad, where the change is at a bend.
    """

    at: float  # m along the path
    moves: tuple[Move, ...]
    stays: tuple[Move, ...]
    rest: Rest
    runs_back: float
    runs_on: float
    to_spare: float
    turns: float
    why_here: str  # why the stage before is not taken further


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """A part of the path, m along it, over which no chain of setups brings the load. `not_held`: a haul does
    get the load on from there, but why nothing that it leaves of the gear keeps it in hand."""

    from_m: float
    to_m: float
    misses: tuple[Miss, ...]
    not_held: tuple[NotHeld, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Setups that together cover the path, best by `order`; none where no chain covers it.

    `resets`: of all stages, and one for every change of stage. `proven`: no better plan exists with
    changes on whole `grain` metres and at the bends, among the walks the rules leave. `gap`: where
    no setup gets on, if that is why there is no plan; `needs_stages`: how many a plan needs where
    more stages are needed than were allowed. `compounds`: tackle on tackle was looked at in every
    stage; `compounds_left`: it was not, as there is too much of it to look at without a request;
    `put_together`: what joined or lengthened ropes bring in the weakest stage, where those of one piece do.
    """

    stages: tuple[Setup, ...]
    changes: tuple[Change, ...]
    reaches: tuple[Reach, ...]
    proven: bool
    order: tuple[PlanCount, ...]
    rules: tuple[str, ...]
    most_stages: int
    grain: float
    looked_at: int
    searches: int
    gap: Gap | None = None
    needs_stages: int | None = None
    kept: bool = False  # each stage has its second lines, as requested
    compounds: bool = False
    compounds_left: bool = False
    put_together: PutTogether | None = None

    @property
    def status(self) -> Status:
        """How far the plan is settled."""
        return Status.of(found=bool(self.stages), settled=self.proven)

    def __iter__(self) -> Iterator[Setup]:
        return iter(self.stages)

    def __len__(self) -> int:
        return len(self.stages)

    def __getitem__(self, index: int) -> Setup:
        return self.stages[index]

    @property
    def resets(self) -> int:
        """Of all stages, and one for every change of stage."""
        return sum(setup.resets for setup in self.stages) + max(len(self.stages) - 1, 0)

    @property
    def margin(self) -> float | None:
        """The least of all stages."""
        return min((setup.margin for setup in self.stages), default=None)

    @property
    def rope_needed(self) -> float | None:
        """The most of all stages, m."""
        return max((setup.rope_needed for setup in self.stages), default=None)
