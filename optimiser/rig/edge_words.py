"""Says what is laid where a rope runs over an edge, how it is kept in place, and what it does to the
pull."""

from collections import Counter
from collections.abc import Iterable

from optimiser.rig.laid_edges import Edge, Over, edges
from optimiser.rig.naming import edge_at
from optimiser.rig.setup import Contact, Hung, Role, names
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show
from shared.words import with_article

_MIDDLE = 0.005
"""m from the path's middle line within which a place is on it."""

_NO_PULL = 1.0
"""N of level pull that is none."""


def what(edge: Edge) -> str:
    """What lies there, with the owner's word for it where that is another."""
    if edge.owned is None or edge.owned.name == edge.lies.name:
        return edge.lies.name
    return f"{edge.lies.name} ({edge.owned.name})"


def where(edge: Edge, system: str) -> str:
    """ "the edge at 6.20 m of the path"."""
    return edge_at(edge.from_m, edge.to_m, system)


def across(left_from: float, left_to: float, system: str, middle: str = "the path's middle") -> str:
    """A stretch across the path: "from 0.90 m right to 1.10 m left of the path's middle"."""
    if max(abs(left_from), abs(left_to)) < _MIDDLE:
        return f"in {middle}"
    if left_to - left_from < _MIDDLE:
        return f"{_side((left_from + left_to) / 2, system)} of {middle}"
    a, b = _side(left_from, system), _side(left_to, system)
    return f"from {a} to {b} of {middle}"


def _side(left: float, system: str) -> str:
    if abs(left) < _MIDDLE:
        return f"{show(0.0, Dimension.LENGTH, system)} left"
    shown = show(abs(left), Dimension.LENGTH, system)
    return f"{shown} {'left' if left > 0.0 else 'right'}"


def parts(edge: Edge, first: int = 1) -> str:
    """ "part 2", "parts 2 and 3"; `first`: the number of the rope's first part."""
    numbers = [str(part + first - 1) for part in edge.parts]
    return f"part {numbers[0]}" if len(numbers) == 1 else f"parts {names(numbers)}"


def laying(site: Site, line: Over, edge: Edge) -> str:
    """The step in which something is laid on an edge, and how it is kept there."""
    system = site.preferences.units
    fixing = edge.lies.fixing
    sentences = [_lay(site, line, edge), f"{fixing[:1].upper()}{fixing[1:]}."]
    force = show(edge.force, Dimension.FORCE, system, Rounding.UP)
    by = "the rope presses" if len(edge.parts) == 1 else f"{parts(edge)} together press"
    press = f"{by} it into the ground with up to {force}"
    if edge.shift > _NO_PULL:
        shift = show(edge.shift, Dimension.FORCE, system, Rounding.UP)
        press = (
            f"what keeps it in place must hold {shift} along the line (most often away from the "
            f"load); {press}"
        )
    sentences.append(f"{press[:1].upper()}{press[1:]}.")
    if lay_at(site, line, edge) is not None:
        sentences.append(
            "Ease the line until the chock holds the load, lift the rope onto it, and take the line tight "
            "again."
        )
    return " ".join(sentences)


def _lay(site: Site, line: Over, edge: Edge) -> str:
    """What is laid, from where to where."""
    system = site.preferences.units
    place = where(edge, system)
    if not edge.pieces:
        touches = across(edge.left_from, edge.left_to, system)
        return (
            f"See that what lies on {place} is there and sound ({what(edge)}): the rope runs over it "
            f"{touches}."
        )
    many = "" if edge.pieces == 1 else f"{edge.pieces} pieces side by side: "
    long = show(edge.lies.length, Dimension.LENGTH, system)
    when = lay_at(site, line, edge)
    begin = ""
    if when is not None:
        at = show(when, Dimension.LENGTH, system)
        begin = f"Stop with the load at {at}, past the edge, and chock it. "
    touches = across(edge.left_from, edge.left_to, system, "it")
    return (
        f"{begin}Lay {many}{with_article(what(edge))}, {long} long, across the path on {place}, "
        f"{across(*edge.laid, system)}; the rope runs over it {touches}."
    )


