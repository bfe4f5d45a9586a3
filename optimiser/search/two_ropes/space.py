"""Prepares the first rope's side of the search: the second rope's tackle at one place counts as a
puller.

For every place at an anchor the first rope's walks are grown and bounded as those to any other
puller that is made fast there: its greatest pull is the most any second rope at that place could
give, and it runs as far as the grip could go. Nothing of this is claimed of a setup: every walk that
is left is worked out with each second rope exactly.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.line.tackle import along_rope
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.from_load import Reach
from optimiser.rig.ground.places import Places
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene
from optimiser.rig.two_ropes.pairs import pairs
from optimiser.rig.two_ropes.second_rope import Tackle, tackles
from optimiser.rig.two_ropes.slots import in_takes, out_takes, stand_off
from optimiser.rig.two_ropes.work import LEAST_RUN, stroke_of
from optimiser.search.bounds.bound_rows import Tables
from optimiser.site.model import Puller

BOUNDLESS = 1e6
"""m: a purchase that no rope reaches."""
ROUNDED = 1e-5
"""m of rope that rounding may make."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """By the first rope's last place (P + 2,), [0] the load: least rope, m, beyond it to the grip and in
    the second rope (infinite where no second rope serves), its ends left out; the most way, m, that one
    stroke hauls; and what gear takes between it and the grip."""

    rope: Array
    stroke: Array
    out_least: Array


def _as_last(table: npt.NDArray[Any], place: int) -> npt.NDArray[Any]:
    """The table with the stand-in's row the same as that of the place where its tackle hangs."""
    out = table.copy()
    out[-1] = out[place]
    return out


@dataclass(frozen=True, eq=False, kw_only=True)
class TacklePlaces(Places):
    """Places with a tackle's stand-in last; `rope` (P + 2,) m that both ropes take at least to it."""

    of: Places
    place: int
    rope: Array

    @cached_property
    def position(self) -> Array:
        return _as_last(self.of.position, self.place)

    @cached_property
    def clear(self) -> Mask:
        out = _as_last(self.of.clear, self.place)
        out[:, -1] = out[:, self.place]
        return out

    @cached_property
    def distance(self) -> Array:
        """See the base; to the stand-in what both ropes take at least."""
        out = self.of.distance.copy()
        out[-1, :] = out[:, -1] = self.rope
        return out


@dataclass(frozen=True, eq=False, kw_only=True)
class TackleReach(Reach):
    """Lines from the load, that to the stand-in being the one to the place where its tackle hangs."""

    of: Reach
    place: int

    @cached_property
    def hitch(self) -> Array:
        return self.of.hitch

    @cached_property
    def _lines(self) -> tuple[Array, Array]:
        return _as_last(self.of.unit, self.place), _as_last(self.of.length, self.place)

    @cached_property
    def clear(self) -> Mask:
        return _as_last(self.of.clear, self.place)


@dataclass(frozen=True, kw_only=True)
class TackleScene(Scene):
    """A scene whose puller stands for the tackles at one place of the scene `of`."""

    of: Scene
    place: int
    choices: tuple[Tackle, ...]
    sheaves: int  # most in both ropes together
    ends: Ends

    @cached_property
    def fixed(self) -> Places:
        """The stand-in's place is one of the real scene's: nothing is tabulated again."""
        return TacklePlaces(
            self.site, self.puller, of=self.of.fixed, place=self.place, rope=self.ends.rope
        )

    @cached_property
    def reach(self) -> Reach:
        """Likewise."""
        return TackleReach(
            self.site, self.stations, self.attachment, self.puller, self.fixed,
            of=self.of.reach, place=self.place,
        )  # fmt: skip

    @cached_property
    def alike(self) -> tuple[Numbers, ...]:
        """The choices by number, (n, places) each: those that differ in their lead block together."""
        groups: dict[tuple[bool, ...], list[tuple[int, ...]]] = {}
        for choice in self.choices:
            turns = tuple(number == GRIP_NUMBER for number in choice.numbers)
            groups.setdefault(turns, []).append(choice.numbers)
        return tuple(np.array(numbers) for numbers in groups.values())


@dataclass(frozen=True)
class TackleTables(Tables):
    """Bounds on the first rope."""

    scene: TackleScene

    @property
    def whole(self) -> bool:
        """The second rope has parts, a pull and marks of its own."""
        return False

    @cached_property
    def sheaves(self) -> int:
        least = min((c.sheaves for c in self.scene.choices), default=0)
        return max(self.scene.sheaves - least, 0)

    @cached_property
    def first_length(self) -> Array:
        out = np.array(super().first_length)
        out[-1] = self.scene.ends.rope[0]
        return out

    @cached_property
    def stroke(self) -> Array:
        return self.scene.ends.stroke

    @cached_property
    def leads(self) -> Mask:
        return super().leads & np.isfinite(self.scene.ends.rope)

    @cached_property
    def direct(self) -> bool:
        return super().direct and bool(np.isfinite(self.scene.ends.rope[0]))

    @cached_property
    def reach(self) -> None:
        """The first rope ends at the grip: no part of it is hauled straight from the load."""
        return

    @cached_property
    def line_limit(self) -> Array:
        return np.full(len(self.scene.places), self.scene.puller.limit)

    @cached_property
    def ends_eaten(self) -> float:
        """See the base; of both ropes."""
        found = pairs(self.kit, self.scene.of.puller.fixture)
        spare = self.scene.site.preferences.rope_spare
        return min((sum(pair.eaten) for pair in found), default=0.0) + 2.0 * spare

    @cached_property
    def longest_rope(self) -> float:
        """See the base; both ropes together."""
        found = pairs(self.kit, self.scene.of.puller.fixture)
        lengths = ((p.first.length or 0.0) + (p.second.length or 0.0) for p in found)
        return max(lengths, default=0.0)


