"""What a rope is rigged for: the data by which one search hauls, holds and lets down."""

from dataclasses import dataclass
from enum import Enum

from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.ground.scene import Scene


class Duty(Enum):
    """What a rope does to the load.

    Hauling, a sheave passes on less than it gets and the ground drags with the most that it may; letting
    down, a sheave passes on more and the ground helps with the least. Of a rope that lets down bounds know
    its sheaves running free: whatever friction they have takes load off the end that is held, and puts it on
    the standing end.
    """

    HAUL = "haul"
    LOWER = "let down"


@dataclass(frozen=True, slots=True)
class Line:
    """A rope's duty. `hand`: what is asked of somebody who eases it round a trunk; `most_sheaves`: in the
    rope, None: as many as the site prefers."""

    duty: Duty = Duty.HAUL
    hand: HandLimit | None = None
    most_sheaves: int | None = None

    def by_hand(self, scene: Scene) -> bool:
        """Whether a hand behind turns round a trunk holds the rope's end in a scene. A puller that the rope
        is made fast to holds it by itself."""
        return self.duty is Duty.LOWER and not scene.puller.needs_termination


HAULING = Line()


def letting_down(hand: HandLimit, most_sheaves: int | None = None) -> Line:
    """A rope that lets the load down, or holds it."""
    return Line(Duty.LOWER, hand, most_sheaves)
