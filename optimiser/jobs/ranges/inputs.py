"""Lists the inputs of a setup that may be wrong, each with a way to see the site at another value.

To add a kind of input: a function that yields `Input`s, and a line in `inputs_of`; and how it is
measured in `optimiser/jobs/ranges/data/measuring.toml`.
"""

import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.resources import files
from math import atan, hypot, tan
from typing import Any, cast

from catalogue.book import load_catalogue
from catalogue.gear import Block
from optimiser.mechanics.values import Vec
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.setup import LoweringSetup, Role, Setup
from optimiser.site.lines import Key
from optimiser.site.model import Anchor, Leg, Origin, Puller, Site
from optimiser.site.turned import rise
from shared.units import Dimension


class InputKind(StrEnum):
    """What may be wrong; the words of `data/measuring.toml`. Those of the ground are the fields of a leg."""

    WEIGHT = "weight"
    RESISTANCE = "resistance"
    APPARENT = "apparent"
    BREAKOUT = "breakout"
    STEEPNESS = "steepness"
    PULL = "pull"
    EFFICIENCY = "efficiency"
    THICKNESS = "thickness"
    TURNS = "turns"


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One uncertain input of a setup. `value` SI; `low`, `high`: between what ends it may well lie;
    `stated`: True where the site file gives these ends as a range. `worse`: +1 where more of it is
    worse, -1 where less is; `at`: the site with it at another value (ValueError where there is none).
    `bounds`: between which values it makes sense at all."""

    kind: InputKind
    name: str
    key: str
    value: float
    low: float
    high: float
    stated: bool
    worse: int
    dimension: Dimension
    at: Callable[[float], Site]
    bounds: tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """How far off a kind of input commonly is (share of its value), and how to measure it."""

    name: str
    spread: float
    how: str
    source: str


@cache
def ways() -> Mapping[str, Way]:
    """By kind of input."""
    text = (
        files("optimiser.jobs.ranges").joinpath("data/measuring.toml").read_text(encoding="utf-8")
    )
    return {kind: Way(**entry) for kind, entry in tomllib.loads(text).items()}


def inputs_of(site: Site, setup: Setup) -> tuple[Input, ...]:
    """Every input of a setup that may be wrong, in the order of the file. Empty for a site that was
    made by hand: what cannot be made again cannot be varied."""
    origin = site.origin
    if origin is None:
        return ()
    return (
        *_weight(origin, site),
        *_ground(origin, site, HAULED),
        *_steepness(site, setup),
        *_trees(origin, {place.name for place in setup.nodes} | {setup.puller.anchor}),
        *_pull(site, setup.puller),
        *_sheaves(origin, site, setup),
    )


def inputs_of_way_down(site: Site, setup: LoweringSetup) -> tuple[Input, ...]:
    """Every input of a way down that may be wrong. `site`: with the path as its file has it. Empty for a site
    that was made by hand."""
    origin = site.origin
    if origin is None:
        return ()
    holder = setup.holder
    anchor = None if holder is None else holder.anchor
    return (
        *_weight(origin, site),
        *_ground(origin, site, LET_DOWN),
        *_steepness(site, setup),
        *_trees(origin, {place.name for place in setup.walk} | {anchor}),
        *(_turns(site, setup) if holder is None else _pull(site, holder)),
        *_sheaves(origin, site, setup),
    )


def _weight(origin: Origin, site: Site) -> Iterator[Input]:
    keys: list[Key] = [("load", "weight")]
    yield _from_file(
        origin, InputKind.WEIGHT, "weight of the load", keys, site.load.weight, +1, Dimension.WEIGHT,
        (0.0, 1e8),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _OfGround:
    """What of a leg counts: its key in the file, the field of `Leg` that is planned with, in words, whether
    more of it is worse, and between which values it makes sense."""

    key: str
    kind: InputKind
    field: str
    words: str
    worse: int
    bounds: tuple[float, float]


RESISTANCE = _OfGround(
    "resistance", InputKind.RESISTANCE, "resistance", "resistance of {}", +1, (0.0, 10.0)
)
APPARENT = _OfGround(
    "apparent_weight", InputKind.APPARENT, "apparent", "share of the weight that rests on {}", +1,
    (0.0, 10.0),
)  # fmt: skip
BREAKOUT = _OfGround(
    "breakout", InputKind.BREAKOUT, "breakout", "break-out from {}", +1, (1.0, 100.0)
)
HAULED = (RESISTANCE, APPARENT, BREAKOUT)
LET_DOWN = (replace(RESISTANCE, field="resistance_low", worse=-1), APPARENT)
"""Letting down the ground helps, with the least that it surely has; what holds a load fast helps too."""


def _ground(origin: Origin, site: Site, looked: tuple[_OfGround, ...]) -> Iterator[Input]:
    """Legs of the same surface and value are one input: whoever misjudges one misjudges all."""
    for one in looked:
        drags = one.kind is InputKind.RESISTANCE
        groups: dict[tuple[str, float], list[int]] = {}
        for number, leg in enumerate(site.legs):
            if drags or origin.at(("path", "leg", number, one.key)) is not None:
                groups.setdefault((leg.surface, getattr(leg, one.field)), []).append(number)
        for (surface, value), legs in groups.items():
            keys: list[Key] = [("path", "leg", number, one.key) for number in legs]
            known = _published(origin, site.legs[legs[0]], legs[0]) if drags else None
            name = one.words.format(surface if len(groups) > 1 or not drags else "the ground")
            yield _from_file(
                origin, one.kind, name, keys, value, one.worse, Dimension.RATIO, one.bounds,
                published=known,
            )  # fmt: skip


def _published(origin: Origin, leg: Leg, number: int) -> tuple[float, float] | None:
    """Ends of the catalogue's range for a surface whose resistance the file does not give."""
    part = origin.at(("path", "leg", number))
    if part.resistance is not None or part.surface is None:
        return None
    surface = next(s for s in load_catalogue().surfaces.values() if s.name == leg.surface)
    return surface.low, surface.high


