"""Small made-up sites whose trees are replaced by spots where an anchor may be made, by number."""

from dataclasses import replace
from math import radians

import numpy as np

from optimiser.mechanics.values import AnchorStrength
from optimiser.site.anchors import RatedAnchor, Tree
from optimiser.site.model import Anchor, AnchorKind, Directions, Making, Site
from tests.search.sites import site as plain_site

SPOTS = 3
"""Trees that become spots; a fourth stays a tree."""


def site(number: int) -> Site:
    """A site of every kind of the search's own, with anchors that exist only if they are used."""
    rng = np.random.default_rng((number, 41))
    plain = plain_site(number)
    spots = [a for a in plain.anchors if isinstance(a, Tree)][:SPOTS]
    winches = {puller.anchor for puller in plain.pullers}
    anchors: list[Anchor] = [a for a in plain.anchors if a not in spots or a.name in winches]
    for spot in spots:
        if spot.name in winches:
            continue
        weak = float(rng.uniform(2000.0, 9000.0))
        narrow = Directions(
            up=radians(rng.uniform(3.0, 30.0)), aside=radians(rng.uniform(2.0, 20.0))
        )
        anchors.append(_made(spot, "row", weak, 2, narrow))
        if rng.uniform() < 0.6:
            aside = radians(rng.uniform(2.0, 20.0)) if rng.uniform() < 0.7 else None
            wide = Directions(up=radians(rng.uniform(10.0, 50.0)), aside=aside)
            anchors.append(_made(spot, "log", 2.0 * weak, 3, wide))
    stock = (("stakes", int(rng.integers(2, 6))), *((spot.name, 1) for spot in spots))
    sheaves = plain.preferences.most_sheaves if number % 4 == 0 else 2
    preferences = replace(plain.preferences, most_sheaves=sheaves)
    return replace(plain, anchors=tuple(anchors), stock=stock, preferences=preferences)


def _made(spot: Tree, word: str, capacity: float, stakes: int, stands: Directions) -> RatedAnchor:
    return RatedAnchor(
        name=f"{word} at {spot.name}",
        position=spot.position,
        kind=AnchorKind.PICKET_HOLDFAST,
        heights=spot.heights[:1],
        girth=0.5,
        strength=AnchorStrength(capacity=capacity, unit="N", factors=(), governs="made up"),
        radius=0.0,
        top=0.5,
        directions=stands,
        making=Making(pieces=((2, "stakes"),), minutes=30.0, steps=("drive them",)),
        uses=(("stakes", stakes), (spot.name, 1)),
    )
