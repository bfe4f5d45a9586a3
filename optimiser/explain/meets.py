"""What a part of line meets on its way: trunks, posts, the ground, the load's own nose."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from optimiser import clearance
from optimiser.gear.row import RigRow
from optimiser.results import Change, names
from optimiser.scene import Array, Mask
from shared.units import Dimension, Rounding, show


@dataclass(frozen=True, slots=True)
class Meeting:
    """Something in the way: `at`, m along the path where the load is when the line first meets it."""

    what: str
    kind: str  # "post", "ground" or "nose"
    at: float
    change: Change | None  # None: it cannot be taken away


def met(row: RigRow, segment: int) -> Iterator[Meeting]:
    """Everything that a part of line meets, each with what would clear it."""
    here = _Part(row, segment)
    yield from here.posts()
    yield from here.ground()
    yield from here.nose()


class _Part:
    """One part of line of a row, from the load where it comes to that."""

    def __init__(self, row: RigRow, segment: int) -> None:
        self.row, self.scene, self.states = row, row.scene, row.evaluation.states
        a, b = row.numbers[segment], row.numbers[segment + 1]
        self.a, self.b = (b, a) if b == 0 else (a, b)
        self.runs = clearance.Runs.between(self._points(self.a), self._points(self.b))

    def _points(self, number: int) -> Array:
        """(X, 3)"""
        if number == 0:
            return self.scene.hitch[self.states.station]
        if number == self.scene.puller_number:
            return self.scene.spots[self.states.spot]
        return np.broadcast_to(self.scene.position[number], (len(self.states.station), 3))

    def _first(self, mask: Mask) -> float:
        state = int(np.flatnonzero(mask)[0])
        return float(self.scene.stations.at[self.states.station[state]])

    def _post(self, number: int) -> str:
        place = self.scene.places[number]
        return (self.scene.puller.anchor or "") if place.kind == "puller" else place.name

    def _metres(self, value: float, rounding: Rounding = Rounding.NEAREST) -> str:
        return show(value, Dimension.LENGTH, self.scene.site.preferences.units, rounding)

    def posts(self) -> Iterator[Meeting]:
        """Trunks that the line is not made fast to, and obstacles."""
        site, own = self.scene.site, {self._post(self.a), self._post(self.b)}
        loose = {obstacle.name for obstacle in site.obstacles}
        for post in clearance.posts(site, ()):
            hit = clearance.runs_hit_post(self.runs, post)
            if post.name in own or not hit.any():
                continue
            change = None
            if post.name in loose:
                change = Change(text=f"take {post.name} away", amount=1.0, unit="")
            yield Meeting(post.name, "post", self._first(hit), change)

    def _touches(self, points: Array) -> Mask:
        prefs = self.scene.site.preferences
        return clearance.touches_ground(
            self.runs,
            points,
            within=prefs.ground_known_within,
            above=prefs.clearance,
            both_ends=self.a != 0,
        )

    def ground(self) -> Iterator[Meeting]:
        """The ground of the path, where its edge is not protected."""
        site, stations = self.scene.site, self.scene.stations
        touches = self._touches(clearance.ground_points(site, stations))
        if not touches.any():
            return
        legs, start = [], 0.0
        for number, leg in enumerate(site.legs, start=1):
            alone = tuple(x if x is leg else replace(x, edge_protected=True) for x in site.legs)
            points = clearance.ground_points(replace(site, legs=alone), stations)
            if not leg.edge_protected and self._touches(points).any():
                legs.append(f"leg {number} (from {self._metres(start)})")
            start += float(np.linalg.norm(np.subtract(leg.end, leg.start)))
        text = (
            f"lay a roller, log or hose where it touches, on {names(legs)} of the path "
            "(edge_protected in the site file)"
        )
        change = Change(text=text, amount=float(len(legs)), unit="edges")
        yield Meeting("the ground", "ground", self._first(touches), change)

    def nose(self) -> Iterator[Meeting]:
        """The load itself, come to the anchor it is pulled to."""
        if self.a != 0 or self.b == self.scene.puller_number:
            return
        here = np.asarray(~self.scene.nose_free(self.b))
        if not here.any():
            return
        at = self.scene.stations.at
        stop = float(at[np.flatnonzero(here)[0]])
        before = at[at < stop]
        if len(before):
            rest = float(at[-1] - before[-1])
            to = self._metres(float(before[-1]), Rounding.DOWN)
            last = self._metres(rest, Rounding.UP)
            text = (
                f"haul with this reeving to {to} only, and the last {last} with another, in stages"
            )
            change = Change(text=text, amount=rest, unit="m")
        else:
            change = Change(text="an anchor further ahead of the load", amount=0.0, unit="")
        yield Meeting("the load's own nose, which has come to the anchor", "nose", stop, change)
