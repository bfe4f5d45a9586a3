"""Works out the tension of a taut line from part to part, per newton at its end."""

from collections.abc import Sequence
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


PLAIN = Part(1.0, 1.0)
"""A part of a line in which nothing rubs."""


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


def toward(begin: Vec, end: Vec) -> tuple[Vec, float]:
    """Unit vector and distance."""
    x, y, z = end[0] - begin[0], end[1] - begin[1], end[2] - begin[2]
    long = sqrt(x * x + y * y + z * z)
    if long < 1e-9:
        return (0.0, 0.0, 0.0), long
    return (x / long, y / long, z / long), long
