"""Defines what raising a load is answered with, as frozen values in SI at full precision."""

from dataclasses import dataclass

from optimiser.rig.setup import Caution


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerShare:
    """What a corner carries as the load stands, N: `least` and `most` that it can, and `even` with
    equal springs under all corners (below 0: it would lift off). `weighed`: as stated, or None.
    `raise_force`: what the bar has to lift there first, with the frame stiff."""

    name: str
    least: float
    even: float
    most: float
    weighed: float | None
    raise_force: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One layer of blocking under one corner.

    `force`: on the bar's tip, N; `hand`: at its end, N; both 0 where the corner hovers so high that
    the layer goes in without the bar. `bites` of the bar; `fulcrum`: force on its support, N.
    `stack`: height of the corner's blocking afterwards, m. `rests_on`: corners that carry the load
    while it is raised; `spare_tilt`: rad of further tilt it stands then and afterwards, at worst,
    `over`: the two corners over which it would tip.
    """

    number: int
    corner: str
    layer: int
    force: float
    hand: float
    bites: int
    fulcrum: float
    stack: float
    rests_on: tuple[str, ...]
    spare_tilt: float
    over: tuple[str, str]

    @property
    def by_bar(self) -> bool:
        return self.bites > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Levering:
    """How the load is raised. `steps` is empty where no order works; then `reasons` states why."""

    weight: float
    centre: tuple[float, float]
    corners: tuple[CornerShare, ...]
    steps: tuple[Step, ...]
    layers: int
    block: float
    raised: float
    hand_limit: float
    hand_source: str
    bar_ratio: float  # tip / hand
    bar_rating: float | None
    spare_wanted: float
    orders: int  # states of the stacks that were gone through
    reasons: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()

    @property
    def feasible(self) -> bool:
        return bool(self.steps)

    @property
    def hand(self) -> float:
        """Worst force of the hand, N."""
        return max((step.hand for step in self.steps), default=0.0)

    @property
    def force(self) -> float:
        """Worst force on the bar's tip, N."""
        return max((step.force for step in self.steps), default=0.0)

    @property
    def spare_tilt(self) -> float:
        """Least further tilt it stands at any moment, rad."""
        return min((step.spare_tilt for step in self.steps), default=0.0)

    @property
    def bites(self) -> int:
        return sum(step.bites for step in self.steps)

    @property
    def blocks(self) -> int:
        """Blocks that are needed, one a layer and corner; the fulcrum's own come on top."""
        return len(self.steps)

    @property
    def order(self) -> tuple[str, ...]:
        """The corners in the order in which they are raised."""
        return tuple(step.corner for step in self.steps)
