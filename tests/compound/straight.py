"""A level site in one line, so long that all parts of line are as good as parallel."""

from catalogue.ground import Motion
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import AnchorStrength
from optimiser.site.anchors import RatedAnchor
from optimiser.site.model import Anchor, AnchorKind, Hitch, Leg, Load, Preferences, Puller, Site

LONG = 2000.0
"""m from the path to the first anchor."""


def _ring(name: str, x: float) -> Anchor:
    strength = AnchorStrength(capacity=1e6, unit="N", factors=(), governs="stated")
    return RatedAnchor(
        name=name, position=(x, 0.0, 0.0), kind=AnchorKind.RING, heights=(0.5,), girth=None,
        strength=strength, radius=0.0, top=0.0,
    )  # fmt: skip


def in_line() -> Site:
    """The load is hauled along x for 10 m; two rings stand 2 km and 4 km ahead of it, people beyond."""
    leg = Leg(
        start=(0.0, 0.0, 0.0), end=(10.0, 0.0, 0.0), surface="made up", motion=Motion.ROLLING,
        resistance=0.1, resistance_low=0.05, edge_protected=True,
    )  # fmt: skip
    load = Load(
        name="load", weight=10_000.0, wheel_radius=0.3, axle_share=0.5, overhang=0.5, length=2.0,
        hitches=(Hitch(name="eye", ahead=0.5, left=0.0, height=0.5, rating=1e6),),
    )  # fmt: skip
    people = Puller(
        name="people", kind=PulledBy.PEOPLE, position=(2.0 * LONG + 50.0, 0.0, 0.0), height=0.5,
        heading=(1.0, 0.0, 0.0), run=20.0, purchase=None, limit=1e6, limit_factors=(),
        hitch_rating=None, hitch_eye=None, needs_termination=False,
    )  # fmt: skip
    return Site(
        title="in line",
        legs=(leg,),
        load=load,
        anchors=(_ring("first", LONG), _ring("second", 2.0 * LONG)),
        obstacles=(),
        pullers=(people,),
        gear=(),
        preferences=Preferences(),
    )
