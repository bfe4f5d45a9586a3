"""Lists the inputs of a rig that do not stand in the site file as one number: what a puller pulls, how steep
the ground is, how a rope grips a trunk."""

from collections.abc import Iterator
from dataclasses import replace
from math import atan, hypot, tan
from typing import Any, cast

from optimiser.jobs.ranges.input_kinds import Input, InputKind, ways
from optimiser.mechanics.values import Vec
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.site.model import Anchor, Leg, Puller, Site
from optimiser.site.turned import rise
from shared.units import Dimension


def of_pull(site: Site, puller: Puller) -> Iterator[Input]:
    """What the puller can pull on the level in line with its run, whatever that was worked out from."""
    spread = ways()[InputKind.PULL].spread

    def at(value: float) -> Site:
        factor = value / puller.limit
        pullers = tuple(_weaker(p, factor) if p.name == puller.name else p for p in site.pullers)
        return replace(site, pullers=pullers)

    number = [p.name for p in site.pullers].index(puller.name)
    origin = site.origin
    assert origin is not None
    low, high = puller.limit * (1.0 - spread), puller.limit * (1.0 + spread)
    uncertain = [key for key in origin.ranges if key[:2] == ("puller", number) and key[-1] != "run"]
    if uncertain:
        limits = [end.pullers[number].limit for end in origin.ends]
        low, high = min(limits), max(limits)
    yield Input(
        kind=InputKind.PULL, name=f"pull of {puller.name}", key=f"puller[{puller.name}]",
        value=puller.limit, low=low, high=high, stated=bool(uncertain), worse=-1,
        dimension=Dimension.FORCE, at=at, bounds=(0.0, 1e8),
    )  # fmt: skip


def _weaker(puller: Puller, factor: float) -> Puller:
    traction = None if puller.traction is None else puller.traction * factor
    return replace(puller, limit=puller.limit * factor, traction=traction)


def of_turns(site: Site, setup: LoweringSetup) -> Iterator[Input]:
    """Friction of the rope round the trunk that it is held by."""
    grip = grip_of(setup.rope.gear)
    if grip is None:
        return
    yield Input(
        kind=InputKind.TURNS, name=f"friction of {setup.rope.name} round {setup.walk[-1].name}",
        key="", value=grip.low, low=grip.low, high=grip.high, stated=False, worse=-1,
        dimension=Dimension.RATIO, at=lambda _: site, bounds=(0.0, 1.0),
    )  # fmt: skip


def of_steepness(site: Site, setup: Setup | LoweringSetup) -> Iterator[Input]:
    """The slope of the steepest leg, with every rise of the site in the same proportion. Of a way down that
    is the steepest fall, whichever end the file begins with."""
    falls = isinstance(setup, LoweringSetup) and rise(site) < 0.0
    steepest = max(-_tangent(leg) if falls else _tangent(leg) for leg in site.legs)
    if steepest <= 0.0:
        return
    spread = ways()[InputKind.STEEPNESS].spread

    # Over a steeper crest the line may touch before anything is overloaded. That is looked at on its own:
    # where the setup lays nothing that it could run over there, something is taken to lie there.
    lays = any(contact.owned is not None for contact in setup.contacts)
    legs = tuple(replace(leg, edge_protected=True) for leg in site.legs)
    smooth = site if lays else replace(site, legs=legs)
    taken = "" if lays else " (edges protected)"

    def at(slope: float) -> Site:
        return stretched(smooth, tan(slope) / steepest)

    slope = atan(steepest)
    yield Input(
        kind=InputKind.STEEPNESS, key="path",
        name=f"slope of the steepest leg, all rises in proportion{taken}",
        value=slope, low=slope * (1.0 - spread), high=slope * (1.0 + spread), stated=False, worse=+1,
        dimension=Dimension.ANGLE, at=at, bounds=(0.0, 1.25),
    )  # fmt: skip


def _tangent(leg: Leg) -> float:
    going = hypot(leg.end[0] - leg.start[0], leg.end[1] - leg.start[1])
    return (leg.end[2] - leg.start[2]) / going


def _as_read(leg: Leg, read_on: Leg) -> Leg:
    """A leg of another slope, where a pull was read on `read_on`: of all weights and resistances that
    agree with the reading, the heaviest load with the least resistance, or the lightest with the most."""
    if leg.moved == 1.0 and leg.saved is None:
        return leg
    slope = _tangent(leg)
    least, most = slope + read_on.saved_by_lift, slope + read_on.resistance
    return replace(leg, moved=max(leg.moved, least / most)) if most > 0.0 else leg


def stretched(site: Site, factor: float) -> Site:
    """The site with every height above the start of the path times `factor`: path, anchors, posts and
    pullers. What stands on the ground keeps its height above it."""
    ground = site.legs[0].start[2]

    def up(point: Vec) -> Vec:
        return (point[0], point[1], ground + factor * (point[2] - ground))

    def tilted(puller: Puller) -> Puller:
        x, y, z = puller.heading
        size = hypot(x, y, z * factor)
        heading = (x / size, y / size, z * factor / size)
        room = puller.room and puller.room.moved(tuple(map(up, puller.room.points)))
        return replace(puller, position=up(puller.position), heading=heading, room=room)

    return replace(
        site,
        legs=tuple(
            _as_read(replace(leg, start=up(leg.start), end=up(leg.end)), leg) for leg in site.legs
        ),
        anchors=tuple(
            cast(Anchor, replace(cast(Any, anchor), position=up(anchor.position)))
            for anchor in site.anchors
        ),
        obstacles=tuple(replace(post, position=up(post.position)) for post in site.obstacles),
        pullers=tuple(tilted(puller) for puller in site.pullers),
    )