def _trees(origin: Origin, used: Collection[str | None]) -> Iterator[Input]:
    for number, tree in enumerate(origin.document.tree):
        if tree.name not in used:
            continue
        field = "girth" if tree.diameter is None else "diameter"
        quantity = getattr(tree, field)
        word = "girth" if field == "girth" else "thickness"
        yield _from_file(
            origin, InputKind.THICKNESS, f"{word} of {tree.name}", [("tree", number, field)],
            quantity.at(origin.corner), -1, Dimension.LENGTH, (0.0, 4.0),
        )  # fmt: skip


def _sheaves(origin: Origin, site: Site, setup: Setup | LoweringSetup) -> Iterator[Input]:
    used = {hung.item for hung in setup.gear if hung.role is Role.BLOCK}
    for number, piece in enumerate(origin.document.gear):
        owned = next((p for p in site.gear if p.name == piece.label), None)
        if owned is None or owned.name not in used or not isinstance(owned.gear, Block):
            continue
        yield _from_file(
            origin, InputKind.EFFICIENCY, f"efficiency of the sheaves of {owned.name}",
            [("gear", number, "efficiency")], owned.gear.eta, -1, Dimension.RATIO, (0.05, 1.0),
        )  # fmt: skip


def _from_file(
    origin: Origin,
    kind: InputKind,
    name: str,
    keys: list[Key],
    value: float,
    worse: int,
    dimension: Dimension,
    bounds: tuple[float, float],
    published: tuple[float, float] | None = None,
) -> Input:
    """An input that stands in the file, once or several times with the same value."""
    quantity = origin.ranges.get(keys[0])
    spread = ways()[kind].spread
    low, high = published or (value * (1.0 - spread), value * (1.0 + spread))
    if quantity is not None:
        low, high = quantity.interval.low, quantity.interval.high
    return Input(
        kind=kind, name=name, key=origin.label(keys[0]), value=value,
        low=max(low, bounds[0]), high=min(high, bounds[1]), stated=quantity is not None, worse=worse,
        dimension=dimension, at=lambda x: origin.site(dict.fromkeys(keys, x)), bounds=bounds,
    )  # fmt: skip


# ---- what does not stand in the file as one number --------------------------------------------------


def _pull(site: Site, puller: Puller) -> Iterator[Input]:
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
        ends = [origin.site({}, corner).pullers[number].limit for corner in ("worst", "best")]
        low, high = min(ends), max(ends)
    yield Input(
        kind=InputKind.PULL, name=f"pull of {puller.name}", key=f"puller[{puller.name}]",
        value=puller.limit, low=low, high=high, stated=bool(uncertain), worse=-1,
        dimension=Dimension.FORCE, at=at, bounds=(0.0, 1e8),
    )  # fmt: skip


def _weaker(puller: Puller, factor: float) -> Puller:
    traction = None if puller.traction is None else puller.traction * factor
    return replace(puller, limit=puller.limit * factor, traction=traction)


def _turns(site: Site, setup: LoweringSetup) -> Iterator[Input]:
    """Friction of the rope round the trunk that it is held by."""
    grip = grip_of(setup.rope.gear)
    if grip is None:
        return
    yield Input(
        kind=InputKind.TURNS, name=f"friction of {setup.rope.name} round {setup.walk[-1].name}",
        key="", value=grip.low, low=grip.low, high=grip.high, stated=False, worse=-1,
        dimension=Dimension.RATIO, at=lambda _: site, bounds=(0.0, 1.0),
    )  # fmt: skip


def _steepness(site: Site, setup: Setup | LoweringSetup) -> Iterator[Input]:
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
