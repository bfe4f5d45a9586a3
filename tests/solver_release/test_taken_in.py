"""How the program takes the solver in: without pandas, and without disturbing anyone else's use of either."""

import subprocess
import sys
from pathlib import Path

import pytest

from optimiser.rig.gear import solver as taken

ROOT = Path(__file__).parents[2]
SITE = ROOT / "examples" / "side-tree.toml"
SMALL = """
from optimiser.rig.gear.solver import cp_sat, solver, surely_infeasible

def least():
    model = cp_sat().CpModel()
    x, y = model.NewIntVar(0, 9, "x"), model.NewBoolVar("y")
    model.Add(3 * x + 2 * y >= 13)
    model.Minimize(5 * x + 4 * y)
    asked = solver()
    assert asked.Solve(model) == cp_sat().OPTIMAL
    return asked.Value(x), asked.Value(y)
"""


def output(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()[-1]


def test_a_ranking_needs_no_pandas_and_neither_does_the_solver() -> None:
    """Matchings fill most rigs, so a ranking alone may not take the solver in."""
    code = f"""{SMALL}
from optimiser.cli import main
main(["rank", {str(SITE)!r}])
import sys
found = least()
print(found, "ortools.sat.cp_model_pb2" in sys.modules, "pandas" in sys.modules)
"""
    assert output(code) == "(4, 1) True False"


def test_others_get_the_solver_and_pandas_as_usual() -> None:
    code = f"""{SMALL}
first = least()
import pandas
from ortools.sat.python import cp_model
model = cp_model.CpModel()
x = model.new_bool_var_series("x", pandas.Index(["a", "b"]))
model.add(x.sum() >= 2)
asked = cp_model.CpSolver()
print(first, asked.solve(model) == cp_model.OPTIMAL, int(asked.values(x).sum()), least())
"""
    assert output(code) == "(4, 1) True 2 (4, 1)"


def test_what_others_took_in_before_is_used() -> None:
    code = f"""{SMALL}
from ortools.sat.python import cp_model
print(least(), cp_sat() is cp_model)
"""
    assert output(code) == "(4, 1) True"


def test_a_release_that_requires_more_of_pandas_is_taken_in_as_usual() -> None:
    code = f"""
import types
import optimiser.rig.gear.solver
optimiser.rig.gear.solver._names_only = lambda: types.ModuleType("pandas")  # as if more names were wanted
{SMALL}
import sys
found = least()
usual = sys.modules["ortools.sat.python.cp_model"]
print(found, cp_sat() is usual, hasattr(sys.modules["pandas"], "Series"))
"""
    assert output(code) == "(4, 1) True True"


def test_an_interrupt_on_the_way_leaves_nothing_behind() -> None:
    code = """
import importlib.machinery, sys
from optimiser.rig.gear.solver import cp_sat
usual = importlib.machinery.SourceFileLoader.exec_module
def interrupted(loader, module):
    if module.__name__.endswith("cp_model"):
        raise KeyboardInterrupt
    usual(loader, module)
importlib.machinery.SourceFileLoader.exec_module = interrupted
try:
    cp_sat()
except KeyboardInterrupt:
    print("pandas" in sys.modules)
"""
    assert output(code) == "False"


def test_infeasible_is_solved_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    model = taken.cp_sat().CpModel()
    x = model.NewBoolVar("x")
    model.Add(x >= 2)
    presolved: list[bool] = []
    usual = taken.solver

    def noted(*, presolve: bool = True) -> object:
        presolved.append(presolve)
        return usual(presolve=presolve)

    monkeypatch.setattr(taken, "solver", noted)

    taken.surely_infeasible(model)
    taken.surely_infeasible(model, presolve=False)

    assert presolved == [False, True]


def test_a_solver_that_contradicts_itself_is_found_out() -> None:
    model = taken.cp_sat().CpModel()
    model.NewBoolVar("x")

    with pytest.raises(RuntimeError, match="contradicts itself"):
        taken.surely_infeasible(model)