def tackle_scene(
    real: Scene, tables: Tables, place: int, *, only: Tackle | None = None
) -> TackleScene | None:
    """The tackles at a place as a puller; None where there is none. `tables`: of the real scene;
    `only`: this one, if it is among them."""
    anchor = real.site.anchors[int(real.anchor_of[place])]
    if not tables.usable[place]:
        return None
    leads = [
        int(lead)
        for lead in np.flatnonzero(tables.leads & tables.hops[place])
        if real.anchor_of[lead] != real.anchor_of[place]
    ]
    choices = tuple(tackles(place, leads, straight=bool(tables.leads[place]), most=tables.sheaves))
    if only is not None:
        choices = tuple(choice for choice in choices if choice == only)
    if not choices or len(real.spots) == 0:
        return None
    limit = max(_limit(real, tables.kit, choice, tables.eta_best) for choice in choices)
    if limit <= 0.0:
        return None
    x, y, z = anchor.position
    stand_in: Puller = replace(
        real.puller, position=(x, y, z), height=real.places[place].height, run=0.0,
        purchase=BOUNDLESS, limit=limit, hitch_rating=None, hitch_eye=None, needs_termination=True,
        anchor=anchor.name,
    )  # fmt: skip
    ends = _ends(real, tables.kit, place, choices)
    if not np.isfinite(ends.rope).any():
        return None
    return TackleScene(
        real.site,
        real.stations,
        real.attachment,
        stand_in,
        of=real,
        place=place,
        choices=choices,
        sheaves=tables.sheaves,
        ends=ends,
        kept=real.kept,
    )


def _ends(real: Scene, kit: Kit, place: int, choices: tuple[Tackle, ...]) -> Ends:
    """The best of all choices and all two ropes."""
    puller, spare = real.puller, real.site.preferences.rope_spare
    count = len(real.places)
    out_least = np.array([stand_off(real, kit, n) for n in range(count - 1)] + [0.0])
    out_least += out_takes(kit)
    inside = stand_off(real, kit, place) + in_takes(kit)
    # To the load: at the start of the stretch, where rope is counted; at most: anywhere on it.
    span, longest = real.distance[place].copy(), real.distance[place].copy()
    span[0], longest[0] = real.length[place, 0], real.length[place].max()
    rope, stroke = np.full(count, np.inf), np.zeros(count)
    # Of each second rope what its ends leave.
    found = pairs(kit, puller.fixture)
    lengths = sorted({(pair.second.length or 0.0) - pair.eaten[1] for pair in found})
    for parts in sorted({choice.parts for choice in choices}):
        fixed, gained = _beyond(real, [choice for choice in choices if choice.parts == parts])
        run = stroke_of(puller, gained)
        for length in lengths:
            reach = (length - spare - fixed) / parts
            out, most = (np.minimum(way - out_least, reach) for way in (span, longest))
            works = most - inside >= LEAST_RUN - ROUNDED
            taken = span - out + parts * out + fixed - ROUNDED
            rope = np.minimum(rope, np.where(works, taken, np.inf).min(axis=0))
            room = np.minimum(most - inside, np.inf if run is None else run / parts)
            stroke = np.maximum(stroke, np.where(works, room, 0.0).max(axis=0))
    return Ends(rope=rope, stroke=stroke, out_least=out_least)


def _beyond(real: Scene, choices: list[Tackle]) -> tuple[Array, Array]:
    """Of second ropes (n, 1) beyond the grip's anchor: m with the puller near, what its run takes in."""
    fixed = []
    for choice in choices:
        walk = (*choice.numbers, real.puller_number)
        fixed.append(sum(float(real.distance[p]) for p in pairwise(walk) if GRIP_NUMBER not in p))
    gained = real.stroke_last[[choice.numbers[-1] for choice in choices]]
    return np.array(fixed)[:, None], gained[:, None]


def advantage(tackle: Tackle, etas: "tuple[float, ...] | list[float]") -> float:
    """Tension at the grip / pull, with the efficiencies of the second rope's sheaves in order."""
    tau: list[float] = along_rope(passed=np.array(etas, dtype=float)).tolist()
    return sum(t for t, pair in zip(tau, tackle.segments, strict=False) if GRIP_NUMBER in pair)


def _limit(real: Scene, kit: Kit, tackle: Tackle, eta: float) -> float:
    """The most, N, the tackle may pull at the grip: by the puller, the second rope, the grip."""
    gained = advantage(tackle, [eta] * tackle.sheaves)
    dynamic = real.puller.dynamic
    pull = float(real.limit_last[tackle.numbers[-1]].min())
    found = pairs(kit, real.puller.fixture)
    rope = max((min(gained * pair.hauled, pair.kept) for pair in found), default=0.0)
    return min(gained * pull, rope / dynamic)