def lay_at(site: Site, line: Over, edge: Edge) -> float | None:
    """Where the load is when something is laid, m along the path: it has to pass the place first. None:
    before anything is led."""
    if not line.paid_out:
        return None
    down = line.to_m < line.from_m
    passed = edge.front_at(site) if down else edge.back_at(site)
    low, high = sorted((line.from_m, line.to_m))
    return passed if low < passed < high else None


def reached_at(site: Site, line: Over, edge: Edge) -> float | None:
    """Where the load is when its front comes to what lies there, m along the path; None: it does not on
    this stretch."""
    if line.paid_out:
        return None
    at = max(edge.front_at(site), line.from_m)
    return at if at < line.to_m else None


def stopping(site: Site, line: Over, edge: Edge) -> str | None:
    """The step in which the load comes to what lies on its own way; None: it does not."""
    system = site.preferences.units
    reached = reached_at(site, line, edge)
    if reached is None:
        return None
    at, place = show(reached, Dimension.LENGTH, system, Rounding.DOWN), where(edge, system)
    text = f"Stop with the load at {at}: its front comes to what lies on {place}. Chock it. "
    if edge.load_to is not None and edge.load_to <= reached + 1e-6:
        free = show(edge.load_to, Dimension.LENGTH, system, Rounding.UP)
        return (
            f"{text}The rope hangs free of the edge since the load was at {free}: take away what lies "
            "there, then go on. Never haul the load against it."
        )
    still = "The rope may still run over it"
    if edge.load_to is not None and edge.load_to < line.to_m - 1e-6:
        still = f"The rope runs over it until the load is at {show(edge.load_to, Dimension.LENGTH, system)}"
    return (
        f"{text}{still}: take it away only if the tight rope then hangs free of the ground; else let the "
        "load ride over it, slowly, with a ramp on either side. That takes more pull than is planned here. "
        "Never haul the load against it."
    )


def rubbing(line: Over, edge: Edge) -> str:
    """The friction on an edge and what it does, in plain words."""
    if not edge.running:
        return "Part 1 does not run over it, as its end is fast: no friction is counted on."
    low, high = edge.friction.low, edge.friction.high
    used = show(edge.planned, Dimension.RATIO)
    ends = [show(v, Dimension.RATIO) for v in (low, high)]
    other = low if abs(edge.planned - high) <= abs(edge.planned - low) else high
    rounding = Rounding.DOWN if line.holds else Rounding.UP
    grows = show(edge.grows, Dimension.RATIO, rounding=rounding)
    least = show(edge.grows_by(other), Dimension.RATIO)
    bent = f"the rope turns by up to {show(edge.running, Dimension.ANGLE)}"
    if not line.holds:
        does = (
            f"{bent}, so on the side it is hauled to it carries up to {grows} times what it carries on the "
            f"side of the load ({least} times if it runs as easily as it may)"
        )
    else:
        does = (
            f"{bent}, so the edge helps to hold: on the side of the load the rope carries {grows} times what "
            f"is held on the other side ({least} times if it grips as well as it may)"
        )
    known = f"of {ends[0]} to {ends[1]} ({edge.lies.surface}) [{', '.join(edge.friction.sources)}]"
    return f"Friction on it: planned with {used}, {known}: {does}."


def needs(gear: Iterable[Hung], contacts: Iterable[Contact], system: str) -> str | None:
    """What is laid for a setup's ropes, in a line for a list of setups; None where they touch nothing.
    `gear`, `contacts`: of all its ropes."""
    laid = Counter((h.item, h.place) for h in gear if h.role is Role.PROTECTOR)
    clauses = [
        f"lay {item if many == 1 else f'{many} × {item}'} on {place}"
        for (item, place), many in laid.items()
    ]
    there = sorted({c.from_m for c in contacts if c.owned is None})
    clauses += [f"the rope runs over what lies on {edge_at(at, at, system)}" for at in there]
    return f"Over the edge: {'; '.join(clauses)}." if clauses else None


def steps(site: Site, line: Over) -> tuple[str, ...]:
    """Every step that the edges of a line call for, in order: what is laid, then where the load comes to
    it."""
    found = edges(site, line)
    out = [laying(site, line, edge) for edge in found]
    return (*out, *filter(None, (stopping(site, line, edge) for edge in found)))
