"""The list itself: what is kept of a setup, what a further one must reach, and when to look again."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.standing import MARK
from optimiser.rig.order import Key, Order
from optimiser.search.board import Board
from optimiser.search.bounds.partial import Bound, Partial
from optimiser.search.clock import Clock
from optimiser.search.leaves import FromKit
from optimiser.search.prove import search
from optimiser.search.rules import Rules
from optimiser.site.counts import Count

ORDER = Order((Count.MARGIN, Count.RESETS, Count.ROPE), enough=2.0)


def _key(margin: float, resets: int, rope: float) -> Key:
    return Key(margin, resets, rope, parts=1, pull=1000.0)


def _offer(board: Board, name: str, key: Key) -> None:
    filling: Any = SimpleNamespace(variant=SimpleNamespace(row=None))
    board.offer((name,), key, filling)


def _limit(key: Key, order: Order = ORDER) -> tuple[float, ...]:
    return order.sortable(key)


def _wanted(limit: tuple[float, ...] | None, floor: float, order: Order = ORDER) -> float:
    """The margin that is required of a walk with a resets bound of 2."""
    return float(_bound(2.0).wanted(order, limit, floor).margin[0])


def _bound(resets: float, *, marked: bool = False) -> Bound:
    some = np.array([9.0])
    return Bound(some, np.array([resets]), some, some, some, np.array([marked]))


def test_a_walk_in_the_band_of_the_last_is_of_use() -> None:
    """A list whose last has a margin of 1.27 is in the band from 1.2: what reaches 1.2 may have fewer
    resets, what stays below cannot come in."""
    assert _wanted(None, 1.0) == 1.0
    assert _wanted(_limit(_key(1.27, 2, 30.0)), 1.0) == pytest.approx(1.2)
    assert _wanted(_limit(_key(1.27, 2, 30.0)), 1.5) == 1.5


def test_margin_beyond_enough_is_not_called_for() -> None:
    assert _wanted(_limit(_key(3.4, 2, 30.0)), 1.0) == pytest.approx(2.0)


def test_one_that_is_marked_down_must_make_up_for_it() -> None:
    last = _limit(_key(1.27, 2, 30.0))
    assert _bound(2.0, marked=True).wanted(ORDER, last, 1.0).margin[0] == pytest.approx(1.2 + MARK)
    assert _bound(2.0, marked=True).wanted(ORDER, None, 1.0).margin[0] == 1.0


def test_margin_is_required_of_a_walk_that_is_no_better_on_what_weighs_more() -> None:
    order = Order((Count.RESETS, Count.MARGIN, Count.ROPE), enough=2.0)
    last = _limit(_key(1.27, 2, 30.0), order)
    assert _wanted(last, 1.0, order) == pytest.approx(1.2)
    assert _bound(1.0).wanted(order, last, 1.0).margin[0] == 1.0


def test_a_walk_that_is_marked_down_goes_behind_one_that_is_not() -> None:
    last = _limit(_key(1.65, 2, 30.0))
    reaches = Bound(
        np.array([1.7, 1.7, 2.1]),
        np.zeros(3),
        np.ones(3),
        None,
        None,
        np.array([False, True, True]),
    )
    assert reaches.hopeful(ORDER, last, 1.0).tolist() == [True, False, False]
    assert reaches.hopeful(ORDER, _limit(_key(1.55, 2, 30.0)), 1.0).tolist() == [True, False, True]


def test_parts_and_pull_count_where_the_order_names_them() -> None:
    order = Order((Count.PARTS, Count.PULL), enough=2.0)
    some = np.ones(3)
    bound = Bound(some, some, some, np.array([3.0, 4.0, 3.0]), np.array([900.0, 800.0, 1001.0]))
    assert bound.hopeful(order, (3.0, 1000.0), 1.0).tolist() == [True, False, False]


def test_of_equal_fillings_the_one_of_more_margin_stays() -> None:
    board = Board(ORDER, 3, everything=False)
    for margin in (1.24, 1.28, 1.21):
        _offer(board, "a", _key(margin, 2, 30.0))
    ((_, entry),) = board.leaders()
    assert entry.key.margin == 1.28


def test_as_good_as_the_last_may_still_come_in() -> None:
    """Ties are listed by their names, so that a tie with the last can go before it."""
    order = Order((Count.MARGIN, Count.RESETS), enough=2.0)
    bound = Bound(
        np.array([1.25, 1.25, 1.15]), np.array([1.0, 2.0, 1.0]), np.array([9.0, 9.0, 9.0])
    )
    limit = order.sortable(_key(1.25, 1, 9.0))
    assert bound.hopeful(order, limit, 1.0).tolist() == [True, False, False]


def test_a_walk_is_looked_at_once_until_all_come_anew() -> None:
    tally = SimpleNamespace(count_solver=lambda: None)
    sought: Any = SimpleNamespace(order=ORDER, floor=1.0, tally=tally)
    giving, walks = FromKit(sought), np.array([[1, 0], [2, 0], [3, 0]])
    assert giving.new(walks[:2]).tolist() == [[1, 0], [2, 0]]
    assert giving.new(walks).tolist() == [[3, 0]]
    giving.again()
    assert giving.new(walks).tolist() == walks.tolist()


class _Given:
    """Stands for what grows walks: four are complete at once."""

    t = SimpleNamespace(floor=1.0, scene=SimpleNamespace(puller=SimpleNamespace(stand=None)))

    def tabulate(self) -> None: ...

    def first(self) -> tuple[Partial, Partial]:
        def some(count: int) -> Partial:
            none = np.zeros((count, 1))
            flat = np.zeros(count, dtype=np.int64)
            path = np.arange(count)[:, None]
            plain = np.zeros(count, dtype=bool)
            return Partial(
                path, none, none, none[:, 0], none[:, 0], flat, flat, plain, none, none, none
            )

        return some(0), some(4)


KEYS = {
    "a": _key(1.45, 2, 70.0),
    "b": _key(1.35, 3, 65.0),
    "d": _key(1.25, 4, 40.0),  # worse than b in the order, but c does not beat it on rope
    "c": _key(1.55, 1, 60.0),  # beats a and b on every count
}


class _Offering:
    """Stands for what confirms walks: offers what the list still needs."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self.tally = SimpleNamespace(looked_at=0)

    def again(self) -> None: ...

    def take(self, path: Any, on_time: Any) -> None:
        del on_time
        if not len(path):
            return
        for name, key in KEYS.items():
            sort = ORDER.sortable(key)
            if self.board.limit is None or sort <= self.board.limit:
                _offer(self.board, name, key)


def test_what_was_dropped_for_one_that_left_the_list_is_looked_at_again() -> None:
    """a and b fill the list, d is dropped for being worse than b; then c drives both out, and d is second
    best."""
    scene: Any = SimpleNamespace()
    outcome = search(
        [scene],
        Kit((), ()),
        ORDER,
        Rules.of(frozenset()),
        top=2,
        floor=1.0,
        everything=False,
        clock=Clock(None, None),
        workers=lambda board, tally: [(_Given(), _Offering(board))],  # type: ignore[list-item]
    )
    assert [identity for identity, _ in outcome.board.leaders()] == [("c",), ("d",)]
