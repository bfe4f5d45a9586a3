"""Which points the readings do not fix, in which directions, and why: too few, too flat, not meeting."""

from collections.abc import Collection, Iterator, Mapping
from itertools import combinations

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.values import Vec
from optimiser.site.survey.adjusted import IN_SPACE
from optimiser.site.survey.network import Network
from optimiser.site.survey.observations import Observation
from optimiser.site.survey.refusals import (
    Contradicting,
    Flat,
    Mirrored,
    NotMeeting,
    Refusal,
    TooFew,
)

LOOSE = 1e-5
"""Singular value, of rows of length one, below which a direction is open."""
PLUMB = 0.999
"""Share of an open direction that is upright before its height is said to be what is open."""
UPRIGHT = 0.9
"""The same before a height is what is said to be open of a place that readings hardly fix. A choice."""
HARDLY = 0.5
"""Uncertainty (95 %) of a place against a point that it was read from, as a share of the distance between
them, beyond which it counts as open: circles are no straight lines over such lengths. A choice."""
ASKEW = 0.1
"""Slope against the mirror line, or distance from it as a share of its length, with which two places still
count as its two sides."""
WORST = 3.2905
"""Residual in its standard deviations that readings which fix a point may leave."""


def too_few(network: Network) -> list[Refusal]:
    """Points that these readings fix nowhere, whatever they read."""
    chance = np.random.default_rng(2)
    somewhere = 10 * chance.normal(size=len(network.unknowns))
    open_ways = _open_ways(network, somewhere)
    if not open_ways.shape[1]:
        return []
    moving = _moving(network, open_ways)
    still = network.points.keys() - moving.keys()
    ways = {name: _open_alone(network, somewhere, name) for name in moving}
    if not any(way.shape[1] for way in ways.values()):
        # each would do if the others stood: begin with what needs least from where the rest stands
        alone = {name: _open_alone(network, somewhere, name, still) for name in moving}
        least = min((way.shape[1] for way in alone.values()), default=0)
        ways = {name: way for name, way in alone.items() if way.shape[1] == least}
    if not any(way.shape[1] for way in ways.values()):
        ways = moving  # by a compass alone, and nothing says where north is
    return [_few(network, name, way) for name, way in ways.items() if way.shape[1]]


def _few(network: Network, name: str, ways: Array) -> TooFew:
    height = _reaches_up(ways)
    return TooFew(
        point=name,
        labels=_labels(network, name),
        height=height,
        others=int(np.linalg.matrix_rank(ways, tol=1e-6)) - height,
    )


def unfixed(network: Network, x: Array) -> list[Refusal]:
    """Points that the readings leave open where the adjustment ended: they would fix them elsewhere."""
    open_ways = _open_ways(network, x)
    if not open_ways.shape[1]:
        return []
    return [
        _why(network, name, x, ways / np.linalg.norm(ways))
        for name, ways in _moving(network, open_ways).items()
    ]


def _why(network: Network, name: str, x: Array, way: Array) -> Refusal:
    """Why a point is open although it has readings enough; `way`: the directions, (3, directions)."""
    places, _ = network.arranged(x)
    labels = _labels(network, name)
    worst = max(
        float(v)
        for obs, v in zip(network.observations, np.abs(network.residuals(x)), strict=True)
        if name in obs.points
    )
    if worst < WORST:
        height = bool(np.linalg.norm(way[2]) > UPRIGHT)
        return Flat(point=name, labels=labels, height=height)
    if gaps := sorted(_gaps(network, name, places), key=lambda gap: -gap.gap):
        return gaps[0]
    return Contradicting(point=name, labels=labels, by=worst)


def hardly_fixed(network: Network, x: Array, covariance: Array) -> list[Refusal]:
    """Points that the readings fix so badly that the figures for their uncertainty mean nothing: circles that
    all but touch. What it shares with the points it was read from (a long path) does not count."""
    places, _ = network.arranged(x)
    out: list[Refusal] = []
    for name in network.points:
        if len(network.axes(name)) < 2:
            continue
        bases = {p for obs in network.observations if name in obs.points for p in obs.points}
        shares = (
            _spread(network, covariance, name, p)
            / max(float(np.linalg.norm(places[name] - places[p])), 1e-9)
            for p in bases - {name}
        )
        if min(shares, default=0.0) > HARDLY:
            _, ways = np.linalg.eigh(network.of_point(name, covariance))
            out.append(_why(network, name, x, ways[:, -1:]))
    return out


def _spread(network: Network, covariance: Array, name: str, other: str) -> float:
    """Uncertainty (95 %) of the place of one point against another, m."""
    between = np.zeros((3, len(network.unknowns)))
    for column, (point, axis) in enumerate(network.unknowns):
        if point in (name, other):
            between[axis, column] = 1.0 if point == name else -1.0
    worst = np.linalg.eigvalsh(between @ covariance @ between.T)[-1]
    return float(IN_SPACE * np.sqrt(max(worst, 0.0)))


