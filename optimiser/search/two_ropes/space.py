"""Prepares the first rope's side of the search: the second rope's tackle at one place is its drive.

For every place at an anchor the first rope's walks are grown and bounded as those to any other
puller that is made fast there: its greatest pull is the most any second rope at that place could
give, and it runs as far as the grip could go. Nothing of this is claimed of a setup: every walk that
is left is worked out with each second rope exactly.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.line.tackle import along_rope
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.from_load import Reach
from optimiser.rig.ground.places import Places
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene
from optimiser.rig.two_ropes.pairs import pairs
from optimiser.rig.two_ropes.second_rope import Tackle, tackles
from optimiser.rig.two_ropes.work import LEAST_RUN, in_takes, out_takes, stand_off, stroke_of
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.drive import Drive
from optimiser.site.model import Fixture, Puller

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


@dataclass(frozen=True, eq=False, kw_only=True)
class Tackles:
    """The second ropes' tackles at one place of a scene. `scene`: the one in which the first rope's walks are
    grown, with a puller that stands for them; `drive`: the same for the bounds; `sheaves`: most in both
    ropes together; `out_least`: (P + 2,) what gear takes, m, between the first rope's last place and the
    grip."""

    real: Scene
    scene: Scene
    place: int
    choices: tuple[Tackle, ...]
    sheaves: int
    out_least: Array
    drive: Drive

    @cached_property
    def alike(self) -> tuple[Numbers, ...]:
        """The choices by number, (n, places) each: those that differ in their lead block together."""
        groups: dict[tuple[bool, ...], list[tuple[int, ...]]] = {}
        for choice in self.choices:
            turns = tuple(number == GRIP_NUMBER for number in choice.numbers)
            groups.setdefault(turns, []).append(choice.numbers)
        return tuple(np.array(numbers) for numbers in groups.values())


def tackles_at(tables: Tables, place: int, *, only: Tackle | None = None) -> Tackles | None:
    """The tackles at a place of a scene; None where there is none. `tables`: of the scene with its own
    puller; `only`: this one, if it is among them."""
    real, kit = tables.scene, tables.kit
    anchor = real.anchor_at(place)
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
    limit = max(_limit(real, kit, choice, tables.eta_best) for choice in choices)
    if limit <= 0.0:
        return None
    x, y, z = anchor.position
    stand_in: Puller = replace(
        real.puller, position=(x, y, z), height=real.places[place].height, run=0.0,
        purchase=BOUNDLESS, limit=limit, hitch_rating=None, hitch_eye=None, needs_termination=True,
        anchor=anchor.name,
    )  # fmt: skip
    ends = _ends(real, kit, place, choices)
    if not np.isfinite(ends.rope).any():
        return None
    both = _of_pairs(kit, real.puller.fixture)
    drive = Drive(
        beyond=ends.rope,
        stroke=ends.stroke,
        limit=np.full(len(real.places), limit),
        eaten=both.eaten + 2.0 * real.site.preferences.rope_spare,
        longest=both.longest,
        sheaves=min(choice.sheaves for choice in choices),
        priced=both.priced,
    )
    return Tackles(
        real=real,
        scene=_standing_in(real, stand_in, place),
        place=place,
        choices=choices,
        sheaves=tables.sheaves,
        out_least=ends.out_least,
        drive=drive,
    )


def _standing_in(real: Scene, puller: Puller, place: int) -> Scene:
    """The scene with a puller that stands at one of its places: nothing is tabulated again."""
    places = Places(real.site, puller, like=real.fixed, at=place)
    reach = Reach(
        real.site, real.stations, real.attachment, puller, places, like=real.reach
    )  # fmt: skip
    return Scene(
        real.site, real.stations, real.attachment, puller, real.kept, known_places=places,
        known_reach=reach,
    )  # fmt: skip


class _OfPairs(NamedTuple):
    """Of all two ropes at hand: the least that their ends take, the most that they measure together, m, and
    what two that long cost (see `Drive`)."""

    eaten: float
    longest: float
    priced: tuple[Array, Array]


def _of_pairs(kit: Kit, to: Fixture | None) -> _OfPairs:
    def work() -> _OfPairs:
        found = pairs(kit, to)
        there = sorted(((p.first.length or 0.0) + (p.second.length or 0.0), p.price) for p in found)
        table = np.array(there or [(0.0, np.inf)])
        least = np.minimum.accumulate(table[::-1, 1])[::-1]
        eaten = min((sum(pair.eaten) for pair in found), default=0.0)
        return _OfPairs(eaten, float(table[-1, 0]), (table[:, 0], np.append(least, np.inf)))

    return kit.once(("of pairs", to), work)


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
