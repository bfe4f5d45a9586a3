"""Takes what stops every piece of gear out of a rig's way, so that there are numbers to report."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from math import pi

import numpy as np

from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.gear.slots import Room, Variant
from optimiser.rig.ground.scene import Scene
from optimiser.rig.walk import Walk


def eased(scene: Scene, walk: Walk) -> Scene | None:
    """The scene without steps that cannot be climbed, without the puller's angle limits, its line slack
    where the load runs on by itself, over those stations at which the rig moves the load. None where
    it pulls nowhere. The scene itself where nothing stands in the way."""
    st, radius = scene.stations, scene.site.load.wheel_radius or 0.0
    stations = replace(st, step=np.where(st.step < radius, st.step, 0.0))
    puller = replace(scene.puller, angle_limit=2 * pi, rise_limit=2 * pi)
    loose = Scene(scene.site, stations, scene.attachment, puller, kept=True, edging=scene.edging)
    numbers = np.array([[scene.number[place] for place in walk]])
    etas = np.ones((1, len(walk) - 2))
    if evaluate(scene, numbers, etas).works.all():
        return scene
    pull = evaluate(loose, numbers, etas).pull[0].reshape(len(st), -1)
    good = np.isfinite(pull).all(axis=1)
    if not (pull[good] > 0.0).any():
        return None
    return loose if good.all() else loose.with_stations(stations.pick(np.flatnonzero(good)))


@dataclass(frozen=True)
class _Anyhow(Variant):
    """A variant whose gear is chosen without a look at the room for it."""

    def room(self) -> Iterator[Room]:
        return iter(())


def anyhow(variant: Variant) -> Variant:
    """The variant, its gear to be chosen without a look at the room for it."""
    return _Anyhow(**{f.name: getattr(variant, f.name) for f in fields(Variant)})


def room_of(variant: Variant) -> Iterator[Room]:
    """The room there really is, however the gear was chosen."""
    return Variant.room(variant)