def mirrored(network: Network, one: Mapping[str, Array], other: Mapping[str, Array]) -> Mirrored:
    """Two arrangements that fit equally well, by the first point that moves between them."""
    near = 0.05 * max(float(np.abs(one[name] - other[name]).max()) for name in one)
    moved = [name for name in one if np.abs(one[name] - other[name]).max() > near]
    point = moved[0]
    still = [name for name in one if name not in moved]
    middle, way = (one[point] + other[point]) / 2, other[point] - one[point]
    upright = bool(np.abs(way[:2]).max() < ASKEW * abs(way[2]))
    line = None
    if not upright:
        pairs = [
            (_off_mirror(one[a], one[b], middle, way), (a, b)) for a, b in combinations(still, 2)
        ]
        off, nearest = min(pairs, default=(np.inf, None))
        line = nearest if off <= ASKEW else None
    return Mirrored(
        point=point,
        labels=_labels(network, point),
        at=(_vec(one[point]), _vec(other[point])),
        upright=upright,
        start=line and line[0],
        end=line and line[1],
    )


def _off_mirror(a: Array, b: Array, middle: Array, way: Array) -> float:
    """How far the middle between two images is off the line a to b in plan, and how little their way is
    square to it; for lines as long as can be."""
    span = (b - a)[:2]
    length = float(np.hypot(*span))
    if length < 1e-3:
        return np.inf
    off = abs(float(span[0] * (middle - a)[1] - span[1] * (middle - a)[0])) / length
    askew = abs(float(span @ way[:2])) / length / float(np.hypot(*way[:2]))
    return off / length + askew - 1e-6 * length


def _gaps(network: Network, name: str, places: Mapping[str, Array]) -> Iterator[NotMeeting]:
    """Pairs of distances of the point that meet nowhere, in plan at the height where it is."""
    radii = [
        (other, radius, obs.label)
        for obs in network.observations
        if name in obs.points and (found := _radius(obs, name, places))
        for other, radius in [found]
    ]
    for (start, first, one), (end, second, two) in combinations(radii, 2):
        apart = float(np.hypot(*(places[end] - places[start])[:2]))
        within = apart < abs(first - second)
        gap = abs(first - second) - apart if within else apart - first - second
        if gap > 0 and start != end:
            yield NotMeeting(
                point=name, labels=(one, two), start=start, end=end, gap=gap, within=within
            )


def _radius(obs: Observation, name: str, places: Mapping[str, Array]) -> tuple[str, float] | None:
    """From where a distance was taken, and how long it is in plan; None: it is no distance."""
    if len(obs.points) != 2 or obs.reach is None:
        return None
    (other,) = (p for p in obs.points if p != name)
    ends = [places[p] for p in obs.points]
    level = float(np.hypot(*(ends[1] - ends[0])[:2]))
    slope = float(obs.calculated(ends, 0.0))
    return other, float(np.sqrt(max(obs.value**2 - (slope**2 - level**2), 0.0)))


def _open_ways(network: Network, x: Array) -> Array:
    """Directions of all unknowns in which nothing changes, (unknowns, directions)."""
    return _null(network.jacobian(x))


def _open_alone(
    network: Network, x: Array, name: str, still: Collection[str] | None = None
) -> Array:
    """Directions of one point in which nothing changes while all others stay, (3, directions); by its
    readings from points that are `still` only."""
    axes = network.axes(name)
    columns = np.array([network.column[name, axis] for axis in axes], dtype=int)
    rows = [
        still is None or all(p == name or p in still for p in obs.points)
        for obs in network.observations
    ]
    ways = _null(network.jacobian(x)[np.array(rows, dtype=bool)][:, columns])
    out = np.zeros((3, ways.shape[1]))
    out[list(axes)] = ways
    return out


def _null(J: Array) -> Array:
    length = np.linalg.norm(J, axis=1, keepdims=True)
    rows = np.where(length > 0, J / np.where(length > 0, length, 1.0), 0.0)
    _, values, ways = np.linalg.svd(rows, full_matrices=True)
    rank = int((values > LOOSE).sum())
    return ways[rank:].T


def _moving(network: Network, open_ways: Array) -> dict[str, Array]:
    """Of each point that may move the directions in which it may, (3, directions)."""
    out = {}
    for name in network.points:
        ways = np.zeros((3, open_ways.shape[1]))
        for axis in network.axes(name):
            ways[axis] = open_ways[network.column[name, axis]]
        if np.abs(ways).max(initial=0.0) > 1e-4:
            out[name] = ways
    return out


def _reaches_up(ways: Array) -> bool:
    """Whether straight up is one of the directions, or nearly."""
    basis, values, _ = np.linalg.svd(ways, full_matrices=False)
    basis = basis[:, values > 1e-6]
    return bool(np.linalg.norm(basis[2]) > PLUMB)


def _labels(network: Network, name: str) -> tuple[str, ...]:
    labels = (obs.label for obs in network.observations if name in obs.points and not obs.defined)
    return tuple(dict.fromkeys(labels))


def _vec(at: Array) -> Vec:
    x, y, z = (float(value) for value in at)
    return (x, y, z)
