"""Checks for the cautions that hauls and ways down call for alike."""

from collections.abc import Callable, Hashable, Iterator, Sequence
from math import ceil
from typing import Protocol

from optimiser.rig.cautions.book import Fields
from optimiser.rig.edge_words import across, parts, where
from optimiser.rig.laid_edges import DIAMETERS, Edge, Over, edges, led
from optimiser.rig.setup import LoweringSetup, Setup, Slung, names
from optimiser.rig.shared_trees import is_wide
from optimiser.site.model import Anchor, AnchorKind, Site
from shared.units import Dimension, Rounding, show


class Rated(Protocol):
    """What every setup states of its strength."""

    @property
    def unrated(self) -> tuple[str, ...]:
        """Names of the pieces without a rating."""

    @property
    def margin(self) -> float: ...

    @property
    def weakest(self) -> str: ...


def unrated(site: Site, setup: Rated) -> Fields:
    """The pieces without a rating, if there are any."""
    del site
    if setup.unrated:
        yield {"pieces": names(setup.unrated)}


def margin_short(site: Site, setup: Rated) -> Fields:
    """The margin and what sets it, where it is below the one wanted."""
    wanted = site.preferences.margin_wanted
    if setup.margin < wanted:
        yield {
            "margin": show(setup.margin, Dimension.RATIO, rounding=Rounding.DOWN),
            "wanted": show(wanted, Dimension.RATIO),
            "weakest": setup.weakest,
        }


