"""What an input of a rig is that may be wrong: its kinds, its values, how it is measured.

To add a kind: a member of `InputKind`, a function that yields its `Input`s in `inputs.py` (what stands in the
file as a number) or `worked_out.py` (what does not), and how it is measured in
`optimiser/jobs/ranges/data/measuring.toml`.
"""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files

from optimiser.site.model import Site
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
