"""The search for tackle on tackle against plain enumeration of its stated space.

Every first walk (tests.oracle.walks), every place, every second rope, every efficiency, rope and end
is tried; nothing is bounded. The forces of what is found are checked elsewhere, from first principles
(optimiser.verify) and by virtual work.
"""

from collections.abc import Iterator

import numpy as np
import pytest

from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear import assign
from optimiser.rig.gear.fill import loose_margin
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Key, Order
from optimiser.rig.two_ropes.evaluate import evaluate
from optimiser.rig.two_ropes.slots import CompoundRow
from optimiser.rig.two_ropes.variants import variants
from optimiser.rig.walk import PlaceKind
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
from tests.compound.enumeration import Pair, pairs
from tests.compound.sites import site
from tests.long import cases
from tests.oracle.walks import identity

NUMBERS = (1, 3, 6, 7, 9, 15, 19, 42, 43, 45, 48, 51, 55, 57)
"""Sites that the enumeration gets through in seconds; some have nothing to find."""
TOP = 4


def best_of_all(
    site: Site, kit: Kit, order: Order, *, rated: bool
) -> dict[object, tuple[float, ...]]:
    """The best sort key of every setup of tackle on tackle, by what distinguishes setups."""
    best: dict[object, tuple[float, ...]] = {}
    for scene in scenes(site, lay_stations(site)):
        if rated and not scene.rated:
            continue
        for pair in pairs(scene, kit, site.preferences.rules):
            names = {p.name for p in pair.first if p.kind is PlaceKind.ANCHOR}
            names |= {scene.places[n].name for n in pair.tackle.numbers if n > 0}
            if rated and any(site.anchor(n).strength.capacity is None for n in names):
                continue
            _try(scene, kit, order, pair, best)
    return best


def _try(
    scene: Scene, kit: Kit, order: Order, pair: Pair, best: dict[object, tuple[float, ...]]
) -> None:
    floor = scene.site.preferences.margin_wanted
    numbers = np.array([[scene.number[place] for place in pair.first[:-1]]])
    second = tuple("grip" if n < 0 else scene.places[n].name for n in pair.tackle.numbers)
    who = (identity((*pair.first[:-1], scene.places[-1])), second)
    for etas in eta_patterns(kit, len(pair.first) - 2 + pair.tackle.sheaves):
        ev = evaluate(scene, numbers, pair.tackle, np.array([etas]))
        if not ev.works.all():
            continue
        for variant in variants(CompoundRow(ev, 0), kit):
            if loose_margin(variant) < floor:
                continue
            at_best = order.sortable(Key.of(variant, loose_margin(variant)))
            if who in best and at_best >= best[who]:
                continue
            filled = assign.best([variant], order, floor_margin=floor)
            if filled is not None:
                found = order.sortable(Key.of(variant, filled.margin))
                best[who] = min(best.get(who, found), found)


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


@pytest.mark.parametrize("number", cases(NUMBERS, quick=(3, 6, 19)))
def test_same_list_as_the_enumeration(number: int) -> None:
    small = site(number)
    kit, order = kit_of(small), Order.of(small.preferences)
    rules = Rules.of(small.preferences.rules)
    every = list(scenes(small, lay_stations(small)))

    found = listed(every, kit, order, rules)

    rated = sorted(best_of_all(small, kit.rated_only, order, rated=True).values())
    expected = rated[:TOP]
    if len(expected) < TOP:
        loose = best_of_all(small, kit, order, rated=False)
        known = best_of_all(small, kit.rated_only, order, rated=True)
        expected += sorted(sort for who, sort in loose.items() if who not in known)
        expected = expected[:TOP]
    sorts = [entry.sort for entry in found]
    assert sorts == expected
    assert compounds_in_space(every, kit, rules) == sum(
        1 for scene in every for _ in pairs(scene, kit, small.preferences.rules)
    )
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
