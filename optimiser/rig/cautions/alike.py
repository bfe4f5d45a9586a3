"""Checks for the cautions that hauls and ways down call for alike."""

from collections.abc import Iterator
from math import ceil
from typing import Protocol

from optimiser.rig.cautions.book import Fields
from optimiser.rig.edge_words import across, parts, where
from optimiser.rig.laid_edges import DIAMETERS, Edge, Over, edges, led
from optimiser.rig.setup import LoweringSetup, Setup, names
from optimiser.site.model import Site
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
    """Every edge a rope runs over: what to watch there."""
    for line, edge in _edges(site, setup):
        yield {
            "part": _part(line, edge),
            "lies": edge.name,
            "edge": where(edge, site.preferences.units),
            "across": across(edge.left_from, edge.left_to, site.preferences.units),
        }


def edge_jumps(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every edge: what lies there may let go."""
    for _, edge in _edges(site, setup):
        system = site.preferences.units
        force = show(edge.force, Dimension.FORCE, system, Rounding.UP)
        yield {"edge": where(edge, system), "force": force}


def edge_bend(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every edge that bends its rope over too small a radius."""
    for line, edge in _edges(site, setup):
        if edge.bends_sharply(line.rope):
            system = site.preferences.units
            least = DIAMETERS * line.rope.gear.diameter
            yield {
                "lies": edge.name,
                "edge": where(edge, system),
                "rope": line.rope.name,
                "radius": show(edge.lies.bend_radius, Dimension.SIZE, system, Rounding.DOWN),
                "least": show(least, Dimension.SIZE, system, Rounding.UP),
                "diameters": show(DIAMETERS, Dimension.RATIO),
            }


def edge_friction(site: Site, setup: Setup | LoweringSetup) -> Fields:
    """Every edge: how well its friction is known, and what that does."""
    for line, edge in _edges(site, setup):
        if not edge.running:
            continue  # it does not run there
        ends = (edge.friction.low, edge.friction.high, edge.planned)
        low, high, planned = (show(value, Dimension.RATIO) for value in ends)
        share = f"{ceil((1.0 - 1.0 / edge.grows) * 100.0 - 1e-9)} %"
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
        yield {"edge": where(edge, site.preferences.units), "low": low, "high": high, "does": does}


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
