"""Works out how a taut line pulls on what it passes: its tension from part to part, and the forces of its
parts on its nodes, per newton at its end."""

from collections.abc import Iterable, Sequence
from math import exp, sqrt
from typing import NamedTuple

from catalogue.edges import rubbing
from catalogue.gear import Protector, Rope
from optimiser.mechanics.values import Vec
from optimiser.proof.place.string import String

Passes = tuple[float, ...]
"""What each sheave, in the order of the walk, passes on of the tension on the end's side."""


class Look(NamedTuple):
    """Frictions at which a line is looked at: what each sheave passes on, and whether what is laid on an
    edge grips the rope as well as it may. `slips`: the rope runs towards the load, not from it."""

    passes: Passes
    grips: bool = True
    slips: bool = False

    def mu(self, protector: Protector, rope: Rope) -> float:
        """Of the rope on what is laid."""
        there = rubbing(protector, rope)
        return there.high if self.grips else there.low


class Part(NamedTuple):
    """Tension / pull of one part of the line at its beginning and its end, and on both sides of each of
    its contacts. `slack`: what friction at its most leaves of the tension on the slacker side of each."""

    begin: float
    end: float
    sides: tuple[tuple[float, float], ...] = ()
    slack: tuple[float, ...] = ()

    @property
    def most(self) -> float:
        return max(self.begin, self.end)


PLAIN = Part(1.0, 1.0)
"""A part of a line in which nothing rubs."""
NOWHERE = (0.0, 0.0, 0.0)


def tensions(strings: Sequence[String], look: Look, rope: Rope, *, still: bool) -> list[Part]:
    """Of each part of the line, from the standing end on. `still`: its first part does not run, so that
    nothing is counted on for what it rubs on."""
    out: list[Part] = []
    tension = 1.0
    for k in range(len(strings) - 1, -1, -1):
        end, sides, slack = tension, [], []
        for contact in reversed(strings[k].touches):
            after, protector = tension, contact.spot.protector
            assert protector is not None
            if k > 0 or not still:
                held = exp(look.mu(protector, rope) * contact.turn)
                tension = tension * held if look.slips else tension / held
            sides.append((tension, after))
            slack.append(exp(-rubbing(protector, rope).high * contact.turn))
        out.append(Part(tension, end, tuple(reversed(sides)), tuple(reversed(slack))))
        if k > 0:
            tension *= look.passes[k - 1]
    return out[::-1]


def passed_on(passes: Passes, parts: int) -> list[float]:
    """Tension / pull of each part of a line that rubs on its sheaves only, from the standing end on."""
    out = [1.0]
    for k in range(parts - 2, -1, -1):
        out.append(out[-1] * passes[k])
    return out[::-1]


def pulls_along(string: String) -> tuple[Vec, Vec]:
    """Which ways a part of a line pulls on the nodes at its beginning and its end."""
    return toward(string.begin, string.next)[0], toward(string.end, string.before)[0]


def onto_nodes(
    along: Sequence[tuple[Vec, Vec]], tense: Sequence[Part], before: Sequence[Vec] = ()
) -> list[Vec]:
    """The forces of parts of a line on its nodes, per newton at its end. `before`: those of the parts that
    come before them."""
    force = list(before) or [NOWHERE]
    x, y, z = force.pop()
    for (begin, end), part in zip(along, tense, strict=True):
        tension = part.begin
        force.append((x + tension * begin[0], y + tension * begin[1], z + tension * begin[2]))
        tension = part.end
        x, y, z = 0.0 + tension * end[0], 0.0 + tension * end[1], 0.0 + tension * end[2]
    force.append((x, y, z))
    return force


def toward(begin: Vec, end: Vec) -> tuple[Vec, float]:
    """Unit vector and distance."""
    x, y, z = end[0] - begin[0], end[1] - begin[1], end[2] - begin[2]
    long = sqrt(x * x + y * y + z * z)
    if long < 1e-9:
        return (0.0, 0.0, 0.0), long
    return (x / long, y / long, z / long), long


def _add(force: list[Vec], node: int, unit: Vec, tension: float) -> None:
    a = force[node]
    force[node] = (a[0] + tension * unit[0], a[1] + tension * unit[1], a[2] + tension * unit[2])


def put(force: list[Vec], node: int, unit: Vec, tension: float) -> None:
    """Add a straight run's tension to the forces on the nodes at its two ends."""
    _add(force, node, unit, tension)
    _add(force, node + 1, unit, -tension)


def summed(force: list[Vec], nodes: Iterable[int]) -> Vec:
    """The forces on some nodes together."""
    x = y = z = 0.0
    for n in nodes:
        a, b, c = force[n]
        x, y, z = x + a, y + b, z + c
    return x, y, z


def dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
