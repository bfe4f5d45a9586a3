"""Puts a rig in words: its places, the run of its rope, how its parts are counted."""

from collections.abc import Sequence
from dataclasses import replace

from optimiser.rig.setup import Hung, Role, Setup
from optimiser.rig.walk import Place, PlaceKind, Walk, by_rope, segments
from shared.units import Dimension, show
from shared.words import which, with_article

_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def ordinal(number: int) -> str:
    """1 is "first"."""
    return _ORDINALS[number - 1] if number <= len(_ORDINALS) else f"{number}th"


def run_of_rope(walk: Walk, gear: Sequence[Hung] = (), system: str = "metric") -> str:
    """The run of the rope from its standing end to the end that is hauled on.

    With the gear that hangs at each place it also names strap or knot, and which sheave of a block.
    """
    first, *turns, last = walk
    clauses = [f"standing end {_made_fast(first, gear, system)}"]
    for node, place in enumerate(turns, start=1):
        back = "back " if place in walk[:node] else ""
        blocks = walk[1:node].count(place)  # met there before
        sheave = _sheave(node, blocks, gear)
        clauses.append(f"{back}round {sheave} on {spot(place, gear, system)}")
    if last.kind is PlaceKind.GRIP:
        grip = next((h.how.partition(",")[0] for h in gear if h.role is Role.GRIP), "a grip")
        clauses.append(f"its hauling part is held by the second rope's tackle: {grip}")
    else:
        clauses.append(f"hauling end to {last.name}, {which(last.name, 'pull')}")
    for bend in (hung for hung in gear if hung.role is Role.BEND):
        ends = [spot(walk[node], gear, system) for node in bend.nodes]
        clauses.append(
            f"two ropes joined by {with_article(bend.how)}, between {ends[0]} and {ends[1]}"
        )
    return "; ".join(clauses)


def run_of_nodes(nodes: Walk, system: str = "metric") -> str:
    """The run of a rig's rope, or of both, with nothing hung on it yet."""
    runs = [run_of_rope(walk, system=system) for walk in by_rope(nodes)]
    return runs[0] if len(runs) == 1 else f"main rope: {runs[0]}. Second rope: {runs[1]}"


def _made_fast(first: Place, gear: Sequence[Hung], system: str) -> str:
    """What the standing end is made fast to: its place, or the strap or chain that reaches on to it."""
    where = spot(first, gear, system)
    for hung in gear:
        if hung.role is Role.EXTENSION:
            return f"tied to {hung.item}, which is pulled straight from {where}"
    return f"made fast to {where}"


def run_of_ropes(setup: Setup, system: str = "metric") -> str:
    """The run of the rope of a setup, or of both ropes of tackle on tackle."""
    if setup.second is None:
        return run_of_rope(setup.walk, setup.gear, system)
    clauses, begin = [], 0
    for word, line in zip(("main rope", "second rope"), setup.lines, strict=True):
        own = range(begin, begin + len(line.walk))
        gear = [replace(h, nodes=tuple(n - begin for n in h.nodes if n in own)) for h in setup.gear]
        clauses.append(f"{word} ({line.rope.name}): {run_of_rope(line.walk, gear, system)}")
        begin += len(line.walk)
    return ". ".join((clauses[0], clauses[1][:1].upper() + clauses[1][1:]))


def spot(place: Place, gear: Sequence[Hung] = (), system: str = "metric") -> str:
    """A place by itself: "the load", "ash (strap 0.40 m up)", "winch"."""
    if place.kind is PlaceKind.LOAD:
        return "the load"
    if place.kind is PlaceKind.PULLER:
        return place.name
    if place.kind is PlaceKind.GRIP:
        return "the grip on the main rope"
    return f"{place.name} ({_height(place, gear, system)})"


def edge_at(begin: float, end: float, system: str = "metric") -> str:
    """The place where something is laid for a rope to run over, m along the path."""
    where = show(begin, Dimension.LENGTH, system)
    if end > begin:
        where += f" to {show(end, Dimension.LENGTH, system)}"
    return f"the edge at {where} of the path"


def counting(setup: Setup) -> str:
    """How the parts of line are counted, spelt out where the standing end counts among them."""
    many = "1 part of line pulls" if setup.parts == 1 else f"{setup.parts} parts of line pull"
    text = f"{many} on the load"
    if setup.second is not None:
        below = sum(PlaceKind.GRIP in (a.kind, b.kind) for a, b in segments(setup.second.walk))
        return f"{text}; {below} parts of the second rope pull on the main one's hauling part"
    if setup.walk[0].kind is not PlaceKind.LOAD or len(setup.walk) < 3:
        return text
    if setup.parts == 1:
        return f"{text}: the standing end made fast to it"
    others = setup.parts - 1
    return (
        f"{text}: the standing end made fast to it counts as one, and {others} more "
        f"{'runs' if others == 1 else 'run'} to the {'block' if others < 3 else 'blocks'} on it"
    )


def _height(place: Place, gear: Sequence[Hung], system: str) -> str:
    height = show(place.height, Dimension.LENGTH, system)
    here = [hung for hung in gear if hung.place == str(place)]
    roles = {hung.role for hung in here}
    if any(hung.slung for hung in here):
        return f"sling {height} up"
    if Role.STRAP in roles:
        return f"strap {height} up"
    return f"tied round it {height} up" if roles == {Role.TIE} else f"{height} up"


def _sheave(node: int, earlier: int, gear: Sequence[Hung]) -> str:
    """The sheave the rope turns on at a node, as distinct from those it met there before."""
    block = next((h for h in gear if h.role is Role.BLOCK and node in h.nodes), None)
    if block is not None and len(block.nodes) > 1:
        turn = sorted(block.nodes).index(node) + 1
        return f"the {ordinal(turn)} sheave of {block.item}"
    return "a block" if earlier == 0 else f"a {ordinal(earlier + 1)} block"
