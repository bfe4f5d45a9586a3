"""Finds the cheapest set of goods for which a question answers yes. The question must stay yes when
goods are added.

A store of goods that does not do, whatever else is cheap enough put to it, means: something beyond it must
be bought. The constraint solver finds the cheapest goods that obey all that has been learnt so; if they
do, nothing cheaper does, and if not, they are made into the next such store.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from optimiser.rig.gear.solver import cp_sat, solved, solver, surely_infeasible

Goods = tuple[int, ...]
Does = Callable[[Goods, float], Goods | None]
"""Returns a subset of the goods given that suffices and whose dearest step is within the budget; None where
there is none. What suffices within a budget must be found with that budget or a larger one."""
HUNDREDTHS = 100
FIRST_SHARE = 1.0 / 16.0
"""The first budget tried, as a share of the cheapest cost known."""


class Least:
    """The search for the cheapest goods that do. `most`: how many there are of each; `step`: least
    difference in cost; `stores`: goods known not to do. `best`: the cheapest found so far."""

    def __init__(
        self,
        does: Does,
        prices: Sequence[float],
        most: Goods,
        step: float,
        stores: Iterable[Goods] = (),
    ) -> None:
        self.does, self.prices, self.most, self.step = does, prices, most, step
        self.best: Goods | None = None
        self.stores: list[Goods] = list(stores)

    def cost(self, goods: Goods) -> float:
        return sum(p * n for p, n in zip(self.prices, goods, strict=True))

    @property
    def limit(self) -> float:
        """The most that a better answer may cost."""
        assert self.best is not None
        return self.cost(self.best) - self.step

    def least(self, start: Goods | None, *, rise: float) -> Goods | None:
        """The cheapest goods that do; None where not even all do. `start`: goods that do; `rise`: how
        fast budgets rise at first."""
        self.best = start
        if start is None:
            anything = self._found(self.most, self.cost(self.most))
            if anything is None:
                return None
            self._shrink(anything)
        # With less than the cheapest thing costs nothing is bought.
        least = min((price for price in self.prices if price > 0.0), default=0.0)
        budget = max(self.limit * FIRST_SHARE, least)
        # Small budgets are quick to decide, and what they find is cheap.
        while 0.0 < budget < self.limit and self._found(self.most, budget) is None:
            budget *= rise
        while True:
            before = self.best
            found = self._found(self.most, self.limit)
            if found is None:
                return self.best
            self._shrink(found)
            if self.best == before:  # no step costs too much, but all together do
                return self._settle()

    def _found(self, goods: Goods, budget: float) -> Goods | None:
        """Goods that suffice within the budget, or None; keeps the cheapest found."""
        found = self.does(goods, budget)
        if found is None:
            return None
        if self.best is None or self.cost(found) <= self.limit + self.step / 2:
            self.best = found
        return found

    def _shrink(self, goods: Goods) -> None:
        """Take from goods that do what they do not need, the dearest first."""
        kinds = [i for i, many in enumerate(goods) if many]
        for i in sorted(kinds, key=lambda i: (-self.prices[i], i)):
            while goods[i]:
                fewer = _with(goods, i, -1)
                found = self._found(fewer, self.cost(fewer))
                if found is None:
                    break
                goods = found

    # ---- between what is known and what is proven -------------------------------------------------

    def _settle(self) -> Goods:
        assert self.best is not None
        while True:
            cheapest = self._cheapest()
            if cheapest is None:
                return self.best
            found = self._found(cheapest, self.cost(cheapest))
            if found is not None:
                return found
            self.stores.append(self._grown(cheapest))

    def _cheapest(self) -> Goods | None:
        """The cheapest goods that go beyond every store; None where they cost more than the limit."""
        cp_model = cp_sat()
        model: Any = cp_model.CpModel()
        many = [model.NewIntVar(0, most, f"n{i}") for i, most in enumerate(self.most)]
        beyond: dict[tuple[int, int], Any] = {}
        for store in self.stores:
            ways = []
            for i, (have, most) in enumerate(zip(store, self.most, strict=True)):
                if have < most:
                    if (i, have) not in beyond:
                        beyond[i, have] = model.NewBoolVar(f"n{i}>{have}")
                        model.Add(many[i] > have).OnlyEnforceIf(beyond[i, have])
                    ways.append(beyond[i, have])
            model.AddBoolOr(ways)
        cost = sum(round(p * HUNDREDTHS) * n for p, n in zip(self.prices, many, strict=True))
        model.Add(cost <= round(self.limit * HUNDREDTHS))
        model.Minimize(cost)
        engine = solver()
        status = solved(engine, model)
        if status == cp_model.INFEASIBLE:
            surely_infeasible(model)
            return None
        if status != cp_model.OPTIMAL:
            raise RuntimeError(f"constraint solver stopped with {engine.StatusName(status)}")
        return tuple(engine.Value(n) for n in many)

    def _grown(self, goods: Goods) -> Goods:
        """As much as can be put to goods that do not do, the cheapest first, so that they still do not,
        with nothing that costs more than the limit."""
        copies = [
            i
            for i in sorted(range(len(self.most)), key=lambda i: (self.prices[i], i))
            for _ in range(self.most[i] - goods[i])
        ]
        return self._put(goods, copies)

    def _put(self, store: Goods, copies: list[int]) -> Goods:
        if not copies:
            return store
        more = store
        for i in copies:
            more = _with(more, i, +1)
        # Steps that cost more than the limit are of no use to anything better.
        if self._found(more, self.limit) is None:
            return more
        if len(copies) == 1:
            return store
        half = len(copies) // 2
        return self._put(self._put(store, copies[:half]), copies[half:])


def _with(goods: Goods, index: int, more: int) -> Goods:
    return tuple(n + more * (i == index) for i, n in enumerate(goods))
