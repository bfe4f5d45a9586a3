"""The cheapest goods with which something can be done, against every set of goods, where it can be done in
several ways, each of some steps, and what is bought once serves in every step."""

from itertools import product

import numpy as np
import pytest

from optimiser.search.buying.hitting import Least

Goods = tuple[int, ...]
Ways = list[list[Goods]]


def made_up(seed: int) -> tuple[Ways, list[float], Goods]:
    """Ways of steps, each with the goods it takes; prices with many ties; how many there are of each."""
    rng = np.random.default_rng(seed)
    kinds = int(rng.integers(3, 6))
    most = tuple(int(n) for n in rng.integers(1, 3, kinds))
    prices = [float(p) for p in rng.integers(1, 6, kinds)]
    ways = []
    for _ in range(int(rng.integers(1, 6))):
        steps = [
            tuple(int(rng.integers(0, m + 1)) * int(rng.random() < 0.5) for m in most)
            for _ in range(int(rng.integers(1, 4)))
        ]
        ways.append(steps)
    return ways, prices, most


def cost(prices: list[float], goods: Goods) -> float:
    return sum(p * n for p, n in zip(prices, goods, strict=True))


def part_of(few: Goods, many: Goods) -> bool:
    return all(a <= b for a, b in zip(few, many, strict=True))


def plainly(ways: Ways, prices: list[float], most: Goods) -> float | None:
    every = product(*(range(m + 1) for m in most))
    does = [g for g in every if any(all(part_of(step, g) for step in way) for way in ways)]
    return min((cost(prices, g) for g in does), default=None)


@pytest.mark.parametrize("seed", range(150))
def test_nothing_cheaper_does(seed: int) -> None:
    ways, prices, most = made_up(seed)

    def does(goods: Goods, budget: float) -> Goods | None:
        for way in ways:
            if all(part_of(s, goods) and cost(prices, s) <= budget + 1e-9 for s in way):
                return tuple(max(many) for many in zip(*way, strict=True))
        return None

    found = Least(does, prices, most, step=1.0).least(None, rise=1.4)
    assert found is not None
    assert does(found, float("inf")) is not None
    assert cost(prices, found) == plainly(ways, prices, most)
    # From goods that do, whatever they are, it comes to the same.
    again = Least(does, prices, most, step=1.0).least(most, rise=1.4)
    assert again is not None
    assert cost(prices, again) == cost(prices, found)


def test_in_some_the_steps_cost_more_together_than_any_alone() -> None:
    """Else only half of the search is compared."""
    apart = 0
    for seed in range(150):
        ways, prices, most = made_up(seed)
        alone = min(max(cost(prices, step) for step in way) for way in ways)
        together = plainly(ways, prices, most)
        assert together is not None
        apart += alone < together
    assert apart >= 20


def test_where_nothing_does_there_is_no_answer() -> None:
    assert Least(lambda *_: None, [1.0, 2.0], (1, 1), step=1.0).least(None, rise=1.4) is None
