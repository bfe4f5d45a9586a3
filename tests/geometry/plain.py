"""A plain site to lay stations and lines on: a level leg along x, a slope of 3 : 4, two trees."""

from dataclasses import replace

from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import AnchorStrength, Vec
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from optimiser.site.anchors import Tree
from optimiser.site.model import Hitch, Leg, Load, Obstacle, Preferences, Puller, Site

STRENGTH = AnchorStrength(capacity=10_000.0, unit="N·m", factors=(), governs="made up")


def tree(name: str, at: Vec, *, heights: tuple[float, ...] = (1.0,), radius: float = 0.2) -> Tree:
    """A tree there."""
    return Tree(
        name=name, position=at, diameter=2.0 * radius, species="made up", heights=heights,
        strength=STRENGTH, top=12.0,
    )  # fmt: skip


def leg(start: Vec, end: Vec) -> Leg:
    """A leg that rolls with resistance 0.1, at the least 0.05."""
    return Leg(
        start=start, end=end, surface="made up", motion=Motion.ROLLING, resistance=0.1,
        resistance_low=0.05,
    )  # fmt: skip


LEVEL = leg((0.0, 0.0, 0.0), (6.0, 0.0, 0.0))
SLOPE = leg((6.0, 0.0, 0.0), (10.0, 0.0, 3.0))
HITCHES = (
    Hitch(name="left lug", ahead=0.9, left=0.4, height=0.5, rating=5000.0),
    Hitch(name="right lug", ahead=0.9, left=-0.4, height=0.5, rating=5000.0),
)
SITE = Site(
    title="plain",
    legs=(LEVEL, SLOPE),
    load=Load(
        name="cart", weight=2000.0, wheel_radius=0.25, axle_share=1.0, overhang=1.0, length=2.0,
        width=1.2, hitches=HITCHES,
    ),
    anchors=(tree("oak", (30.0, 5.0, 3.0)), tree("ash", (30.0, -5.0, 3.0))),
    obstacles=(),
    pullers=(
        Puller(
            name="tractor", kind=PulledBy.VEHICLE, position=(20.0, 12.0, 3.0), height=0.5,
            heading=(0.0, 1.0, 0.0), run=8.0, purchase=None, limit=4000.0, limit_factors=(),
            hitch_rating=10_000.0, hitch_eye=None, needs_termination=True,
        ),
    ),
    gear=(),
    preferences=Preferences(),
)  # fmt: skip


def scene(site: Site = SITE, hold: int = 0) -> Scene:
    """The scene of one way to take hold, with the first puller."""
    return Scene(site, lay_stations(site), attachments(site)[hold], site.pullers[0])


def with_post(at: Vec, *, radius: float = 0.2, top: float = 2.0, site: Site = SITE) -> Site:
    """The site with one obstacle."""
    post = Obstacle(name="post", position=at, radius=radius, top=top)
    return replace(site, obstacles=(post,))
