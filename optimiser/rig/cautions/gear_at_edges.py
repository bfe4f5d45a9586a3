"""Where the load is when what hangs between it and the rope comes to an edge that the rope runs over.

Nothing but rope may run over an edge: a block, shackle, knot or splice that is dragged onto it under load
is bent over it, jams, or throws out what lies there.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from catalogue.gear import Block, Chain, Shackle, Strap
from optimiser.rig.gear.ends import END_LENGTH
from optimiser.rig.ground.attachments import attachment_named
from optimiser.rig.laid_edges import Edge, edges, hauling
from optimiser.rig.setup import Role, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site

KEPT_OFF = 0.1
"""m that stay free between such gear and where the rope bends (choice)."""
UNKNOWN = 0.3
"""m of a piece whose length is not known (choice)."""
_LONG = (Block, Shackle, Strap, Chain)
_HANGS = (Role.BLOCK, Role.SHACKLE, Role.EXTENSION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """`long` m of gear between the load and the rope come to an edge with the load at `at` m of the path, and
    may be on it until the load is at `until`."""

    edge: Edge
    long: float
    at: float
    until: float


def near_edges(site: Site, setup: Setup) -> Iterator[Near]:
    """Every edge that the gear at the load comes to while the rope still runs over it.

    Measured along the path, which is never more than along the rope."""
    held = attachment_named(site, setup.attachment)
    if held is None or setup.second is not None:
        return
    line = hauling(setup)
    for edge in edges(site, line):
        nodes = {node for part in edge.parts for node in (part - 1, part)}
        at_load = [n for n in nodes if setup.walk[n].kind is PlaceKind.LOAD]
        long = max((takes(site, setup, node) for node in at_load), default=0.0)
        if not long or edge.load_from is None or edge.load_to is None:
            continue
        at = max(edge.from_m - held.ahead - long - KEPT_OFF, edge.load_from)
        if at < edge.load_to:
            yield Near(edge=edge, long=long, at=at, until=edge.load_to)


def takes(site: Site, setup: Setup, node: int) -> float:
    """m of all that hangs between a node's place and the plain rope."""
    pieces = {piece.name: piece.gear for piece in site.gear}
    out = END_LENGTH if node == 0 else 0.0
    for hung in setup.gear:
        if node in hung.nodes and hung.role in _HANGS:
            gear = pieces.get(hung.item)
            out += gear.length if isinstance(gear, _LONG) else UNKNOWN
    return out
