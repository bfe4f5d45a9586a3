"""Finds the best tackles on tackles and proves that none better exists in their space.

The space: the first rope's walk as in any search, ending at a grip on the line to a place at an
anchor; a second rope of at most `tackle.MOST_SHEAVES` sheaves between the grip and that place, with
at least two parts at the grip, whose hauling part leaves the block at the anchor for the puller, over
one lead block at most. Two different ropes, neither of them joined.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from math import inf

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.evaluate import CHUNK
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.ground.scene import Scene, for_two_ropes
from optimiser.rig.order import Key, Order
from optimiser.rig.two_ropes.evaluate import evaluate_pairs
from optimiser.rig.two_ropes.pairs import Pair, pairs
from optimiser.rig.two_ropes.variants import Known, variants
from optimiser.search.board import Board
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.bounds.of_ropes import RopeBounds
from optimiser.search.bounds.partial import Bound
from optimiser.search.count import walks_by_sheaves
from optimiser.search.leaves import Confirmer, FromKit, Giving
from optimiser.search.made_rigs import Choosing, OnTime, Rigs
from optimiser.search.rules import Rules, same_setup
from optimiser.search.sought import Sought, Tally
from optimiser.search.two_ropes.bounds import bounds_of_pairs
from optimiser.search.two_ropes.space import Tackles, tackles_at

FEW = 1_000_000
"""Most pairs of walks that are looked through without a request for it: about a second of work."""


def places_for_tackles(
    scenes: Sequence[Scene], tables_of: Callable[[Scene], Tables]
) -> Iterator[tuple[Tackles, Tables]]:
    """Every place at which a second rope's tackle may hang, in every scene, and the bounds of the first
    ropes that lead there. `tables_of`: the bounds for a scene with its own puller."""
    for scene in for_two_ropes(scenes):
        tables = tables_of(scene)
        if not pairs(tables.kit, scene.puller.fixture):
            continue
        for place in range(1, scene.puller_number):
            found = tackles_at(tables, place)
            if found is not None:
                yield found, driven(tables, found)


def driven(tables: Tables, below: Tackles) -> Tables:
    """The bounds of first ropes that tackles drive, from those of the scene with its own puller."""
    return replace(tables, scene=below.scene, given=below.drive)


def two_ropes(
    tables: Tables,
    below: Tackles,
    board: Board,
    order: Order,
    tally: Tally,
    giving: Callable[[Sought], Giving] = FromKit,
) -> Confirmer:
    """What confirms first ropes with every second rope at a place. `tables`: those that the tackles drive."""
    sought = Sought(tables, board, order, tally)
    return Confirmer(TwoRopes(sought, below), giving(sought))


def tackle_workers(
    scenes: Sequence[Scene],
    tables_of: Callable[[Scene], Tables],
    order: Order,
    board: Board,
    tally: Tally,
    giving: Callable[[Sought], Giving] = FromKit,
) -> Iterator[tuple[Grower, Confirmer]]:
    """Returns what grows and what confirms the first ropes' walks to every place for a tackle."""
    for below, tables in places_for_tackles(scenes, tables_of):
        yield Grower(tables), two_ropes(tables, below, board, order, tally, giving)


def compounds_in_space(
    scenes: Sequence[Scene], kit: Kit, rules: Rules, *, upto: float = inf
) -> int:
    """Pairs of walks in the space, counted; no further than beyond `upto`."""
    total = 0

    def tables_of(scene: Scene) -> Tables:
        return Tables(scene, kit, rules, 1.0, only_rated=False)

    for below, _ in places_for_tackles(scenes, tables_of):
        firsts = walks_by_sheaves(below.scene, kit, rules)
        for seconds in below.alike:
            left = below.sheaves - (seconds.shape[1] - 1)
            if left >= 0:
                total += len(seconds) * firsts[min(left, len(firsts) - 1)]
        if total > upto:
            break
    return total


