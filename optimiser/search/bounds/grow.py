"""Grows walks from the puller backwards, many at a time, and bounds what each may still become. Where a hand
holds the rope, the trunk of its turns is the first place.

A partial walk ends at a block (on the load or on an anchor) whose next segment is not chosen yet. For
each it carries, row by row, what its parts give, and the greatest use of any piece so far per newton
of pull; from these follow the best margin, the fewest resets and the least rope it can end with.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cached_property

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.partial import SLACK, Bound, Partial, Wanted
from optimiser.search.bounds.priced import Priced
from optimiser.search.bounds.uses import Uses
from shared.effort import Effort, note

SOME = 500
"""Partial walks grown at a time where every walk is to be looked at."""


class Grower:
    """Expands partial walks of one scene. Stateless but for the tables it reads. Where only a part of the
    gear can be bought, it grows no walk whose least cost is beyond the purse."""

    def __init__(self, tables: Tables) -> None:
        self.t = tables
        note(Effort.TABLE)

    @cached_property
    def _travel(self) -> Priced:
        return Priced(self.t, self.t.travel)

    @cached_property
    def _rope(self) -> Priced:
        return Priced(self.t, self.t.first_length)

    @cached_property
    def _uses(self) -> Uses:
        return Uses(self.t)

    def tabulate(self) -> None:
        """Work out what every walk needs, so that it is not counted as search; nothing where none begins."""
        t = self.t
        if not t.begins:
            return
        _ = t.leads, t.turned_hops, t.strength, t.needs_strap, t.rest_from_anchor, t.lever_ratio
        _ = self._uses.toward, self._travel.rest, self._rope.rest

    # ---- beginning --------------------------------------------------------------------------------

    def first(self) -> tuple[Partial, Partial]:
        """(walks that may go on, complete walks) of one segment: the hauling line."""
        t, k = self.t, len(self.t.need)
        open_: list[Partial] = []
        done: list[Partial] = []
        me = t.scene.puller_number
        marked = t.marks is not None and t.marks.always
        if t.nodes >= 1:
            leads = np.flatnonzero(t.leads)
            if len(leads):
                used = 1.0 / np.maximum(t.drive.limit[leads], 1e-9)
                open_.append(
                    Partial(
                        leads[:, None],
                        np.zeros((len(leads), k)),
                        np.repeat(used[:, None], k, axis=1),
                        t.drive.beyond[leads],
                        np.zeros(len(leads)),
                        np.zeros(len(leads), dtype=np.int64),
                        np.full(len(leads), 0 if t.by_hand else 1),
                        np.full(len(leads), marked),
                        t.passed_last(leads, most=True),
                        t.passed_last(leads, most=False),
                        np.ones((len(leads), t.rubbed)),
                    )
                )
        if t.direct:
            most, least = t.passed_direct
            straight = Partial(
                np.zeros((1, 1), dtype=np.int64),
                t.gain[[me]] * np.where(t.gain[[me]] >= 0.0, most, least),
                np.full((1, k), 1.0 / max(float(t.drive.limit[0]), 1e-9)),
                t.first_length[[me]],
                t.travel[[me]],
                np.ones(1, dtype=np.int64),
                np.zeros(1, dtype=np.int64),
                np.full(1, marked),
                most,
                least,
                np.ones((1, t.rubbed)),
            )
            done.append(straight)
            if t.nodes >= 1 and (t.turns_direct or not t.whole):
                open_.append(straight)
        return self._join(open_, 1), self._join(done, 1)

    def _join(self, parts: list[Partial], depth: int) -> Partial:
        if parts:
            return Partial.join(parts)
        t, k = self.t, len(self.t.need)
        none = np.zeros(0, dtype=np.int64)
        return Partial(
            np.zeros((0, depth), dtype=np.int64),
            np.zeros((0, k)),
            np.zeros((0, k)),
            np.zeros(0),
            np.zeros(0),
            none,
            none,
            np.zeros(0, dtype=bool),
            *(np.ones((0, t.rubbed)) for _ in range(3)),
        )

    def every_walk(self) -> Iterator[tuple[Partial, Bound]]:
        """Complete walks with their bounds, some at a time, whatever they are worth."""
        stack, done = self.first()
        if len(done):
            yield done, self.bound(done, complete=True)
        ahead = [stack]
        while ahead:
            walks = ahead.pop()
            if not len(walks):
                continue
            if len(walks) > SOME:
                ahead.append(walks.pick(slice(SOME, None)))
                walks = walks.pick(slice(0, SOME))
            open_, _, ready, bounds = self.grow(
                walks,
                lambda bound: np.ones(len(bound), bool),
                lambda bound: Wanted(np.zeros(len(bound)), np.full(len(bound), np.inf)),
            )
            if len(ready):
                yield ready, bounds
            ahead.append(open_)

    # ---- one place further ------------------------------------------------------------------------

    def grow(
        self, partial: Partial, keep: Callable[[Bound], Mask], wanted: Callable[[Bound], Wanted]
    ) -> tuple[Partial, Bound, Partial, Bound]:
        """All walks one place longer that `keep` lets pass: those that may go on, with their bounds, and
        the complete ones. `wanted`: what walks must still reach to be of use."""
        t = self.t
        note(Effort.GROWING)
        note(Effort.WALK_GROWN, len(partial) * len(t.scene.places))
        on_load = partial.path[:, -1] == 0
        nexts: list[tuple[Partial, bool]] = []
        left = t.nodes - partial.depth  # sheaves left beyond the last place
        if on_load.any():
            child = self._turned(self._to_anchors(partial.pick(on_load)), keep)
            nexts.append((child, True))
            if left >= 1:
                nexts.append((child, False))
        if (~on_load).any():
            here = partial.pick(~on_load)
            child = self._turned(self._to_load(here), keep)
            nexts.append((child, True))
            if left >= 1:
                nexts.append((child, False))
            if left >= 1 or t.rules.tail:
                hopped = self._turned(self._to_next_anchor(here), keep, may_end=t.rules.tail)
                if t.rules.tail:
                    nexts.append((hopped.pick(hopped.loads > 0), True))
                if left >= 1:
                    at, to = hopped.path[:, -2], hopped.path[:, -1]
                    nexts.append((hopped.pick(t.turned_hops[at, to]), False))
        open_: list[Partial] = []
        done: list[Partial] = []
        open_bounds: list[Bound] = []
        done_bounds: list[Bound] = []
        for child, complete in nexts:
            if not len(child):
                continue
            bound = self.bound(child, complete=complete)
            good = keep(bound)
            child, bound = child.pick(good), bound.pick(good)
            if not complete:
                child, bound = self._hopeful(child, bound, keep, wanted)
            if len(child):
                (done if complete else open_).append(child)
                (done_bounds if complete else open_bounds).append(bound)
        depth = partial.depth + 1
        return (
            self._join(open_, depth),
            Bound.join(open_bounds),
            self._join(done, depth),
            Bound.join(done_bounds),
        )

    def _hopeful(
        self, walks: Partial, bound: Bound, keep: Callable[[Bound], Mask],
        wanted: Callable[[Bound], Wanted],
    ) -> tuple[Partial, Bound]:  # fmt: skip
        """The walks that `keep` lets pass once what is still wanted of them is priced. Where that shows
        them no better on what weighs most, more is wanted of them, and it is priced again."""
        want = wanted(bound)
        while len(walks):
            bound = self._priced(walks, bound, want)
            good = keep(bound)
            walks, bound, want = walks.pick(good), bound.pick(good), want.pick(good)
            more = wanted(bound)
            if more == want:
                break
            want = more
        return walks, bound

    def _tau(self, depth: int) -> float:
        """Most tension / pull in the segment beyond the place at this depth."""
        return float(self.t.tau_most[depth])

    def _to_anchors(self, here: Partial) -> Partial:
        t = self.t
        n, q = len(here), len(t.anchors)
        index = np.repeat(np.arange(n), q)
        place = np.tile(t.anchors, n)
        gain, rubbed = t.gain_at(here.depth)[place], t.passed(place)
        most, least = here.most[index], here.least[index]
        return Partial(
            np.concatenate([here.path[index], place[:, None]], axis=1),
            here.gained[index] + gain * np.where(gain >= 0.0, most, least),
            here.used[index],
            here.rope[index] + t.first_length[place],
            here.travel[index] + t.travel[place],
            here.loads[index],
            np.ones(n * q, dtype=np.int64),
            here.marked[index],
            most * rubbed,
            least * rubbed,
            least,
        )

    def _to_load(self, here: Partial) -> Partial:
        t = self.t
        here = here.pick(t.from_load[here.path[:, -1]])
        place = here.path[:, -1]
        gain, rubbed = t.gain_at(here.depth)[place], t.passed(place)
        most, least = here.most * rubbed, here.least * rubbed
        return Partial(
            np.concatenate([here.path, np.zeros((len(here), 1), dtype=np.int64)], axis=1),
            here.gained + gain * np.where(gain >= 0.0, most, least),
            here.used,
            here.rope + t.first_length[place],
            here.travel + t.travel[place],
            here.loads + 1,
            np.zeros(len(here), dtype=np.int64),
            here.marked,
            most,
            least,
            here.least,
        )

    def _to_next_anchor(self, here: Partial) -> Partial:
        t = self.t
        here = here.pick(here.run < t.rules.most_in_a_row)
        # Without a tail no rope ends at a place that is reached so.
        allowed = (t.hops if t.rules.tail else t.turned_hops)[here.path[:, -1]]
        if len(here) and here.run.max() + 1 >= t.rules.most_in_a_row and not t.rules.tail:
            allowed = allowed & t.from_load[None, :]
        index, place = np.nonzero(allowed)
        prev = here.path[index, -1]
        picked, rubbed = here.pick(index), t.passed_between(prev, place)
        return Partial(
            np.concatenate([picked.path, place[:, None]], axis=1),
            picked.gained,
            picked.used,
            picked.rope + t.scene.distance[prev, place],
            picked.travel,
            picked.loads,
            picked.run + 1,
            picked.marked,
            picked.most * rubbed,
            picked.least * rubbed,
            picked.least,
        )

    # ---- use of pieces ----------------------------------------------------------------------------

    def _turned(
        self, walks: Partial, keep: Callable[[Bound], Mask], *, may_end: bool = True
    ) -> Partial:
        """Walks whose last place is new, with the use of the block before it and what marks them down;
        without those that are out of the question even with nothing counted there (which costs less to
        see)."""
        t = self.t
        hopeful = np.zeros(len(walks), dtype=bool)
        if may_end:
            hopeful |= keep(self.bound(walks, complete=True))
        if walks.depth <= t.nodes:
            hopeful |= keep(self.bound(walks, complete=False))
        walks = walks.pick(hopeful)
        if not len(walks):
            return walks
        marked = walks.marked.copy()
        if t.marks is not None:
            plain = np.flatnonzero(~marked)
            marked[plain] = t.marks.met(walks.path[plain])
        return replace(walks, used=self._uses.turned(walks), marked=marked)

    @cached_property
    def _next_length(self) -> Array:
        """(P + 2,) least length of the segment beyond a block on each anchor place, at the stretch's
        start: to the load, as a way over other anchors to it is longer; to another anchor where the
        line may end there."""
        t = self.t
        if not t.rules.tail:
            return t.first_length
        hops = np.where(t.hops, t.scene.distance, np.inf).min(axis=1)
        return np.asarray(np.minimum(t.first_length, hops))

    # ---- bounds -----------------------------------------------------------------------------------

    def bound(self, walks: Partial, *, complete: bool) -> Bound:
        """What the walks can be at best."""
        t, n = self.t, len(walks)
        last = walks.path[:, -1]
        gained, rope, travel = walks.gained, walks.rope, walks.travel
        if not complete:
            left = t.nodes - walks.depth
            tau = self._tau(walks.depth)
            rest = np.where(
                (last == 0)[:, None],
                t.rest_from_load[left][None, :],
                t.rest_from_anchor[left][last],
            )
            gained = gained + tau * rest * walks.most * t.passed_most ** (left + 1)
            nearest = t.first_length[t.anchors].min() if len(t.anchors) else np.inf
            rope = rope + np.where(last == 0, nearest, self._next_length[last])
        with np.errstate(divide="ignore", invalid="ignore"):
            margin = (gained / (t.need[None, :] * walks.used)).min(axis=1) if n else np.zeros(0)
        margin = np.minimum(margin, t.hitch_margin)
        spare = t.drive.eaten
        margin = np.where(rope + spare > t.drive.longest + 1e-6, 0.0, margin)
        margin = np.where(self._strapped(walks, complete=complete) > t.straps, 0.0, margin)
        if not complete:
            travel = np.zeros(n)
        resets = self._resets(walks, travel)
        if not t.whole:
            return self._affordable(walks, Bound(margin, resets, rope + spare), complete=complete)
        parts: Array = 2.0 * walks.loads.astype(float)
        if complete:
            parts -= last == 0
        elif not t.rules.tail:
            parts += last != 0
        pull = np.zeros(n)
        if n:
            pull = (t.need[None, :] / np.maximum(gained, 1e-9)).max(axis=1) * t.drive.counts
        bound = Bound(margin, resets, rope + spare, parts, pull, walks.marked)
        return self._affordable(walks, bound, complete=complete)

    def _affordable(self, walks: Partial, bound: Bound, *, complete: bool) -> Bound:
        """No margin where the ropes, the sheaves and the straps it takes cost too much."""
        t = self.t
        if not t.limits:
            return bound
        margin = bound.margin
        sheaves = t.drive.sheaves + walks.depth - int(complete) - int(t.by_hand)
        straps = self._strapped(walks, complete=complete)
        pull = np.zeros(len(walks)) if bound.pull is None else bound.pull * (1.0 - SLACK)
        for purse in t.limits:
            spent = t.rope_price(purse, bound.rope, pull)
            more = np.full(len(walks), float(max(sheaves - purse.owned.sheave_count, 0)))
            for needed, each in (
                (more, purse.sheave),
                (np.maximum(straps - purse.owned_straps, 0), purse.strap),
            ):
                if needed.any():
                    spent = spent + needed * min(each, 1e15)
            margin = np.where(purse.covers(spent), margin, 0.0)
        return replace(bound, margin=margin)

    def _strapped(self, walks: Partial, *, complete: bool) -> Numbers:
        """(n,) places at which a strap holds a block. A standing end may be tied round the trunk."""
        blocks = walks.path[:, int(self.t.by_hand) : -1 if complete else None]
        place = np.sort(np.where(self.t.needs_strap[blocks], blocks, -1), axis=1)
        if not place.shape[1]:
            return np.zeros(len(walks), dtype=np.int64)
        new = np.diff(place, axis=1) != 0
        return np.asarray((new & (place[:, 1:] >= 0)).sum(axis=1) + (place[:, 0] >= 0))

    def _resets(self, walks: Partial, travel: Array) -> Array:
        return self.t.fewest_resets(walks.path[:, 0], travel, travel)

    def _priced(self, walks: Partial, bound: Bound, want: Wanted) -> Bound:
        """Bound resets and rope by the pull still wanted: parts that give much pull cost travel."""
        t = self.t
        if not len(t.anchors) or t.passed_most > 1.0:  # further parts may then be tighter
            return bound
        left = t.nodes - walks.depth
        share = np.maximum(
            walks.used * want.margin[:, None], (t.drive.counts / want.pull)[:, None]
        )  # of the need, in pull of the load for each newton of the hauling end's
        wanted = t.need[None, :] * share * (1 - SLACK) - walks.gained
        wanted = np.where(wanted > 0.0, wanted / walks.most, wanted)
        last = walks.path[:, -1]
        at_load = last == 0
        travel = np.empty(len(walks))
        rope = np.empty(len(walks))
        for table, so_far, out in (
            (self._travel, walks.travel, travel),
            (self._rope, walks.rope, rope),
        ):
            out[at_load] = self._least_from_load(table, wanted[at_load], walks.depth, left)
            out[~at_load] = self._least_from_anchor(
                table, wanted[~at_load], last[~at_load], walks.depth, left
            )
            out += so_far
        rope = np.maximum(rope + t.drive.eaten, bound.rope)
        margin = np.where(rope > t.drive.longest + 1e-6, 0.0, bound.margin)
        resets = bound.resets
        if not t.lengthens:  # else travel has no such bound
            resets = np.maximum(resets, self._resets(walks, travel))
        priced = replace(bound, margin=margin, resets=resets, rope=rope)
        return self._affordable(walks, priced, complete=False)

    def _least_from_load(self, table: "object", wanted: Array, depth: int, left: int) -> Array:
        t = self.t
        price = t.multipliers[:, None, None]
        part, rest = table.part[:, depth], table.rest[:, depth + 1, left]  # type: ignore[attr-defined]
        value = price * wanted[None] + (part + rest)[:, None, :]
        return np.asarray(np.maximum(value.max(axis=(0, 2)), 0.0))

    def _least_from_anchor(
        self, table: "object", wanted: Array, last: Numbers, depth: int, left: int
    ) -> Array:
        t = self.t
        cost = table.cost[last]  # type: ignore[attr-defined]
        price = t.multipliers[:, None, None]
        rest = table.rest[:, depth + 1, left]  # type: ignore[attr-defined]
        own = cost[None, :, None] - price * t.gain_at(depth)[last][None]
        own = np.where(t.from_load[last][None, :, None], own, np.inf)
        straight = own + rest[:, None, :]
        if left >= 1:
            hop = table.part[:, depth + 1] + table.rest[:, depth + 2, left - 1]  # type: ignore[attr-defined]
            straight = np.minimum(straight, hop[:, None, :])
        if t.rules.tail:  # the line may end on another anchor, with no further part
            straight = np.minimum(straight, 0.0)
        value = price * wanted[None] + straight
        value = np.where(np.isfinite(value), value, -np.inf)
        return np.asarray(np.maximum(value.max(axis=(0, 2)), 0.0))
