"""Lists the inputs of a setup that may be wrong, each with a way to see the site at another value."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from catalogue.book import load_catalogue
from catalogue.gear import Block
from optimiser.jobs.ranges.input_kinds import Input, InputKind, ways
from optimiser.jobs.ranges.worked_out import of_pull, of_steepness, of_turns
from optimiser.rig.setup import LoweringSetup, Role, Setup
from optimiser.site.lines import Key
from optimiser.site.model import Leg, Origin, Site
from shared.units import Dimension


def inputs_of(site: Site, setup: Setup) -> tuple[Input, ...]:
    """Every input of a setup that may be wrong, in the order of the file. Empty for a site that was
    made by hand: what cannot be made again cannot be varied."""
    origin = site.origin
    if origin is None:
        return ()
    return (
        *_weight(origin, site),
        *_ground(origin, site, HAULED),
        *of_steepness(site, setup),
        *_trees(origin, {place.name for place in setup.nodes} | {setup.puller.anchor}),
        *of_pull(site, setup.puller),
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
        *of_steepness(site, setup),
        *_trees(origin, {place.name for place in setup.walk} | {anchor}),
        *(of_turns(site, setup) if holder is None else of_pull(site, holder)),
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
