"""The search for tackle on tackle against plain enumeration of its stated space.

Every first walk, every place, every second rope, every efficiency, rope, end and piece is tried
(tests.oracle.two_ropes), with nothing taken of the program but the site; nothing is bounded.
`python -m tests.compound --sites 60` compares more.
"""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.search.board import Board, Entry
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.clock import Clock
from optimiser.search.leaves import Confirmer
from optimiser.search.listing import anything_unrated
from optimiser.search.prove import Outcome, search
from optimiser.search.rules import Rules
from optimiser.search.sought import Tally
from optimiser.search.two_ropes.search import compounds_in_space, tackle_workers
from optimiser.site.model import Site
from tests.compound.sites import bridled, site
from tests.long import cases
from tests.oracle.enumeration import has_rating
from tests.oracle.two_ropes import best_of_all, pairs_in_space

NUMBERS = (1, 3, 7, 9, 15, 19, 43, 45, 48, 51, 55, 57)
"""Sites that the enumeration gets through in seconds; some have nothing to find."""
TOP = 4


def compounds(
    every: list[Scene], kit: Kit, order: Order, rules: Rules, top: int, *, rated: bool
) -> Outcome:
    """The search for tackle on tackle alone."""
    floor = every[0].site.preferences.margin_wanted

    def workers(board: Board, tally: Tally) -> Iterator[tuple[Grower, Confirmer]]:
        return tackle_workers(some, tables_of, order, board, tally)

    def tables_of(scene: Scene) -> Tables:
        return Tables(scene, kit, rules, floor, rated)

    some = [scene for scene in every if scene.rated or not rated]
    return search(
        some, kit, order, rules, top=top, floor=floor, everything=True, clock=Clock(None, None),
        only_rated=rated, workers=workers,
    )  # fmt: skip


def listed(every: list[Scene], kit: Kit, order: Order, rules: Rules) -> list[Entry]:
    """The best TOP, the fully rated first."""
    found = compounds(every, kit.rated_only, order, rules, TOP, rated=True)
    assert found.proven
    out = [entry for _, entry in found.board.leaders()]
    if len(out) < TOP and anything_unrated(every[0].site, every, kit):
        many = TOP + len(found.board.entries)
        more = compounds(every, kit, order, rules, many, rated=False)
        assert more.proven
        known = set(found.board.entries)
        loose = [e for i, e in more.board.leaders() if i not in known and e.filled.unrated]
        out += loose[: TOP - len(out)]
    return out


def both_lists(small: Site) -> tuple[list[Entry], list[tuple[float, ...]]]:
    """The search's list, and the counts of the enumeration's."""
    kit, order = kit_of(small), Order.of(small.preferences)
    every = list(scenes(small, lay_stations(small)))
    found = listed(every, kit, order, Rules.of(small.preferences.rules))
    names = [name.value for name in order.names]
    sound = replace(small, gear=tuple(piece for piece in small.gear if has_rating(piece)))
    known = best_of_all(sound, names, rated=True)
    expected = sorted(known.values())[:TOP]
    if len(expected) < TOP:
        loose = best_of_all(small, names, rated=False)
        expected += sorted(sort for who, sort in loose.items() if who not in known)
    return found, expected[:TOP]


@pytest.mark.parametrize("number", cases((2, 3, 12, 27), quick=(3, 27)))
def test_same_list_where_a_bridle_takes_the_pull(number: int) -> None:
    """More by `python -m tests.compound.bridled`. On 27 strokes end where the load is turned at a bend."""
    found, expected = both_lists(bridled(number))
    assert [entry.sort for entry in found] == expected
    assert any(entry.filled.variant.row.scene.attachment.leg is not None for entry in found)


@pytest.mark.parametrize("number", cases(NUMBERS, quick=(3, 9, 19), seldom=(45, 48)))
def test_same_list_as_the_enumeration(number: int) -> None:
    small = site(number)
    kit, order = kit_of(small), Order.of(small.preferences)
    every = list(scenes(small, lay_stations(small)))

    found, expected = both_lists(small)

    assert [entry.sort for entry in found] == expected
    rules = Rules.of(small.preferences.rules)
    assert compounds_in_space(every, kit, rules) == pairs_in_space(small)
    filler = Filler(order, small.preferences.margin_wanted)
    for i, entry in enumerate(found):
        verify(small, build_setup(filler.settled(entry.filled, entry.rivals), rank=i + 1))


def test_there_is_something_to_find() -> None:
    """Empty lists would agree too."""
    filled = 0
    for number in NUMBERS:
        small = site(number)
        every = list(scenes(small, lay_stations(small)))
        kit, rules = kit_of(small), Rules.of(small.preferences.rules)
        order = Order.of(small.preferences)
        filled += bool(listed(every, kit, order, rules))
    assert filled > len(NUMBERS) / 2
