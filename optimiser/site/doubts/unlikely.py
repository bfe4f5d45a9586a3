"""Finds what on a site can be but hardly is: mentioned on top of every answer, never refused.

The rules are data (`data/unlikely.toml`); `site.doubts.figures` yields the numbers that they look at.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import inf

from optimiser.site.doubts.figures import FIGURES, Figure, is_force
from optimiser.site.messages import place
from optimiser.site.model import Site
from shared.reworded import reworded
from shared.units import Dimension, in_unit, show, unit_name
from shared.written import parse

QUESTION = "meant so?"
"""How every remark ends."""
_NOUGHT = re.compile(r"0(\.0+)? ")
SLACK = 1e-9
"""Relative: a figure that stands at its bound is not beyond it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """Bounds of one figure, as the data file writes them ("" for none), and the reason for them."""

    figure: str
    least: str
    most: str
    text: str
    reason: str
    source: str
    numbers: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something about the site that is worth a second look.

    `place`: its key in the site file, `line`: its line there; "" and None where the site was made by hand.
    `text`: what is printed; `reason`: why; `source`: key of whose word that is.
    """

    place: str
    line: int | None
    text: str
    reason: str
    source: str


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule, in the order of the file."""
    text = (
        files("optimiser.site.doubts").joinpath("data", "unlikely.toml").read_text(encoding="utf-8")
    )
    return tuple(
        Rule(
            figure=entry["figure"],
            least=entry.get("least", ""),
            most=entry.get("most", ""),
            text=entry.get("says", ""),
            reason=entry["reason"],
            source=entry["source"],
            numbers={k: v for k, v in entry.items() if isinstance(v, float)},
        )
        for entry in tomllib.loads(text)["rule"]
    )


def unlikely(site: Site) -> tuple[Remark, ...]:
    """Readings that disagree with the others, then everything else on the site that hardly can be meant so,
    in the order of the rules."""
    return (
        *_misread(site),
        *(
            _remark(site, rule, figure, beyond)
            for rule in rules()
            for figure in FIGURES[rule.figure](site, rule.numbers)
            for beyond in _beyond(rule, figure)
        ),
    )


def _misread(site: Site) -> Iterator[Remark]:
    if site.surveyed is None:
        return
    from optimiser.site.doubts.misread import (
        misread,  # start-up time: only where there are readings
    )

    for found in misread(site.surveyed):
        reading = found.reading
        line = None if site.origin is None else site.origin.line(reading.key)
        yield Remark(
            place=place(reading.key),
            line=line,
            text=f"{found.worded(site.preferences.units)}: {QUESTION}",
            reason=found.reason,
            source="baarda",
        )


def _beyond(rule: Rule, figure: Figure) -> Iterator[float]:
    """The end of a figure that is beyond a bound, SI; nothing where none is."""
    least, most = (
        _bound(text, figure.dimension, otherwise)
        for text, otherwise in ((rule.least, -inf), (rule.most, inf))
    )
    if figure.low < least - SLACK * abs(least):
        yield figure.low
    elif figure.high > most + SLACK * abs(most):
        yield figure.high


@cache
def _bound(text: str, dimension: Dimension, otherwise: float) -> float:
    return parse(text, dimension).stated if text else otherwise


def _remark(site: Site, rule: Rule, figure: Figure, value: float) -> Remark:
    shown = _shown(value, figure.dimension, site.preferences.units)
    if rule.text:
        text = rule.text.format(name=figure.name, value=shown, **figure.words)
    elif not figure.written:
        text = f"{figure.name}: {shown}"
    elif figure.written == shown or _stands_alone(figure, site.preferences.units):
        text = f"{figure.name}: {figure.written}"
    else:
        text = f"{figure.name}: {figure.written} is {shown}"
    place, line = "", None
    if site.origin is not None:
        key = next((k for k in figure.keys if site.origin.has(k)), figure.keys[0][:-1])
        place, line = site.origin.label(key), site.origin.line(key)
    return Remark(
        place=place,
        line=line,
        text=f"{text}: {QUESTION}",
        reason=reworded(rule.reason, site.preferences.units),
        source=rule.source,
    )


def _stands_alone(figure: Figure, units: str) -> bool:
    """Whether a figure is written in the unit in which it would be shown, or as a mass for a weight."""
    if figure.dimension is Dimension.WEIGHT and units == "metric" and not is_force(figure.written):
        return True
    unit = unit_name(figure.dimension, units)
    return "%" not in figure.written and (not unit or figure.written.endswith(f" {unit}"))


def _shown(value: float, dimension: Dimension, units: str) -> str:
    """A figure with its unit; one that would be rounded to nothing, or is a small plain number, with the
    digits that it has."""
    shown = show(value, dimension, units)
    if dimension is Dimension.RATIO or (value != 0.0 and _NOUGHT.match(shown)):
        return f"{in_unit(value, dimension, units):.3g} {unit_name(dimension, units)}".strip()
    return shown
