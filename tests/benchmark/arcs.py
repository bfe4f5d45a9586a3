"""The model of whole reevings (`tests.search.whole_reevings`) in two solvers: CP-SAT, and scipy's
mixed-integer solver (HiGHS). One model, given to both; the answer is the best margin of any rig."""

import time
from typing import Any

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from optimiser.rig.walk import Walk
from tests.search.whole_reevings import SCALE, Reevings


class TimeUpError(Exception):
    """Not finished within the time."""


class InMilp(Reevings):
    """The same model, solved by `scipy.optimize.milp`."""

    deadline = float("inf")

    def _solve(self, goal: Any) -> tuple[Walk | None, int]:
        left = self.deadline - time.process_time()
        if left <= 0.0:
            raise TimeUpError
        proto = self.model.Proto()
        columns = len(proto.variables)
        lower = np.array([v.domain[0] for v in proto.variables], dtype=float)
        upper = np.array([v.domain[-1] for v in proto.variables], dtype=float)
        unit = np.where(upper > 1.0, float(SCALE), 1.0)  # whole millionths become plain numbers
        lower, upper = lower / unit, upper / unit
        rows = _Rows(lower, upper, unit)
        for one in proto.constraints:
            rows.add(one)
        cost = np.zeros(columns)
        for index, weight in zip(proto.objective.vars, proto.objective.coeffs, strict=True):
            cost[index] = weight
        found = milp(
            cost,
            integrality=np.where(unit == 1.0, 1, 0),
            bounds=Bounds(lower, upper),
            constraints=rows.constraint(),
            options={"time_limit": left, "mip_rel_gap": 1e-7, "presolve": False},
        )
        if found.status == 1:
            raise TimeUpError
        if found.x is None:
            return None, 0
        on = {k: (a, b) for (k, a, b), x in self.arcs.items() if found.x[x.Index()] > 0.5}
        nodes = [self.scene.me, *(on[k][1] for k in sorted(on))]
        return tuple(reversed(nodes)), round(SCALE * float(found.x[goal.Index()]))


class _Rows:
    """Constraints of the one solver as rows of the other."""

    def __init__(self, lower: Any, upper: Any, unit: Any) -> None:
        self.lower, self.upper, self.unit = lower, upper, unit
        self.parts: list[tuple[int, int, float]] = []
        self.least: list[float] = []
        self.most: list[float] = []

    def add(self, one: Any) -> None:
        if one.HasField("linear"):
            self._linear(one)
        elif one.HasField("exactly_one"):
            self._literals(one.exactly_one.literals, 1.0, 1.0)
        elif one.HasField("bool_or"):
            self._literals([*one.bool_or.literals, *(-1 - e for e in one.enforcement_literal)])
        elif one.HasField("bool_and"):
            for literal in one.bool_and.literals:
                self._literals([literal, *(-1 - e for e in one.enforcement_literal)])
        else:
            raise NotImplementedError(str(one))

    def _literals(self, literals: Any, least: float = 1.0, most: float = np.inf) -> None:
        """A sum of yes/no; a literal below 0 is the opposite of variable -1 - literal."""
        opposite = sum(literal < 0 for literal in literals)
        terms = [(x, 1.0) if x >= 0 else (-1 - x, -1.0) for x in literals]
        self._row(terms, least - opposite, most - opposite)

    def _linear(self, one: Any) -> None:
        terms = [
            (x, c * self.unit[x]) for x, c in zip(one.linear.vars, one.linear.coeffs, strict=True)
        ]
        size = max(abs(c) for _, c in terms)
        terms = [(x, c / size) for x, c in terms]
        ends = one.linear.domain
        least = -np.inf if ends[0] < -(2**62) else ends[0] / size
        most = np.inf if ends[-1] > 2**62 else ends[-1] / size
        if not one.enforcement_literal:
            self._row(terms, least, most)
            return
        # Binds only where all its literals are on: loosened by the most that it could be broken by.
        reach = [sorted((c * self.lower[x], c * self.upper[x])) for x, c in terms]
        highest = sum(high for _, high in reach)
        assert least == -np.inf
        excess = max(highest - most, 0.0)
        literals = list(one.enforcement_literal)
        assert all(literal >= 0 for literal in literals)
        self._row(
            [*terms, *((x, excess) for x in literals)], -np.inf, most + excess * len(literals)
        )

    def _row(self, terms: Any, least: float, most: float) -> None:
        number = len(self.least)
        self.parts += [(number, x, c) for x, c in terms]
        self.least.append(least)
        self.most.append(most)

    def constraint(self) -> LinearConstraint:
        row, column, value = (np.array(v) for v in zip(*self.parts, strict=True))
        matrix = csr_array((value, (row, column)), shape=(len(self.least), len(self.lower)))
        return LinearConstraint(matrix, np.array(self.least), np.array(self.most))
