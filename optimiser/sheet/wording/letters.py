"""Names things on the sheet by the letters of the drawings."""

from catalogue.gear import Block
from optimiser.rig.naming import ordinal
from optimiser.rig.setup import Role
from optimiser.rig.walk import Place, PlaceKind
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.ropes import Rope
from shared.units import STANDARD_GRAVITY, Dimension, Rounding, show


def spot(drawn: Drawn, place: Place) -> str:
    """ "B near pine, 1.00 m up"."""
    name = f"{drawn.letter(place)} {drawn.name(place)}"
    if place.kind is not PlaceKind.ANCHOR:
        return name
    return f"{name}, {length(drawn, place.height)} up"


def at(drawn: Drawn, place: Place) -> str:
    """The same at the beginning of a sentence."""
    text = spot(drawn, place)
    return text[0].upper() + text[1:]


def sheave(drawn: Drawn, rope: Rope, node: int) -> str:
    """The sheave on which a rope turns at one of its nodes."""
    block = next((h for h in rope.gear if h.role is Role.BLOCK and node in h.nodes), None)
    if block is None:
        return "its block"
    piece = next((o.gear for o in drawn.site.gear if o.name == block.item), None)
    opened = ", opened and closed again" if isinstance(piece, Block) and piece.opens else ""
    if len(block.nodes) > 1:
        turn = sorted(block.nodes).index(node) + 1
        return f"the {ordinal(turn)} sheave of {block.item}{opened}"
    return f"{block.item}{opened}"


def length(drawn: Drawn, value: float, rounding: Rounding = Rounding.NEAREST) -> str:
    return show(value, Dimension.LENGTH, drawn.site.preferences.units, rounding)


def force(drawn: Drawn, value: float, rounding: Rounding = Rounding.UP) -> str:
    return show(value, Dimension.FORCE, drawn.site.preferences.units, rounding)


def pull(drawn: Drawn, value: float, rounding: Rounding) -> str:
    """A pull as a force, and as the mass that weighs as much: what a hanging scale shows."""
    system = drawn.site.preferences.units
    mass = show(value / STANDARD_GRAVITY, Dimension.MASS, system, rounding)
    return f"{force(drawn, value, rounding)} ({mass} on a hanging scale)"


def times(count: int) -> str:
    """1 is "once"."""
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def turns(rope: Rope) -> str:
    """ "2 full turns"."""
    return f"{rope.turns} full {'turn' if rope.turns == 1 else 'turns'}"
