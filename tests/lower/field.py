"""Grows ways down from the place that holds the rope to its standing end, with bounds of its own: a second
prover beside the program's one search.

A bound never promises less than a walk can reach: with free-running sheaves every further part of line adds
at most what the best place would.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import assert_never

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.gear.fastening import at_best
from optimiser.rig.gear.kit import Kit, rope_capacity
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.strings import Strings
from optimiser.rig.order import Order
from optimiser.search.rules import Rules
from optimiser.site.counts import Count

PORTION = 20_000
"""Partial walks times places grown at a time."""
BOUND_STATIONS = 7


@dataclass(frozen=True)
class Bound:
    """The most margin, the least force counted and the least rope that n walks can have."""

    margin: Array
    force: Array
    rope: Array

    def hopeful(self, order: Order, limit: tuple[float, ...] | None, floor: float) -> Mask:
        """Which walks reach the floor and are no worse than the last of a full list."""
        out = self.margin >= floor - 1e-12
        if limit is None:
            return np.asarray(out)
        even = np.ones(len(self.margin), dtype=bool)
        ahead = np.zeros(len(self.margin), dtype=bool)
        for name, last in zip(order.names, limit, strict=True):
            best = self._column(name, order)
            ahead |= even & (best < last - 1e-9)
            even &= np.abs(best - last) <= 1e-9
        return np.asarray(out & (ahead | even))

    def ranked(self, order: Order) -> Numbers:
        """The walks in the order they may come in."""
        columns = [self._column(name, order) for name in reversed(order.names)]
        return np.asarray(np.lexsort([np.arange(len(self.margin)), *columns]))

    def _column(self, name: Count, order: Order) -> Array:
        """(n,) the best of one count, less is better; -inf where nothing is said of it."""
        match name:
            case Count.MARGIN:
                return -np.floor(np.minimum(self.margin, order.enough) / order.band + 1e-6)
            case Count.PULL:
                return np.round(self.force, 3)
            case Count.RESETS:
                return np.zeros(len(self.margin))
            case Count.ROPE:
                return np.round(self.rope, 3)
            case Count.PARTS:
                return np.full(len(self.margin), -np.inf)
            case _:
                assert_never(name)

    def pick(self, index: Numbers | Mask) -> "Bound":
        return Bound(self.margin[index], self.force[index], self.rope[index])


@dataclass(frozen=True)
class Field:
    """One scene's tables for growing walks. `ends`: numbers of the places where the rope may be
    held; trunks, or the puller alone."""

    scene: Scene
    kit: Kit
    rules: Rules
    hand: HandLimit
    ends: tuple[int, ...]
    sheaves: int
    floor: float
    only_rated: bool

    def __post_init__(self) -> None:
        """Only ropes that rub on edges as the scene was worked out for."""
        object.__setattr__(self, "kit", self.scene.edging.kit(self.kit))

    @cached_property
    def running(self) -> Array:
        """(S,) N along the ground that keep the load from running; 0 where it rests."""
        return self.scene.stations.held_back

    @cached_property
    def gain(self) -> Array:
        """(P + 2, S) what a part of line to each place holds per unit of its tension."""
        st = self.scene.stations
        return np.nan_to_num(self.scene.forward - st.resistance_sure * self.scene.lift, nan=0.0)

    @cached_property
    def usable(self) -> Mask:
        """(P + 2,) anchors at which the rope may turn or end."""
        out = np.zeros(len(self.scene.places), dtype=bool)
        for i, anchor in enumerate(self.scene.anchor_of[:-1]):
            if i == 0 or anchor < 0:
                continue
            known = self.scene.site.anchors[int(anchor)].strength.capacity is not None
            out[i] = known or not self.only_rated
        return out

    @cached_property
    def from_load(self) -> Mask:
        """(P + 2,) places a part of line may run to from the load."""
        free = self.scene.clear_from_load
        if not self.rules.backward:
            free = free & ((self.scene.forward > 0.0) | (self.running <= 0.0))
        out = free.all(axis=1)
        free_of = np.asarray(out, dtype=bool)
        free_of[0] = False
        return free_of

    @cached_property
    def hops(self) -> Mask:
        """(P + 2, P + 2) places between which the rope may run without the load."""
        out = self.scene.clear.copy()
        if self.rules.one_height_per_leg:
            anchor = self.scene.anchor_of
            out &= anchor[:, None] != anchor[None, :]
        return out

    @cached_property
    def best_gain(self) -> Array:
        """(S,) the most that one more part of line can hold per unit of its tension."""
        able = self.from_load & (self.usable | np.isin(np.arange(len(self.usable)), self.ends))
        return np.asarray(np.maximum(self.gain[able], 0.0).max(axis=0, initial=0.0))

    @cached_property
    def nearest(self) -> Array:
        """(S,) m from the load to the nearest usable place."""
        able = self.from_load & self.usable
        return np.asarray(np.nan_to_num(self.scene.length)[able].min(axis=0, initial=np.inf))

    @cached_property
    def ratio(self) -> float:
        """The most that turns can hold per unit of the hand; 1 where a puller holds."""
        if self.by_puller:
            return 1.0
        grips = (grip_of(r.gear) for r in self.kit.ropes)
        return max((grip.best_ratio for grip in grips if grip is not None), default=0.0)

    @cached_property
    def girth(self) -> Array:
        """(P + 2,) rope that the one turn there is at least takes at each place, m."""
        out = np.zeros(len(self.scene.places))
        if not self.by_puller:
            for number in self.ends:
                anchor = self.scene.site.anchors[int(self.scene.anchor_of[number])]
                out[number] = anchor.girth or 0.0
        return out

    @cached_property
    def ends_eaten(self) -> float:
        """Least rope that the two ends take besides the segments, and what is kept in hand, m."""
        return at_best(self.kit, self.scene).eaten + self.scene.site.preferences.rope_spare

    @cached_property
    def looked_at(self) -> Numbers:
        """Stations that bounds are taken over: a few along the way, its ends and where it runs most
        among them. Fewer stations promise more, never less."""
        count = len(self.scene.stations)
        some = np.linspace(0, count - 1, BOUND_STATIONS).round().astype(np.int64)
        steepest = int(np.argmax(self.running))
        return np.unique(np.append(some, steepest))

    @cached_property
    def _tabulated(self) -> tuple[Array, Array, Array, Array]:
        """What bounds are summed up from: running, gain and length at those stations, and lengths
        between fixed places."""
        some = self.looked_at
        length = np.nan_to_num(self.scene.length)[:, some]
        apart = np.nan_to_num(self.scene.distance)
        return self.running[some], self.gain[:, some], length, apart

    @property
    def by_puller(self) -> bool:
        return self.ends == (self.scene.puller_number,)

    # ---- growing --------------------------------------------------------------------------------

    def walks(self, hopeful: Callable[[Bound], Mask]) -> Iterator[tuple[Numbers, Bound]]:
        """Complete walks (n, m + 2) from the standing end to the held one with their bounds; whatever is
        not `hopeful` is left out with all that grows from it."""
        stack = [np.array(self.ends, dtype=np.int64)[:, None]]
        while stack:
            paths = stack.pop()
            keep = hopeful(self._bound(paths, complete=False))
            paths = paths[keep]
            if not len(paths):
                continue
            each = max(PORTION // len(self.scene.places), 50)
            if len(paths) > each:
                stack.append(paths[each:])
                paths = paths[:each]
            done = self._finish(paths)
            if len(done):
                bound = self._bound(done, complete=True)
                good = hopeful(bound)
                if good.any():
                    yield done[good][:, ::-1], bound.pick(good)
            if paths.shape[1] - 1 < self.sheaves:
                grown = self._turn(paths)
                if len(grown):
                    stack.append(grown)

    def _pairs(self, paths: Numbers, allowed: Mask) -> Numbers:
        row, place = np.nonzero(allowed)
        return np.concatenate([paths[row], place[:, None]], axis=1)

    def _onward(self, paths: Numbers) -> Mask:
        """(n, P + 2) places the rope may run to from the last place of each path."""
        last = paths[:, -1]
        out = np.where((last == 0)[:, None], self.from_load[None, :], self.hops[last])
        out = out & self.usable[None, :]
        out[:, 0] = self.from_load[last] & (last != 0)
        out[:, -1] = False
        return np.asarray(out)

    def _turn(self, paths: Numbers) -> Numbers:
        """Paths with one sheave more."""
        allowed = self._onward(paths)
        in_row = np.zeros(len(paths), dtype=np.int64)
        counting = np.ones(len(paths), dtype=bool)
        for k in range(paths.shape[1] - 1, 0, -1):
            counting &= paths[:, k] != 0
            in_row += counting
        allowed[in_row >= self.rules.most_in_a_row, 1:] = False
        # From a place that no further anchor may follow the rope has to run to the load.
        bound = (in_row + 1 >= self.rules.most_in_a_row) | (paths.shape[1] >= self.sheaves)
        if self.rules.tail:
            bound &= ~(paths == 0).any(axis=1)
        allowed[bound, 1:] &= self.from_load[1:]
        return self._pairs(paths, allowed)

    def _finish(self, paths: Numbers) -> Numbers:
        """Paths with their standing end."""
        allowed = self._onward(paths)
        on_anchor = paths[:, -1] != 0
        met = (paths == 0).any(axis=1)
        if not self.rules.tail:
            allowed[on_anchor, 1:] = False
        allowed[~met, 1:] = False
        return self._pairs(paths, allowed)

    # ---- bounds ---------------------------------------------------------------------------------

    def _bound(self, paths: Numbers, *, complete: bool) -> Bound:
        n, count = paths.shape
        running, part, reach, apart = self._tabulated
        gain = np.zeros((n, len(running)))
        length = np.zeros_like(gain)
        tension = np.ones((n, 1))
        for k in range(count - 1):
            a, b = paths[:, k], paths[:, k + 1]
            touches = (a == 0) | (b == 0)
            other = np.where(a == 0, b, a)
            # Letting down, a part is tighter beyond an edge than at the end it is paid out from.
            beyond = tension * self._rubs(a, b)
            here = np.where((a == 0)[:, None], tension, beyond)
            # What holds the load up least where it does not hold it at all.
            here = np.where(part[other] >= 0.0, here, 1.0)
            gain += np.where(touches[:, None], part[other] * here, 0.0)
            tension = beyond
            length += np.where(touches[:, None], reach[other], apart[a, b][:, None])
        if not complete:
            more = self.sheaves - (count - 1) + 1
            grown = self._most_rub ** np.arange(1, more + 1)
            gain = gain + tension * grown.sum() * self.best_gain[self.looked_at]
            last = paths[:, -1]
            onward = np.where((last == 0)[:, None], self.nearest[self.looked_at], reach[last])
            length = length + onward
        live = running > 0.0
        line = np.zeros(n)
        if live.any():
            with np.errstate(divide="ignore"):
                held = np.where(gain > 0.0, running / np.maximum(gain, 1e-12), np.inf)
            line = held[:, live].max(axis=1)
        return self.bound_of(line, length.max(axis=1), paths[:, 0])

    @cached_property
    def _rubbed(self) -> tuple[Array, Array] | None:
        """Tension beyond edges / tension before them, with as little friction as there may be, of parts
        between the load and each place (P + 2, B) and between two places (P + 2, P + 2); None where nothing
        lies on edges. The puller's is the most of its spots."""
        fixed, reach = self.scene.fixed, self.scene.reach
        if (
            fixed.between is None
            or fixed.to_puller is None
            or reach.strings is None
            or reach.strings_direct is None
        ):
            return None
        some = (slice(None), self.looked_at)
        from_load = self._least(reach.strings.pick(some))
        from_load[-1] = self._least(reach.strings_direct.pick(some)).max(axis=0)
        between = self._least(fixed.between)
        last = self._least(fixed.to_puller).max(axis=1)
        between[:, -1], between[-1, :] = last, last
        return from_load, between

    def _least(self, lines: Strings) -> Array:
        return np.asarray(1.0 / lines.passed(self.scene.frictions[:, 0]))

    def _rubs(self, a: Numbers, b: Numbers) -> Array:
        """(n, B) or (n, 1) the same of parts between places (n,) of walks."""
        if self._rubbed is None:
            return np.ones((len(a), 1))
        from_load, between = self._rubbed
        touches, other = (a == 0) | (b == 0), np.where(a == 0, b, a)
        return np.where(touches[:, None], from_load[other], between[a, b][:, None])

    @cached_property
    def _most_rub(self) -> float:
        """The most of any part."""
        if self._rubbed is None:
            return 1.0
        return float(max(table.max() for table in self._rubbed))

    def bound_of(self, line: Array, length: Array, held: Numbers) -> Bound:
        """Bounds of n walks with at least this tension at the held end, N, and this length of their
        segments, m, that are held at these places."""
        hand = np.zeros(len(line)) if self.by_puller else line / max(self.ratio, 1e-12)
        rope = length + self.ends_eaten + self.girth[held]
        owned = max((r.length or 0.0 for r in self.kit.ropes), default=0.0)
        margin = np.where(rope > owned + 1e-9, 0.0, self._margin(line))
        return Bound(margin, np.maximum(hand, self.hand.comfort), rope)

    def _margin(self, line: Array) -> Array:
        """The most margin with at least this tension `line` at the held end."""
        scene = self.scene
        least = np.maximum(line, 1e-9)
        strength = max((rope_capacity(r) or np.inf for r in self.kit.ropes), default=0.0)
        bears = np.isfinite(line)  # no rope holds what no tension would
        out = np.where(bears, strength, 0.0) / np.where(bears, least * scene.puller.dynamic, 1.0)
        if self.by_puller:
            return np.asarray(np.minimum(out, scene.puller.limit / least))
        return np.asarray(np.minimum(out, self.hand.most * self.ratio / least))
