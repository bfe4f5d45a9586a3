"""The pinned release of the constraint solver, tried on a model with a known solution.

One release of OR-Tools (9.15.6755, default settings) calls models of the kind that fills slots with
gear infeasible although a filling exists. `certificate.json` has one: 12 slots, 40 pieces, 200
geometries of which one is chosen; a piece fits a slot or not, and its rating must reach a threshold
(in thousandths) times the demand of its slot in the chosen geometry. The data are made up.

The pin may only move to a release that passes this.
"""

import json
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest
from ortools.sat.python import cp_model

PINNED = "9.14.6206"
SCALE = 1000


@dataclass(frozen=True)
class Certificate:
    threshold: int
    ratings: list[int]
    fits: list[list[bool]]  # [slot][piece]
    demands: list[list[int]]  # [geometry][slot]
    geometry: int
    assignment: list[int]  # piece in each slot


@cache
def certificate() -> Certificate:
    stored = json.loads((Path(__file__).parent / "certificate.json").read_text("utf-8"))
    fits = [[mark == "1" for mark in row] for row in stored.pop("fits")]
    return Certificate(fits=fits, **stored)


def test_the_certificate_solves_the_model() -> None:
    """In whole numbers, without any solver."""
    c = certificate()
    assert len(set(c.assignment)) == len(c.assignment) == len(c.fits)
    for slot, piece in enumerate(c.assignment):
        assert c.fits[slot][piece]
        assert SCALE * c.ratings[piece] >= c.threshold * c.demands[c.geometry][slot]


def _model(c: Certificate) -> tuple[Any, list[dict[int, Any]], list[Any]]:
    model = cp_model.CpModel()
    picks = [
        {piece: model.NewBoolVar("") for piece, fits in enumerate(row) if fits} for row in c.fits
    ]
    chosen = [model.NewBoolVar("") for _ in c.demands]
    for slot in picks:
        model.AddExactlyOne(slot.values())
    for piece in range(len(c.ratings)):
        users = [slot[piece] for slot in picks if piece in slot]
        if len(users) > 1:
            model.AddAtMostOne(users)
    model.AddExactlyOne(chosen)
    for number, slot in enumerate(picks):
        strength = sum(SCALE * c.ratings[piece] * pick for piece, pick in slot.items())
        load = sum(
            c.threshold * demands[number] * on
            for demands, on in zip(c.demands, chosen, strict=True)
        )
        model.Add(strength - load >= 0)
    return model, picks, chosen


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_release_finds_a_solution(seed: int) -> None:
    c = certificate()
    model, picks, chosen = _model(c)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    status = solver.Solve(model)
    assert solver.StatusName(status) in ("OPTIMAL", "FEASIBLE")
    # The solution found is one, in whole numbers.
    geometry = next(i for i, on in enumerate(chosen) if solver.Value(on))
    pieces = [next(p for p, pick in slot.items() if solver.Value(pick)) for slot in picks]
    assert len(set(pieces)) == len(pieces)
    for slot, piece in enumerate(pieces):
        assert SCALE * c.ratings[piece] >= c.threshold * c.demands[geometry][slot]


def test_the_release_installed_is_the_pinned_one() -> None:
    assert version("ortools") == PINNED


def test_the_project_pins_the_release() -> None:
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text("utf-8"))
    wanted = [d for d in project["project"]["dependencies"] if d.startswith("ortools")]
    assert wanted == [f"ortools=={PINNED}"]
