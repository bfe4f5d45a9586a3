"""Imports the constraint solver, CP-SAT, once, and sets it up always alike."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib import import_module
from importlib.util import find_spec, module_from_spec
from types import ModuleType
from typing import Any

from shared.effort import Effort, note

MODULE = "ortools.sat.python.cp_model"


@cache
def cp_sat() -> Any:
    """The solver's modelling module.

    It imports pandas, only to name the types of tables that models may be made from; no model here is,
    and pandas would take as long as all else that a ranking imports. So this program has a copy of the
    module for itself, which knows those types by name only. Whoever imports the module in the usual way
    gets the usual one. Should a release need more of pandas, the usual one is taken here too.
    """
    if MODULE in sys.modules or "pandas" in sys.modules:
        return import_module(MODULE)
    spec = find_spec(MODULE)
    if spec is None or spec.loader is None:
        raise ModuleNotFoundError(MODULE)
    own = module_from_spec(spec)
    try:
        with _names_for_pandas():
            spec.loader.exec_module(own)
    except (AttributeError, ImportError):
        return import_module(MODULE)
    return own


@contextmanager
def _names_for_pandas() -> Iterator[None]:
    """Names stand for pandas as long as it runs, and no longer, whatever ends it."""
    sys.modules["pandas"] = _names_only()
    try:
        yield
    finally:
        del sys.modules["pandas"]


def _names_only() -> ModuleType:
    named = ModuleType("pandas")
    for name in ("Index", "Series"):
        setattr(named, name, type(name, (), {}))
    return named


def solver(*, presolve: bool = True) -> Any:
    """A solver whose answers are the same at every run."""
    made = cp_sat().CpSolver()
    # Its handler of interrupts would leave the process with none: Ctrl-C could no longer be noticed.
    made.parameters.catch_sigint_signal = False
    made.parameters.num_workers = 1
    made.parameters.random_seed = 1
    made.parameters.cp_model_presolve = presolve
    return made


def solved(engine: Any, model: Any) -> Any:
    """The status of a model that a solver has worked on."""
    status = engine.Solve(model)
    note(Effort.MODEL)
    note(Effort.SOLVER, engine.ResponseProto().deterministic_time)
    return status


def surely_infeasible(model: Any, *, presolve: bool = True) -> None:
    """Solves a model that was called infeasible again: without presolve if that was the answer with it,
    and the other way round, as a release of the solver was found to lose solutions in that part.
    RuntimeError where the two disagree."""
    if solved(solver(presolve=not presolve), model) != cp_sat().INFEASIBLE:
        raise RuntimeError("the constraint solver contradicts itself: wrong solver release?")
