"""Places the stations along the path at which every force is computed.

Each leg's two ends are stations (a vertex counts twice, once with each leg's direction), and none is
further from the next than the site's spacing, or an eighth of the distance to the nearest anchor:
close to an anchor directions turn fast. So they do close to a crest over which a line may bend: where
something lies there or may be laid, none is further from the next than an eighth of the way from where
a line takes hold of the load to the crest.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from catalogue.gear import Protector
from optimiser.mechanics.arrays import Array, Numbers
from optimiser.mechanics.ground import rest
from optimiser.mechanics.values import Vec
from optimiser.rig.ground.attachments import Attachment, attachments
from optimiser.site.model import BREAKOUT_REACH, Leg, Owned, Site, is_of

FINEST = 0.05
"""m: no closer than this."""
FINEST_AT_CREST = 0.02
"""m: the same, where a line may bend over a crest."""
CREST = 1e-9
"""Least change of slope that makes a crest."""


@dataclass(frozen=True)
class Stations:
    """Arrays of length S, or (S, 3) for vectors; SI."""

    at: Array  # m along the path
    point: Array  # (S, 3) on the ground
    along: Array  # t, unit, direction of travel
    across: Array  # b, unit, horizontal, to the left
    normal: Array  # n, unit, away from the ground
    resistance: Array
    resistance_low: Array
    resistance_least: Array  # low end of the file's range, else the resistance
    resistance_sure: Array  # the share of the lowest that is counted on to keep the load
    resistance_saved: Array  # what of the resistance a line that lifts surely saves
    weight: Array  # N, with apparent-weight and break-out factors, and by the pulls that were read
    moved: Array  # factor in the weight by the pulls that were read
    resting: Array  # N, with the apparent-weight factor only
    step: Array  # m, lip to climb at this station, else 0
    leg: npt.NDArray[np.int64]
    rolling: npt.NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.at)

    @cached_property
    def carried(self) -> Array:
        """(S,) N, the weight without what pulls say of it and the resistance together: wheels that climb
        a step carry it all."""
        return np.asarray(self.weight / self.moved)

    @cached_property
    def slope_sin(self) -> Array:
        return self.along[:, 2]

    @cached_property
    def slope_cos(self) -> Array:
        return self.normal[:, 2]

    @cached_property
    def rest(self) -> Numbers:
        """(S,) the `Rest` of the load let go of at each station, whichever way is down there."""
        return rest.status(
            slope_sin=np.abs(self.slope_sin),
            slope_cos=self.slope_cos,
            resistance_low=self.resistance_low,
            resistance_sure=self.resistance_sure,
        )

    @cached_property
    def held_back(self) -> Array:
        """(S,) N along the ground that keeps the load from running back the way it came; 0: it rests."""
        return self._held(self.slope_sin)

    @cached_property
    def held_on(self) -> Array:
        """(S,) N along the ground that keeps the load from running on ahead; 0: it rests."""
        return self._held(-self.slope_sin)

    def _held(self, slope_sin: Array) -> Array:
        return rest.hold_along(
            weight=self.resting,
            slope_sin=slope_sin,
            slope_cos=self.slope_cos,
            resistance_sure=self.resistance_sure,
        )

    def pick(self, index: npt.NDArray[np.int64] | slice) -> "Stations":
        """Some of the stations."""
        names = self.__dataclass_fields__
        return Stations(**{name: getattr(self, name)[index] for name in names})

    def between(self, from_m: float, to_m: float) -> slice:
        """The slice of stations with from_m <= at <= to_m."""
        near = 1e-9
        inside = np.flatnonzero((self.at >= from_m - near) & (self.at <= to_m + near))
        return slice(int(inside[0]), int(inside[-1]) + 1)


def leg_lengths(site: Site) -> Array:
    """Length of each leg, m."""
    return np.array([np.linalg.norm(np.subtract(leg.end, leg.start)) for leg in site.legs])


def path_length(site: Site) -> float:
    """Length of the whole path, m."""
    return float(leg_lengths(site).sum())


def crests(legs: Sequence[Leg]) -> set[Vec]:
    """The vertices of the path over which it becomes less steep."""
    out = set()
    for one, two in pairwise(legs):
        if _slope(one) - _slope(two) > CREST:
            x, y, z = one.end
            out.add((float(x), float(y), float(z)))
    return out


def _slope(leg: Leg) -> float:
    going = float(np.hypot(leg.end[0] - leg.start[0], leg.end[1] - leg.start[1]))
    return (leg.end[2] - leg.start[2]) / max(going, 1e-9)


@dataclass(frozen=True)
class _Near:
    """What stations are closer to each other by: anchors, (A, 3), and crests over which a line may bend,
    (C, 3), with every way to take hold of the load."""

    anchors: Array
    crests: Array
    attachments: tuple[Attachment, ...]

    @staticmethod
    def of(site: Site, gear: Iterable[Owned]) -> "_Near":
        lies = any(leg.laid is not None for leg in site.legs)
        lies = lies or any(is_of(piece, Protector) for piece in gear)
        return _Near(
            np.array([anchor.position for anchor in site.anchors]).reshape(-1, 3),
            np.array(sorted(crests(site.legs)) if lies else []).reshape(-1, 3),
            attachments(site),
        )

    def gap(self, load: Array, along: Array, spacing: float) -> float:
        """How far the next station may be, m, with the load at a point of a leg that leads `along`."""
        gap = spacing
        if len(self.anchors):
            nearest = np.linalg.norm(self.anchors - load, axis=1).min()
            gap = float(np.clip(nearest / 8.0, FINEST, spacing))
        if len(self.crests):
            across = np.array((-along[1], along[0], 0.0)) / np.hypot(along[0], along[1])
            held = np.array([a.ahead * along + a.left * across for a in self.attachments]) + load
            held[:, 2] += [a.height for a in self.attachments]
            nearest = np.linalg.norm(self.crests[:, None] - held[None], axis=2).min()
            gap = min(gap, max(float(nearest) / 8.0, FINEST_AT_CREST))
        return gap


def lay_stations(
    site: Site, extra: tuple[float, ...] = (), gear: Iterable[Owned] | None = None
) -> Stations:
    """The stations of the whole path, with further ones at the distances `extra` [m]. `gear`: what there is
    to lay on edges; None: what the site owns."""
    rows: list[Stations] = []
    start = 0.0
    near = _Near.of(site, site.gear if gear is None else gear)
    for index, (leg, length) in enumerate(zip(site.legs, leg_lengths(site), strict=True)):
        own = [s - start for s in extra if start < s < start + length]
        reach = _distances(leg, float(length), site.preferences.station_spacing, near, own)
        rows.append(_on_leg(site, leg, index, start, reach))
        start += float(length)
    return join_stations(rows)


def laid_anew(site: Site, stations: Stations, gear: Iterable[Owned]) -> Stations:
    """The stations of the same stretch on a site that may have changed; `gear` as in `lay_stations`."""
    begin, end = float(stations.at[0]), float(stations.at[-1])
    laid = lay_stations(site, (begin, end), gear)
    laid = laid.pick(laid.between(begin, end))
    own = (laid.leg >= stations.leg[0]) & (laid.leg <= stations.leg[-1])
    return laid.pick(np.flatnonzero(own))


def join_stations(rows: Sequence[Stations]) -> Stations:
    """Stations that follow each other as one set."""
    names = Stations.__dataclass_fields__
    return Stations(
        **{name: np.concatenate([getattr(row, name) for row in rows]) for name in names}
    )


def station_at(site: Site, at: float) -> Stations:
    """The one or, at a vertex, two stations at a distance along the path."""
    rows = lay_stations(site, (at,))
    return rows.pick(np.flatnonzero(np.abs(rows.at - at) < 1e-9))


def _distances(leg: Leg, length: float, spacing: float, near: _Near, extra: list[float]) -> Array:
    fixed = {0.0, length, *extra}
    if leg.breakout != 1.0 and length > BREAKOUT_REACH:
        fixed |= {BREAKOUT_REACH, min(BREAKOUT_REACH + FINEST, length)}
    marks = sorted(fixed)
    origin, way = np.array(leg.start), np.subtract(leg.end, leg.start) / length
    out = [0.0]
    for begin, end in pairwise(marks):
        here = begin
        while here < end:
            gap = near.gap(origin + here * way, way, spacing)
            left = end - here
            here = end if left <= gap * (1 + 1e-9) else here + left / np.ceil(left / gap - 1e-9)
            out.append(min(here, end))
    return np.array(out)


def _on_leg(site: Site, leg: Leg, index: int, start: float, reach: Array) -> Stations:
    count = len(reach)
    way = np.subtract(leg.end, leg.start)
    along = way / np.linalg.norm(way)
    across = np.cross((0.0, 0.0, 1.0), along)
    across /= np.linalg.norm(across)
    broken = np.where(reach <= BREAKOUT_REACH + 1e-9, leg.breakout, 1.0)
    resting = np.full(count, site.load.weight * leg.apparent)
    step = np.zeros(count)
    step[0] = leg.step
    return Stations(
        at=start + reach,
        point=np.array(leg.start) + reach[:, None] * along,
        along=np.tile(along, (count, 1)),
        across=np.tile(across, (count, 1)),
        normal=np.tile(np.cross(along, across), (count, 1)),
        resistance=np.full(count, leg.resistance),
        resistance_low=np.full(count, leg.resistance_low),
        resistance_least=np.full(
            count, leg.resistance if leg.resistance_least is None else leg.resistance_least
        ),
        resistance_sure=np.full(count, leg.resistance_low * site.preferences.resistance_counted_on),
        resistance_saved=np.full(count, leg.saved_by_lift),
        weight=resting * broken * leg.moved,
        moved=np.full(count, leg.moved),
        resting=resting,
        step=step,
        leg=np.full(count, index),
        rolling=np.full(count, leg.motion.value == "rolling"),
    )
