"""Takes over tabulated geometry from one scene to the next.

What a scene tabulates from where things stand does not depend on weights, resistances, ratings and
efficiencies. Where two sites differ in these only, the tables of one are those of the other.
"""

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import replace

from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import Stations
from optimiser.site.model import Site


def take_over(scene: Scene, known: Iterable[Scene]) -> Scene:
    """`scene`, with the tables of the first of `known` that has the same geometry, if there is one. The
    puller's limits are its own: they know its grip."""
    place = _geometry(scene)
    other = next((one for one in known if _geometry(one) == place), None)
    return scene if other is None else _with_tables(scene, other)


class Shared:
    """Hands on tables from site to site. It keeps those of the last few only."""

    def __init__(self, most: int = 24) -> None:
        self._known: dict[Hashable, Scene] = {}
        self._most = most

    def scenes(self, site: Site, stations: Stations, kit: Kit | None = None) -> Iterator[Scene]:
        """As `optimiser.rig.ground.scene.scenes`."""
        yield from map(self.ready, scenes(site, stations, kit))

    def ready(self, scene: Scene) -> Scene:
        """A scene with the tables that are known of its geometry; it is the one that is known then."""
        place = _geometry(scene)
        other = self._known.pop(place, None)
        ready = scene if other is None else _with_tables(scene, other)
        self._known[place] = ready
        if len(self._known) > self._most:
            del self._known[next(iter(self._known))]
        return ready


def _with_tables(scene: Scene, other: Scene) -> Scene:
    return replace(scene, known_places=other.fixed, known_reach=other.reach)


def _geometry(scene: Scene) -> Hashable:
    """Everything the tables are made of."""
    site, puller, prefs, stations = scene.site, scene.puller, scene.site.preferences, scene.stations
    load = site.load
    return (
        scene.attachment,
        scene.edging.protector,
        tuple(
            getattr(stations, name).tobytes()
            for name in ("at", "point", "along", "across", "normal")
        ),
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
