"""Reevings in space for the independent computations: spread anchors, a slope, lead blocks."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import AnchorStrength, Vec
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.walk import PlaceKind
from optimiser.site.anchors import RatedAnchor
from optimiser.site.model import AnchorKind, Hitch, Leg, Load, Preferences, Puller, Site

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class SampleRig:
    """A reeving: where the load's hitch is, which way it goes, and the places of the rope.

    `walk` from the standing end to the puller: "load", a key of `anchors`, or "puller" at its end.
    """

    name: str
    hitch: Vec
    along: Vec  # any length
    anchors: dict[str, Vec]  # where the rope turns or ends, m
    puller: Vec
    walk: tuple[str, ...]

    @property
    def direction(self) -> Array:
        """Unit vector of travel."""
        along = np.array(self.along, dtype=float)
        return np.asarray(along / np.linalg.norm(along), dtype=np.float64)


SLOPE = (1.0, 0.0, 0.35)
LOW = (0.0, 0.0, 0.4)
OAK, ASH, PINE = (14.0, 3.0, 5.9), (15.5, -3.5, 6.8), (12.0, 0.5, 4.9)
BIRCH, CAR = (3.0, 7.0, 1.2), (9.0, 13.0, 3.0)

SAMPLES = (
    SampleRig("straight pull", LOW, SLOPE, {}, (16.0, 1.0, 6.4), ("load", "puller")),
    SampleRig("change of direction", LOW, SLOPE, {"oak": OAK}, CAR, ("load", "oak", "puller")),
    SampleRig(
        "two parts, standing end on a second tree",
        LOW, SLOPE, {"oak": OAK}, (15.0, -2.0, 6.0), ("oak", "load", "puller"),
    ),
    SampleRig(
        "two parts to spread trees, lead block",
        LOW, SLOPE, {"oak": OAK, "ash": ASH}, CAR, ("ash", "load", "oak", "puller"),
    ),
    SampleRig(
        "three parts, standing end on the load",
        LOW, SLOPE, {"oak": OAK, "ash": ASH}, CAR, ("load", "ash", "load", "oak", "puller"),
    ),
    SampleRig(
        "three parts and a lead block low on the bank",
        LOW, SLOPE, {"oak": OAK, "ash": ASH, "birch": BIRCH}, (4.0, 20.0, 1.0),
        ("load", "ash", "load", "oak", "birch", "puller"),
    ),
    SampleRig(
        "four parts to three trees",
        LOW, SLOPE, {"oak": OAK, "ash": ASH, "pine": PINE}, CAR,
        ("pine", "load", "ash", "load", "oak", "puller"),
    ),
    SampleRig(
        "five parts to three trees",
        LOW, SLOPE, {"oak": OAK, "ash": ASH, "pine": PINE}, CAR,
        ("load", "pine", "load", "ash", "load", "oak", "puller"),
    ),
    SampleRig(
        "five parts, puller straight from the load",
        LOW, SLOPE, {"oak": OAK, "ash": ASH, "pine": PINE}, (15.0, 0.0, 6.0),
        ("pine", "load", "ash", "load", "puller"),
    ),
    SampleRig(
        "three parts across a steep slope",
        (1.0, -2.0, 0.9), (0.8, 0.5, 0.7), {"oak": (9.0, 5.5, 8.8), "ash": (11.0, 2.0, 8.2)},
        (3.0, 12.0, 6.0), ("load", "ash", "load", "oak", "puller"),
    ),
    SampleRig(
        "two turns between two trees before the load",
        LOW, SLOPE, {"oak": OAK, "ash": ASH}, (20.0, 8.0, 7.0),
        ("oak", "load", "ash", "oak", "puller"),
    ),
    SampleRig(
        "two parts on the level, trees wide apart",
        (0.0, 0.0, 0.3), (1.0, 0.0, 0.0), {"oak": (10.0, 6.0, 0.8), "ash": (10.0, -6.0, 1.5)},
        (-4.0, 15.0, 0.6), ("ash", "load", "oak", "puller"),
    ),
)  # fmt: skip

HITCH_HEIGHT = 0.3


def points(rig: SampleRig, hitch: Array) -> list[Array]:
    """Where the rope goes, node by node, with the load's hitch at `hitch`."""
    fixed = {"load": hitch, "puller": np.array(rig.puller)}
    fixed |= {name: np.array(where) for name, where in rig.anchors.items()}
    return [fixed[node] for node in rig.walk]


def evaluated(
    rig: SampleRig,
    *,
    hitch: Array,
    weight: float = 3000.0,
    resistance: float = 0.25,
    eta: float = 1.0,
) -> Evaluation:
    """The program's own evaluation of the rig: one walk; in state 0 the hitch is at `hitch`."""
    ground = np.array(hitch) - (0.0, 0.0, HITCH_HEIGHT)
    end = ground + rig.direction
    leg = Leg(
        start=(float(ground[0]), float(ground[1]), float(ground[2])),
        end=(float(end[0]), float(end[1]), float(end[2])),
        surface="sample",
        motion=Motion.SLIDING,
        resistance=resistance,
        resistance_low=resistance,
    )
    strength = AnchorStrength(capacity=None, unit="N", factors=(), governs="unrated")
    anchors = tuple(
        RatedAnchor(
            name=name,
            position=(x, y, z - 0.5),
            kind=AnchorKind.POST,
            heights=(0.5,),
            girth=None,
            strength=strength,
            radius=0.05,
            top=1.0,
        )
        for name, (x, y, z) in rig.anchors.items()
    )
    puller = Puller(
        name="puller",
        kind=PulledBy.PEOPLE,
        position=rig.puller,
        height=0.0,
        heading=(1.0, 0.0, 0.0),
        run=0.0,
        purchase=None,
        limit=1e5,
        limit_factors=(),
        hitch_rating=None,
        hitch_eye=None,
        needs_termination=False,
    )
    load = Load(
        name="load",
        weight=weight,
        wheel_radius=None,
        axle_share=1.0,
        overhang=0.0,
        length=1.0,
        hitches=(Hitch(name="nose", ahead=0.0, left=0.0, height=HITCH_HEIGHT, rating=None),),
    )
    site = Site(
        title=rig.name,
        legs=(leg,),
        load=load,
        anchors=anchors,
        obstacles=(),
        pullers=(puller,),
        gear=(),
        preferences=Preferences(),
    )
    scene = Scene(site, lay_stations(site), attachments(site)[0], puller)
    numbers = {"load": 0, "puller": scene.puller_number}
    numbers |= {
        place.name: i for i, place in enumerate(scene.places) if place.kind is PlaceKind.ANCHOR
    }
    walks = np.array([[numbers[node] for node in rig.walk]])
    return evaluate(scene, walks, np.full((1, walks.shape[1] - 2), eta))
