"""What a rope is rigged for: the data by which one search hauls, holds and lets down."""

from dataclasses import dataclass

from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.ground.scene import Scene


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