class TwoRopes(Rigs):
    """Rigs of each walk of the first rope with every second rope at a place."""

    def __init__(self, sought: Sought, below: Tackles) -> None:
        super().__init__(sought)
        self.below = below
        self._known: dict[tuple[int, ...], Known] = {}

    def evaluated(self, path: Numbers, bearings: Choosing, on_time: OnTime) -> Iterator[Evaluation]:
        below, firsts = self.below, path[:, ::-1]
        for seconds in below.alike:
            sheaves = firsts.shape[1] + seconds.shape[1] - 2
            if sheaves > below.sheaves:
                continue
            first = np.repeat(firsts, len(seconds), axis=0)
            second = np.tile(seconds, (len(firsts), 1))
            self.sought.tally.looked_at += len(first)
            some = self._hopeful(first, second)
            patterns = bearings.patterns(sheaves)
            rows = np.repeat(some, len(patterns))
            etas = np.tile(patterns, (len(some), 1))
            for begin in range(0, len(rows), CHUNK):
                part = slice(begin, begin + CHUNK)
                yield evaluate_pairs(below.real, first[rows[part]], second[rows[part]], etas[part])

    def _hopeful(self, firsts: Numbers, seconds: Numbers) -> Numbers:
        """Of some first walks with their second ones those that may be of use, by the loaded stations and
        the best bearings at hand."""
        rows, tables = np.arange(len(firsts)), self.sought.tables
        gain = tables.gain[tables.anchors]
        if len(rows) == 0 or bool((gain < 0.0).any()):
            return rows  # where a part holds the load back, friction in it helps
        etas = np.full((CHUNK, firsts.shape[1] + seconds.shape[1] - 2), tables.eta_best)
        out = []
        for begin in range(0, len(firsts), CHUNK):
            part = slice(begin, begin + CHUNK)
            first = firsts[part]
            ev = evaluate_pairs(self._coarse, first, seconds[part], etas[: len(first)])
            able = np.flatnonzero((np.isfinite(ev.pull) & (ev.puller_limit > 0.0)).all(axis=1))
            if len(able):
                pull = np.maximum(ev.pull[able].max(axis=1), 1e-9)
                margin = ev.puller_limit[able].max(axis=1) / pull
                bounds = bounds_of_pairs(self.below, self.sought.kit, ev, able, margin)
                out.append(begin + able[bounds.hopeful(self.sought.keep)])
        return np.concatenate(out) if out else rows[:0]

    @cached_property
    def _coarse(self) -> Scene:
        """The real scene at the stations of the bounds alone, first and last among them."""
        real = self.below.real
        return real.with_stations(real.stations.pick(self.sought.tables.rows))

    def bounds(self, ev: Evaluation, rows: Numbers) -> RopeBounds[Pair]:
        return bounds_of_pairs(self.below, self.sought.kit, ev, rows, _by_forces(ev, rows))

    def roomy(self, ev: Evaluation, rows: Numbers, bound: Bound) -> Mask:
        """See the base; how near gear may come is part of how far the grip goes."""
        return np.ones(len(rows), dtype=bool)

    def row(self, ev: Evaluation, number: int, ropes: tuple[Pair, ...]) -> RigRow:
        return RigRow(ev.alone(number), 0, pairs=ropes)

    def identity(self, row: RigRow) -> tuple[object, ...]:
        first, second = row.walks
        below = tuple(place.name or place.kind for place in second)
        return ("compound", *same_setup(first), *below)

    def variants(self, row: RigRow, kit: Kit, paid: Callable[[float], bool]) -> Iterator[Variant]:
        known = self._known.setdefault(row.numbers, {})
        able = tuple(pair for pair in row.pairs or () if paid(pair.price))
        yield from variants(replace(row, pairs=able), kit, known)

    def with_only(self, row: RigRow, filled: Filled, kit: Kit) -> tuple[Key, Filled] | None:
        """See the base; the grip needs room for the longest gear at hand, so more of it may do harm."""
        sought = self.sought
        plain = Tables(self.below.real, kit, sought.tables.rules, sought.floor)
        alone = tackles_at(plain, self.below.place, only=row.tackle)
        if alone is None:
            return None
        board = Board(sought.order, 1, everything=True)
        some = two_ropes(driven(plain, alone), alone, board, sought.order, Tally())
        some.take(np.array([row.path]), lambda: not board.entries)
        found = next(iter(board.entries.values()), None)
        return None if found is None else (found.key, found.filled)


def _by_forces(ev: Evaluation, rows: Numbers) -> Array:
    """(k,) the margin by exact forces on the puller, the anchors and the load's hitch."""
    dyn, pull = ev.scene.puller.dynamic, ev.pull[rows]
    margin = np.minimum(ev.puller_margin(rows), ev.anchor_margin(rows))
    attachment = ev.scene.attachment
    rating = attachment.hitches[0].rating
    if rating is not None and not attachment.bridled:
        hitch = np.sqrt((ev.on_load[:, rows] ** 2).sum(axis=0)) * pull
        margin = np.minimum(margin, rating / (hitch.max(axis=1) * dyn))
    return np.asarray(margin)