def edge_rope(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """What is run over, with every rope and edge where it is: what to watch there."""
    for alike in _alike(tuple(_edges(site, setup)), lambda line, edge: edge.name):
        yield {
            "runs": "; ".join(_runs(site, line, edge) for line, edge in alike),
            "lies": alike[0][1].name,
        }


def _runs(site: Site, line: Over, edge: Edge) -> str:
    """Which part runs over which edge, and where across the path."""
    system = site.preferences.units
    aside = across(edge.left_from, edge.left_to, system)
    return f"{_part(line, edge)} over {where(edge, system)}, {aside}"


def edge_jumps(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """All edges in one: what lies there may let go."""
    found = [edge for _, edge in _edges(site, setup)]
    if found:
        system = site.preferences.units
        force = show(max(edge.force for edge in found), Dimension.FORCE, system, Rounding.UP)
        yield {"edge": _places(site, found), "force": force}


def edge_bend(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every thing that bends a rope over too small a radius, with all edges on which it does."""
    sharp = [(line, edge) for line, edge in _edges(site, setup) if edge.bends_sharply(line.rope)]
    for alike in _alike(
        sharp, lambda line, edge: (edge.name, edge.lies.bend_radius, line.rope.name)
    ):
        line, edge = alike[0]
        system = site.preferences.units
        least = DIAMETERS * line.rope.gear.diameter
        yield {
            "lies": edge.name,
            "edge": _places(site, [edge for _, edge in alike]),
            "rope": line.rope.name,
            "radius": show(edge.lies.bend_radius, Dimension.SIZE, system, Rounding.DOWN),
            "least": show(least, Dimension.SIZE, system, Rounding.UP),
            "diameters": show(DIAMETERS, Dimension.RATIO),
        }


def edge_friction(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """How well the friction on edges is known, and what it does: edges where that is the same in one."""
    running = [(line, edge) for line, edge in _edges(site, setup) if edge.running]
    for alike in _alike(running, lambda line, edge: (line.holds, edge.planned, edge.friction)):
        line, edge = alike[0]
        ends = (edge.friction.low, edge.friction.high, edge.planned)
        low, high, planned = (show(value, Dimension.RATIO) for value in ends)
        most = max(edge.grows for _, edge in alike)
        share = f"{ceil((1.0 - 1.0 / most) * 100.0 - 1e-9)} %"
        if len(alike) > 1:
            share = f"up to {share}"
        if line.holds:
            does = (
                f"counted on is {planned}, which takes {share} of the load off what holds behind it. "
                "Wet, icy or worn smooth it may take less"
            )
        else:
            does = (
                f"planned is {planned}, which takes {share} of the pull behind it. Should it rub more, "
                "the pull rises, and all that carries it: stop at the pull that is stated"
            )
        edges_ = [edge for _, edge in alike]
        yield {"edge": _places(site, edges_), "low": low, "high": high, "does": does}


def _alike(
    found: Sequence[tuple[Over, Edge]], key: Callable[[Over, Edge], Hashable]
) -> Iterator[list[tuple[Over, Edge]]]:
    """Ropes over edges with the same key together, in the order in which they first come."""
    groups: dict[Hashable, list[tuple[Over, Edge]]] = {}
    for line, edge in found:
        groups.setdefault(key(line, edge), []).append((line, edge))
    yield from groups.values()


def _places(site: Site, found: Sequence[Edge]) -> str:
    """ "the edge at 6.20 m of the path and the edge at 8.00 m of the path", each once."""
    return names(tuple(dict.fromkeys(where(edge, site.preferences.units) for edge in found)))


EDGES = (edge_rope, edge_jumps, edge_bend, edge_friction)
"""What the edges that ropes run over call for."""


def _edges(site: Site, setup: Setup | LoweringSetup) -> Iterator[tuple[Over, Edge]]:
    return ((line, edge) for line in led(setup) for edge in edges(site, line))


def _part(line: Over, edge: Edge) -> str:
    """ "Part 2", "Part 1 of the holding line"."""
    text = parts(edge)
    text = text[:1].upper() + text[1:]
    runs = "runs" if len(edge.parts) == 1 else "run"
    return f"{text} of the {line.called} {runs}" if line.called else f"{text} {runs}"


def made_anchor(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every anchor that stands in ground nobody has tested."""
    for anchor in _that_mind(site, setup):
        stands = anchor.directions
        if stands is not None and anchor.kind in (
            AnchorKind.PICKET_HOLDFAST,
            AnchorKind.BURIED_LOG,
        ):
            aside = stands.aside if stands.aside is not None else 0.0
            yield {
                "anchor": anchor.name,
                "aside": show(aside, Dimension.ANGLE, site.preferences.units, Rounding.DOWN),
                "rise": show(stands.up, Dimension.ANGLE, site.preferences.units, Rounding.DOWN),
            }


def anchor_by_weight(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every anchor that holds by its weight, as far as that is worked out."""
    for anchor in _that_mind(site, setup):
        stands = anchor.directions
        if stands is not None and anchor.kind in (AnchorKind.BOULDER, AnchorKind.PARKED_VEHICLE):
            rise = show(stands.up, Dimension.ANGLE, site.preferences.units, Rounding.DOWN)
            yield {"anchor": anchor.name, "rise": rise}


def _that_mind(site: Site, setup: Setup | LoweringSetup) -> Iterator[Anchor]:
    """The anchors in use that stand some pulls only."""
    used = {place.name for place in setup.walk}
    if isinstance(setup, Setup):
        walks = (*(line.walk for line in setup.lines), *(line.walk for line in setup.holding))
        used = {place.name for walk in walks for place in walk} | {setup.puller.anchor or ""}
    for anchor in site.anchors:
        if anchor.name in used and anchor.directions is not None:
            yield anchor


def shared_trees(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every two trees that share a pull by a sling."""
    for slung in _slings(setup):
        one, other = slung.trees
        alone = [
            f"{name} alone stands {_share(share)} the steady pull"
            for name, share in zip(slung.trees, slung.alone, strict=True)
        ]
        yield {"one": one, "other": other, "alone": names(alone)}


def _share(share: float | None) -> str:
    if share is None:
        return "an unknown share of"
    return f"{show(share, Dimension.RATIO, rounding=Rounding.DOWN)} times"


def wide_sling(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every sling whose legs spread far."""
    for slung in _slings(setup):
        if is_wide(slung):
            angle = show(slung.angle, Dimension.ANGLE, site.preferences.units, Rounding.UP)
            yield {"one": slung.trees[0], "other": slung.trees[1], "angle": angle}


def _slings(setup: Setup | LoweringSetup) -> Iterator[Slung]:
    return (one.slung for one in setup.made if one.slung is not None)
