"""What letting down is answered with, as frozen values in SI at full precision."""

from collections.abc import Iterator
from dataclasses import dataclass

from optimiser.results import Caution, Component, Hung
from optimiser.rig import Walk, notation
from optimiser.site.model import Owned, Puller


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch of the path on which the load does one thing on its way down.

    `kind`: "runs" (it runs away unless it is held), "rests" (it stays until it is pushed) or
    "climbs" (the way down rises here: it has to be hauled). `from_m` is its upper end, both as
    metres along the path from its lower start. `force`: what holds it without a rig, N, at worst;
    `push`: what starts it, N, at worst; on a stretch that runs it may need that push where the
    ground drags more than surely.
    """

    kind: str
    from_m: float
    to_m: float
    force: float
    push: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldRow:
    """The load at one place of the path, on its way down.

    `runs`: N along the ground; `push`: N that starts it; `line`: worst tension at the held end, N;
    `control`: the same with the sheaves as they are rated, which help, N; `hand`: behind the turns,
    N (None where a puller holds).
    """

    at: float
    slope: float
    surface: str
    runs: float
    push: float
    line: float
    control: float
    hand: float | None
    ground_reaction: float
    side_pull: float
    rope_out: float  # m between the standing end and where it is held


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
    rope: Owned
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

    @property
    def reeving(self) -> str:
        """The walk in one line, with the turns."""
        turns = f" x {self.turns} turns" if self.turns else ""
        return f"{notation(self.walk)}{turns}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lowering:
    """How a load is let down its path.

    `setups`: ways that do the whole of it with one reeving, best first; where there is none,
    `stages` is the plan with the fewest stages, each from where the one before ends. `zones`: from
    the top down. `proven`: the search finished, so nothing better exists in the stated space.
    `stuck_at`: how far down any plan gets, m along the path, where nothing gets all the way.
    """

    setups: tuple[LoweringSetup, ...]
    stages: tuple[LoweringSetup, ...]
    zones: tuple[Zone, ...]
    from_m: float
    to_m: float
    hand_limit: float
    hand_source: str
    hand_comfort: float
    order: tuple[str, ...]
    rules: tuple[str, ...]
    most_sheaves: int
    proven: bool
    space: int
    looked_at: int
    confirmed: int
    stuck_at: float | None = None
    reasons: tuple[str, ...] = ()

    @property
    def needs_hold(self) -> bool:
        """Whether the load runs by itself anywhere."""
        return any(zone.kind == "runs" for zone in self.zones)

    @property
    def feasible(self) -> bool:
        """Whether the way down is answered: held all along, or nothing needs holding."""
        return (
            not self.needs_hold or bool(self.setups) or bool(self.stages and self.stuck_at is None)
        )

    def __iter__(self) -> Iterator[LoweringSetup]:
        return iter(self.setups)

    def __len__(self) -> int:
        return len(self.setups)

    def __getitem__(self, index: int) -> LoweringSetup:
        return self.setups[index]
