"""The stated space of tackle on tackle, pair by pair, by its definition."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene
from optimiser.rig.two_ropes.second_rope import MOST_SHEAVES, Tackle
from optimiser.rig.walk import Walk
from tests.oracle.walks import allowed, walks


@dataclass(frozen=True)
class Pair:
    """A first walk, whose last place is the stand-in for the tackle, and a second rope."""

    first: Walk
    tackle: Tackle


def pairs(scene: Scene, kit: Kit, rules: frozenset[str]) -> Iterator[Pair]:
    """The whole space of a scene, by its definition."""
    places = scene.places
    sheaves = min(scene.site.preferences.most_sheaves, kit.sheave_count)
    clear, me = scene.clear, scene.puller_number
    leads = (scene.limit_last > 0.0).all(axis=1) & clear[:, me]
    free = np.asarray(scene.clear_from_load.all(axis=1) & (scene.forward > 0.0).all(axis=1))
    own = scene.puller.anchor
    for number, place in enumerate(places[1:-1], start=1):
        seconds = []
        for many in range(2, MOST_SHEAVES + 1):
            turns = [number if (many - k) % 2 == 0 else GRIP_NUMBER for k in range(many + 1)]
            if leads[number] and place.name != own:
                seconds.append(Tackle(tuple(turns)))
            for lead in range(1, me):
                apart = places[lead].name not in (place.name, own)
                if apart and leads[lead] and clear[number, lead] and many < MOST_SHEAVES:
                    seconds.append(Tackle((*turns, lead)))
        stand_in = replace(scene.puller, anchor=place.name)
        for first in walks(places[:-1], place, sheaves - 2):
            if first[-2] == place or not allowed((*first[:-1], places[-1]), stand_in, rules):
                continue
            legs = list(itertools.pairwise(first))
            if not all(_runs(scene, free, a, b) for a, b in legs):
                continue
            for tackle in seconds:
                if len(first) - 2 + tackle.sheaves <= sheaves:
                    yield Pair(first, tackle)


def _runs(scene: Scene, free: Any, a: object, b: object) -> bool:
    i, j = (scene.number[p] for p in (a, b))  # type: ignore[index]
    return bool(free[max(i, j)]) if 0 in (i, j) else bool(scene.clear[i, j])
