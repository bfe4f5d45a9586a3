"""What a search looks for in one scene, and how much of it was looked at: shared by whatever works on it."""

from dataclasses import dataclass, field

from optimiser.mechanics.arrays import Mask
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.search.board import Board
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.partial import Bound
from optimiser.search.stopwatch import Stopwatch


@dataclass
class Tally:
    """How much was looked at, and how long that took: "evaluate" is exact forces and the bounds from
    them, "fill" the giving out of gear; both are parts of "search" and "proof"."""

    looked_at: int = 0
    evaluated: int = 0
    confirmed: int = 0
    solver_calls: int = 0
    watch: Stopwatch = field(default_factory=Stopwatch)

    def count_solver(self) -> None:
        self.solver_calls += 1


@dataclass(frozen=True, eq=False)
class Sought:
    """The best rigs of one scene by an order, as far as they come onto the board."""

    tables: Tables
    board: Board
    order: Order
    tally: Tally

    @property
    def scene(self) -> Scene:
        return self.tables.scene

    @property
    def kit(self) -> Kit:
        return self.tables.kit

    @property
    def floor(self) -> float:
        """Least margin."""
        return self.tables.floor

    def keep(self, bound: Bound) -> Mask:
        """Which may still come onto the board."""
        return bound.hopeful(self.order, self.board.limit, self.floor)
