"""Takes over tabulated geometry from one scene to the next.

What a scene tabulates from where things stand does not depend on weights, resistances, ratings and
efficiencies. Where two sites differ in these only, the tables of one are those of the other.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

import numpy as np

from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import Stations
from optimiser.site.model import Site


def take_over(scene: Scene, known: Iterable[Scene]) -> Scene:
    """`scene`, with the tables of the first of `known` that has the same geometry, if there is one. The
    puller's limits are its own: they know its grip."""
    for other in known:
        if _same(scene, other):
            return replace(scene, known_places=other.fixed, known_reach=other.reach)
    return scene


class Shared:
    """Hands on tables from site to site. It keeps those of the last few only."""

    def __init__(self, most: int = 24) -> None:
        self._known: list[Scene] = []
        self._most = most

    def scenes(self, site: Site, stations: Stations, kit: Kit | None = None) -> Iterator[Scene]:
        """As `optimiser.rig.ground.scene.scenes`."""
        for scene in scenes(site, stations, kit):
            ready = take_over(scene, self._known)
            self._known = [ready, *self._known][: self._most]
            yield ready


def _same(one: Scene, two: Scene) -> bool:
    return (
        one.attachment == two.attachment
        and one.edging.protector == two.edging.protector
        and len(one.stations) == len(two.stations)
        and _geometry(one) == _geometry(two)
        and all(
            np.array_equal(getattr(one.stations, name), getattr(two.stations, name))
            for name in ("at", "point", "along", "across", "normal")
        )
    )


def _geometry(scene: Scene) -> tuple[Any, ...]:
    """Everything the tables are made of, besides the attachment and the stations."""
    site, puller, prefs = scene.site, scene.puller, scene.site.preferences
    load = site.load
    return (
        (load.overhang, load.length, load.width),
        tuple((leg.start, leg.end, leg.laid) for leg in site.legs),
        tuple(
            (a.name, a.kind, a.position, a.heights, a.radius, a.top, tuple(map(a.lever, a.heights)))
            for a in site.anchors
        ),
        site.obstacles,
        (puller.name, puller.position, puller.height, puller.heading, puller.run, puller.purchase),
        (puller.anchor, prefs.clearance, prefs.ground_known_within),
    )
