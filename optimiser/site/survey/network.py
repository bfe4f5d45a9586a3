"""The readings as one system: unknown coordinates in, weighted residuals and their changes out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.site.survey.adjusted import NORTH, Known, Side
from optimiser.site.survey.observations import Observation

SIDE_MATTERS = 1e-6
"""Twice the area [m²] of a triangle below which a point counts as in line."""


@dataclass(frozen=True, eq=False)
class Network:
    """Points with what is given of them, and what was read. `north` None: worked out if a reading
    needs it."""

    points: Mapping[str, Known]
    observations: Sequence[Observation]
    sides: Sequence[Side] = ()
    north: float | None = None

    def __post_init__(self) -> None:
        named = {name for obs in self.observations for name in obs.points}
        named |= {name for side in self.sides for name in (side.point, side.start, side.end)}
        if lost := named - set(self.points):
            raise KeyError(f"readings name points that are not there: {sorted(lost)}")

    @cached_property
    def needs_north(self) -> bool:
        """Whether the direction to north is one of the unknowns."""
        return self.north is None and any(obs.by_north for obs in self.observations)

    @cached_property
    def unknowns(self) -> tuple[tuple[str, int], ...]:
        """Every unknown by point and number of the axis; north last."""
        found = [
            (name, axis)
            for name, known in self.points.items()
            for axis, value in enumerate(known.coordinates)
            if value is None
        ]
        return (*found, *([NORTH] if self.needs_north else []))

    @cached_property
    def column(self) -> Mapping[tuple[str, int], int]:
        """Place of each unknown among them."""
        return {unknown: i for i, unknown in enumerate(self.unknowns)}

    @cached_property
    def given(self) -> Mapping[str, Array]:
        """What is given of each point, NaN elsewhere."""
        return {
            name: np.array([np.nan if c is None else c for c in known.coordinates])
            for name, known in self.points.items()
        }

    @cached_property
    def _weights(self) -> Array:
        return 1 / np.array([obs.sigma for obs in self.observations])

    def free(self, name: str) -> Mask:
        """Which coordinates of the point are unknown, shape (3,)."""
        return np.isnan(self.given[name])

    def axes(self, name: str) -> tuple[int, ...]:
        """Numbers of the unknown coordinates of the point."""
        return tuple(axis for axis in range(3) if self.free(name)[axis])

    def of_point(self, name: str, covariance: Array) -> Array:
        """The part (3, 3) of a covariance of all unknowns that is the point's; zero where it is given."""
        out = np.zeros((3, 3))
        for axis in self.axes(name):
            for other in self.axes(name):
                out[axis, other] = covariance[self.column[name, axis], self.column[name, other]]
        return out

    @cached_property
    def without_sides(self) -> "Network":
        """The same wherever mirror images may be; always the one network."""
        return Network(self.points, self.observations, (), self.north)

    def without(self, number: int) -> "Network":
        """The same without the reading of that number."""
        kept = [obs for i, obs in enumerate(self.observations) if i != number]
        return Network(self.points, kept, self.sides, self.north)

    def arranged(self, x: Array) -> tuple[dict[str, Array], float]:
        """Places of all points (3,) and the direction to north, from the unknowns."""
        places = {name: at.copy() for name, at in self.given.items()}
        north = 0.0 if self.north is None else self.north
        for (name, axis), value in zip(self.unknowns, x, strict=True):
            if name:
                places[name][axis] = value
            else:
                north = float(value)
        return places, north

    def packed(self, places: Mapping[str, Array], north: float | None) -> Array:
        """The unknowns of an arrangement: the other way round than `arranged`."""
        return np.array([places[name][axis] if name else north for name, axis in self.unknowns])

    @staticmethod
    def size(places: Mapping[str, Array]) -> float:
        """How large the whole is, m: what "close" is measured by."""
        return max(1.0, float(np.ptp(list(places.values()), axis=0).max()))

    def residuals(self, x: Array) -> Array:
        """Calculated less measured, each over its standard deviation."""
        places, north = self._stacked(x)
        out = np.zeros(len(self.observations))
        for group in self._groups:
            out[group.rows] = group.one.residual([*places[group.points]], north, group.values)
        return out * self._weights

    def jacobian(self, x: Array) -> Array:
        """Change of `residuals` with the unknowns, (readings, unknowns)."""
        places, north = self._stacked(x)
        out = np.zeros(
            (len(self.observations), len(self.unknowns) + 1)
        )  # the last: given coordinates
        for group in self._groups:
            partials = group.one.partials([*places[group.points]], north)
            for points, partial in zip(group.points, partials, strict=True):
                for axis in range(3):
                    out[group.rows, self._columns[points, axis]] += partial[:, axis]
            if self.needs_north:
                out[group.rows, -2] += group.one.by_north
        return out[:, :-1] * self._weights[:, None]

    def _stacked(self, x: Array) -> tuple[Array, float]:
        """Places of all points (points, 3), and the direction to north."""
        whole = np.append(x, 0.0)
        places = np.where(self._columns < len(x), whole[self._columns], self._given)
        return places, float(x[-1]) if self.needs_north else self.north or 0.0

    @cached_property
    def _given(self) -> Array:
        return np.array(list(self.given.values()))

    @cached_property
    def _columns(self) -> Numbers:
        """Which unknown each coordinate of each point is, (points, 3); one too many: it is given."""
        last = len(self.unknowns)
        return np.array([[self.column.get((p, a), last) for a in range(3)] for p in self.points])

    @cached_property
    def _groups(self) -> "Sequence[_Alike]":
        number = {name: i for i, name in enumerate(self.points)}
        alike: dict[tuple[type, object], list[int]] = {}
        for i, obs in enumerate(self.observations):
            alike.setdefault((type(obs), obs.variant), []).append(i)
        return [
            _Alike(
                one=self.observations[rows[0]],
                rows=np.array(rows),
                points=np.array([[number[p] for p in self.observations[i].points] for i in rows]).T,
                values=np.array([self.observations[i].value for i in rows]),
            )
            for rows in alike.values()
        ]

    def on_their_sides(self, places: Mapping[str, Array]) -> bool:
        """Whether every point that has been placed is where `sides` says."""
        return all(
            is_left(places, side) is side.left
            for side in self.sides
            if {side.point, side.start, side.end} <= places.keys()
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class _Alike:
    """Readings that are worked out together: `one` of them, their `rows`, their `points` (of one reading,
    readings) and what was measured."""

    one: Observation
    rows: Numbers
    points: Numbers
    values: Array


def is_left(places: Mapping[str, Array], side: Side) -> bool | None:
    """Whether the point is to the left of the line in plan; None: in line with it."""
    way = places[side.end] - places[side.start]
    off = places[side.point] - places[side.start]
    area = float(way[0] * off[1] - way[1] * off[0])
    return None if abs(area) < SIDE_MATTERS else area > 0
