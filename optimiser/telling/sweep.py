"""Prints a sweep as listings, as CSV and as JSON."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from catalogue.glossary import explained
from optimiser.jobs.sweep.results import NONE, Boundary, Cell, Sweep
from optimiser.rig.naming import run_of_rope
from optimiser.rig.order import BAND
from optimiser.rig.setup import Setup
from optimiser.rig.status import Status
from optimiser.telling.worst_ends import doubt, fails
from shared.interrupt import cut_short
from shared.listing import Column, Kind, Listing, Where, plain
from shared.report import Block
from shared.units import Dimension, Rounding

_RATIO = Dimension.RATIO

_LETTER = (
    Column(key="letter", heading="best setup", where=Where.PEOPLE),
    Column(key="best", heading="best setup", where=Where.DATA),
)
_AS_GOOD = Column(key="as_good", heading="as good")
_BEST = (
    Column(key="margin", heading="margin", kind=_RATIO, rounding=Rounding.DOWN),
    Column(key="weakest_or_why", heading="weakest piece", where=Where.PEOPLE, yields=7),
    Column(key="weakest", heading="weakest piece", where=Where.DATA),
    Column(key="pull", heading="worst pull", unit="N", kind=Dimension.FORCE, rounding=Rounding.UP),
    Column(
        key="rope",
        heading="rope needed",
        unit="m",
        kind=Dimension.LENGTH,
        rounding=Rounding.UP,
        yields=9,
    ),
    Column(key="resets", heading="resets", kind=Kind.COUNT, yields=8),
)
_CERTAIN = (
    Column(key="readings", heading="by the readings", where=Where.UNDER),
    Column(key="readings_certain", heading="certain by the readings", where=Where.DATA),
)
_COST = Column(key="cost", heading="least to buy", kind=_RATIO, rounding=Rounding.UP)
_MORE = (
    Column(key="unrated", heading="unrated", where=Where.DATA),
    Column(key="status", heading="status", where=Where.DATA),
    Column(key="why_none", heading="what stops the nearest", where=Where.DATA),
    Column(key="proven", heading="proven", where=Where.DATA),
    Column(key="reeving", heading="reeving", where=Where.DATA),
)

_CHANGES = (
    Column(key="along", heading="varied"),
    Column(key="between", heading="the best setup changes between"),
    Column(key="low", heading="low", where=Where.DATA),
    Column(key="high", heading="high", where=Where.DATA),
    Column(key="at", heading="with"),
    Column(key="before", heading="from"),
    Column(key="after", heading="to"),
)
_EITHER = Column(key="either_will_do", heading="either will do")


def report(found: Sweep, system: str, *, priced: bool = False) -> list[Block]:
    """The table, where the best setup changes, and what the letters mean."""
    blocks: list[Block] = [
        (f"Best setups for {found.title}", cells_listing(found, priced=priced, system=system)),
        ("Where the best setup changes (to 1 %)", changes_listing(found)),
        ("The setups", legend(found, system)),
        ("", "Between two cells with the same best setup no further change is looked for."),
    ]
    blocks += [("", text) for text in (*ties(found), *doubts(found))]
    if priced:
        blocks.append(
            (
                "",
                "Least to buy: by the price list of the program; its prices are placeholders. 0 beside no "
                "setup: ropes are joined, or something is made on the spot (`bankhaul buy` says what).",
            )
        )
    blocks.append(("", explained(("margin", "reset"))))
    if not found.proven:
        blocks.append(("", f"NOT proven ({cut_short()}): better setups may exist in some cells."))
    return blocks


def cells_listing(found: Sweep, *, priced: bool = False, system: str = "metric") -> Listing:
    """One row for each cell of the grid."""
    varied = tuple(
        column
        for number, axis in enumerate(found.axes)
        for column in (
            Column(key=f"text{number}", heading=axis.key, where=Where.PEOPLE),
            Column(key=axis.key, heading=axis.key, unit=axis.unit, where=Where.DATA),
        )
    )
    cost = (_COST,) if priced else ()
    certain = _CERTAIN if any(cell.certain is not None for cell in found.cells) else ()
    as_good = _AS_GOOD
    if not any(found.as_good(cell) for cell in found.cells):
        as_good = replace(_AS_GOOD, where=Where.DATA)
    return Listing(
        columns=(*varied, *_LETTER, as_good, *_BEST, *cost, *certain, *_MORE),
        rows=tuple(_row(found, cell, system) for cell in found.cells),
    )


def changes_listing(found: Sweep) -> Listing:
    """One row for each boundary."""
    rows = tuple(_change(found, one) for one in found.boundaries)
    either = (_EITHER,) if any(one.either for one in found.boundaries) else ()
    return Listing(columns=(*_CHANGES, *either), rows=rows, empty="nowhere between these ends")


def ties(found: Sweep) -> list[str]:
    """What is meant by setups that are as good, where there are some, and which one would do everywhere."""
    if not any(found.as_good(cell) for cell in (*found.cells, *found.between)):
        return []
    texts = [
        f"As good: it takes no more resets than the best, and its margin is at most {BAND:g} lower (up "
        "to the margin that is enough). Either will do: of the two, one is as good where the other is best."
    ]
    mark = found.serves_all()
    if mark is not None:
        texts.append(f"{mark} is the best, or as good, in every cell in which a setup works.")
    return texts


def doubts(found: Sweep) -> list[str]:
    """What is meant by a cell that is not certain, where places are measured."""
    known = [cell.certain for cell in found.cells if cell.certain is not None]
    if not known:
        return []
    if all(known):
        return ["In every cell the best setup works wherever the readings leave the places (95 %)."]
    return [
        "NOT CERTAIN: the best setup of that cell may fail within what the readings of the site leave open "
        "(95 %). Elsewhere it works wherever the readings leave the places."
    ]


def legend(found: Sweep, system: str) -> str:
    """What each letter stands for, with one setup that bears it."""
    lines = [
        f"- {mark}: {run_of_rope(setup.walk, setup.gear, system)}."
        for mark, setup in found.examples()
    ]
    if any(cell.setup is None for cell in found.cells):
        lines.append(f"- {NONE}: no setup works with the gear owned.{_stops(found)}")
    return "\n".join(lines)


def _stops(found: Sweep) -> str:
    """What stops the rig that comes nearest, in the cells in which that was looked for."""
    return "".join(
        f" With {_at(found, one.values)}: {one.text}{f'; cure: {one.cure}' if one.cure else ''}."
        for one in found.stops
    )


def _at(found: Sweep, values: Sequence[float]) -> str:
    """The values of a cell by the names of what is varied."""
    return " and ".join(
        f"{axis.name} {_rounded(axis.text(value), value, axis.unit)}"
        for axis, value in zip(found.axes, values, strict=True)
    )


def sweep_json(found: Sweep, system: str = "metric") -> dict[str, Any]:
    """A sweep ready for JSON: values in the units of the request, answers in SI."""
    record: dict[str, Any] = {
        "varied": [
            {"key": one.key, "name": one.name, "from": one.low, "to": one.high, "unit": one.unit}
            for one in found.axes
        ],
        "cells": [_cell_json(found, cell, system) for cell in found.cells],
        "boundaries": [
            {
                "key": found.axes[one.axis].key, "low": one.low, "high": one.high,
                "other": one.other, "from": one.before, "to": one.after, "either_will_do": one.either,
            }
            for one in found.boundaries
        ],
        "nothing_works": [
            {"values": list(one.values), "limit": one.limit, "text": one.text, "cure": one.cure}
            for one in found.stops
        ],
        "setups": {mark: setup.reeving for mark, setup in found.examples()},
        "proven": found.proven,
    }  # fmt: skip
    cleaned: dict[str, Any] = plain(record)
    return cleaned


def _cell_json(found: Sweep, cell: Cell, system: str) -> dict[str, Any]:
    setup = cell.setup
    return {
        "values": list(cell.values),
        "best": None if setup is None else found.letter(cell),
        "as_good": list(found.as_good(cell)),
        "margin": None if setup is None else worst(setup),
        "weakest": None if setup is None else setup.weakest,
        "unrated": None if setup is None else list(setup.unrated),
        "pull_N": None if setup is None else setup.pull,
        "rope_needed_m": None if setup is None else setup.rope_needed,
        "resets": None if setup is None else setup.resets,
        "cost": cell.cost,
        "status": str(cell.status),
        "proven": cell.proven,
        "reeving": None if setup is None else setup.reeving,
        "certain": cell.certain,
        "may_fail": list(fails(cell.measured, system)) if cell.measured else [],
    }


def worst(setup: Setup) -> float:
    """The margin printed for a cell: at the worst ends of what is still a range."""
    return setup.margin if setup.margin_worst is None else min(setup.margin, setup.margin_worst)


def _row(found: Sweep, cell: Cell, system: str) -> dict[str, Any]:
    record: dict[str, Any] = {
        "proven": cell.proven, "letter": found.letter(cell), "cost": cell.cost,
        "status": str(cell.status), "as_good": " ".join(found.as_good(cell)) or None,
    }  # fmt: skip
    for number, (axis, value) in enumerate(zip(found.axes, cell.values, strict=True)):
        record[f"text{number}"] = _rounded(axis.text(value), value, axis.unit)
        record[axis.key] = value
    setup = cell.setup
    if setup is None:
        undecided = cell.status is Status.UNDECIDED
        why = next((one.text for one in found.stops if one.values == cell.values), None)
        none = "none found yet" if undecided else "no setup works"
        return record | {"weakest_or_why": none, "why_none": why}
    unrated = " (UNRATED pieces)" if setup.unrated else ""
    return record | {
        "margin": worst(setup),
        "best": found.letter(cell),
        "weakest_or_why": setup.weakest + unrated,
        "weakest": setup.weakest,
        "unrated": "; ".join(setup.unrated) or None,
        "pull": setup.pull,
        "rope": setup.rope_needed,
        "resets": setup.resets,
        "reeving": setup.reeving,
        "readings": doubt(cell.measured, system),
        "readings_certain": None if cell.certain is None else "yes" if cell.certain else "no",
    }


def _rounded(text: str, value: float, unit: str) -> str:
    short = f"{value:.5g}"
    return text if len(text) <= len(short) + len(unit) + 1 else f"{short} {unit}".rstrip()


def _change(found: Sweep, one: Boundary) -> dict[str, Any]:
    axis = found.axes[one.axis]
    unit = f" {axis.unit}" if axis.unit else ""
    at = None
    if one.other is not None:
        other = found.axes[1 - one.axis]
        at = f"{other.key} {_rounded(other.text(one.other), one.other, other.unit)}"
    return {
        "along": axis.key,
        "between": f"{one.low:.5g} and {one.high:.5g}{unit}",
        "low": one.low,
        "high": one.high,
        "at": at,
        "before": one.before,
        "after": one.after,
        "either_will_do": "yes" if one.either else None,
    }
