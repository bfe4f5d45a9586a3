"""The cautions that raising a load calls for. Texts and sources stand in `data/cautions.toml`."""

import tomllib
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from optimiser.levering.results import Levering
from optimiser.results import Caution
from optimiser.site.lever import LeverJob
from shared.units import Dimension, Rounding, show

Fields = Iterator[dict[str, str]]
Check = Callable[[LeverJob, Levering], Fields]

_CHECKS: dict[str, Check] = {}


def cautions(job: LeverJob, answer: Levering) -> tuple[Caution, ...]:
    """Every caution, in the order of the data file."""
    out = []
    for key, entry in _texts().items():
        always = bool(entry.get("always", False))
        found: Any = ({},) if always else _CHECKS[key](job, answer)
        for fields in found:
            text = entry["text"].format(**fields)
            out.append(Caution(key=key, text=text, source=entry["source"], always=always))
    return tuple(out)


@cache
def _texts() -> Mapping[str, Any]:
    path = files("optimiser.levering").joinpath("data", "cautions.toml")
    return tomllib.loads(path.read_text(encoding="utf-8"))


def _check(function: Check) -> Check:
    _CHECKS[function.__name__.lstrip("_")] = function
    return function


def _force(value: float) -> str:
    return (
        f"{-(-value // 1):.0f} N"
        if value < 1000.0
        else show(value, Dimension.FORCE, rounding=Rounding.UP)
    )


@_check
def _hands_out(job: LeverJob, answer: Levering) -> Fields:
    yield {"room": show(job.block + job.clearance, Dimension.SIZE)}


@_check
def _unrated_bar(job: LeverJob, answer: Levering) -> Fields:
    if job.bar_rating is None:
        yield {"force": _force(answer.force)}


@_check
def _bar(job: LeverJob, answer: Levering) -> Fields:
    yield {"force": _force(answer.force), "hand": _force(answer.hand)}


@_check
def _fulcrum(job: LeverJob, answer: Levering) -> Fields:
    yield {"force": _force(max(step.fulcrum for step in answer.steps))}


@_check
def _uneven(job: LeverJob, answer: Levering) -> Fields:
    if len(job.corners) == 4:
        yield {}


@_check
def _rocks(job: LeverJob, answer: Levering) -> Fields:
    if len(job.corners) == 4:
        yield {}


@_check
def _tipping(job: LeverJob, answer: Levering) -> Fields:
    step = min(answer.steps, key=lambda s: s.spare_tilt)
    yield {
        "step": str(step.number),
        "corner": step.corner,
        "spare": show(step.spare_tilt, Dimension.ANGLE, rounding=Rounding.DOWN),
        "over": " to ".join(step.over),
    }


@_check
def _slope(job: LeverJob, answer: Levering) -> Fields:
    steepest = max(abs(job.rise_ahead), abs(job.rise_left))
    if steepest > 0.0:
        yield {"slope": show(steepest, Dimension.ANGLE, rounding=Rounding.UP)}


@_check
def _stacks(job: LeverJob, answer: Levering) -> Fields:
    yield {"height": show(answer.raised, Dimension.LENGTH)}


@_check
def _wheels(job: LeverJob, answer: Levering) -> Fields:
    yield {}
