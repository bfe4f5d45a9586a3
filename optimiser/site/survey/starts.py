"""Where the points are about: the start that least squares needs, and every other place that may fit.

One point after the other is placed from those that are already there: from many guesses round them the
readings of this one point are followed downhill, and each place where that ends is kept. So mirror images
come up by themselves. Points that need each other are placed together.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.site.survey.adjusted import NORTH
from optimiser.site.survey.network import Network
from optimiser.site.survey.observations import Observation

KEPT = 8
"""Arrangements that are followed at the same time."""
KEPT_OF_ONE = 4
"""Places of one point that are followed."""
APART = 1e-3
"""Two ends of a descent are one place if they are closer than this share of the distances there."""
SOFT = 2e-3
"""Accuracy [m or rad] below which a reading is not taken while a start is looked for: narrow valleys are
slow to follow."""
FULL = 1e-4
"""Least singular value, of rows of length one, with which readings fix a place."""
STEPS = 40
MOVING = 1e-5
"""Step [m] below which a guess has come to its end."""
SLOW = 0.05
"""Share of the guesses that are not waited for."""
FAR_WORSE = 400.0
"""Sum of squares by which a place may fit worse than the best and still be followed: twenty accuracies."""
TOGETHER = 12
"""Guesses where points that need each other are placed together."""


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Points placed so far, the direction to north if it is known, and how badly their readings fit."""

    places: Mapping[str, Array]
    north: float | None
    badness: float = 0.0
    ends: dict[str, list[tuple[float, Array]]] = field(default_factory=dict)


def arrangements(network: Network) -> list[Arrangement]:
    """Arrangements of all points that may be the start of an adjustment, the best first; some points may be
    left out of the last step because nothing fixes them."""
    placed = {name: at for name, at in network.given.items() if not np.isnan(at).any()}
    found = [_with_north(network, Arrangement(placed, network.north))]
    while any(len(some.places) < len(network.points) for some in found):
        further = [after for some in found for after in _one_more(network, some)]
        further.sort(key=lambda some: some.badness)
        found = _distinct(further)[:KEPT]
        if not found:
            return []
    return found


def other_places(
    network: Network, name: str, places: Mapping[str, Array], north: float | None
) -> list[Array]:
    """All places that one point may have while the others stay, the best first."""
    others = {other: at for other, at in places.items() if other != name}
    return [at for _, at in _ends(network, name, others, north)]


def usable(
    network: Network, name: str, placed: Mapping[str, Array], north: float | None
) -> list[Observation]:
    """Readings of the point from points that are placed."""
    return [
        obs
        for obs in network.observations
        if name in obs.points
        and all(other == name or other in placed for other in obs.points)
        and (north is not None or not obs.by_north)
    ]


def _one_more(network: Network, some: Arrangement) -> Iterator[Arrangement]:
    """The arrangement with one more point, in every way that fits; the point with the fewest ways."""
    if len(some.places) == len(network.points):
        yield some
        return
    best: tuple[str, list[tuple[float, Array]]] | None = None
    ends = dict(some.ends)
    for name in network.points:
        if name in some.places:
            continue
        if name not in ends:
            ends[name] = _ends(network, name, some.places, some.north)
        if ends[name] and (best is None or len(ends[name]) < len(best[1])):
            best = name, ends[name]
            if len(best[1]) == 1:
                break
    if best is None:
        yield from _all_at_once(network, some)
        return
    name, ways = best
    for badness, at in ways[:KEPT_OF_ONE]:
        places = {**some.places, name: at}
        if not network.on_their_sides(places):
            continue
        linked = {p for obs in network.observations if name in obs.points for p in obs.points}
        kept = {other: way for other, way in ends.items() if other not in linked}
        after = _with_north(network, Arrangement(places, some.north, some.badness + badness, kept))
        found_north = after.north is not None and some.north is None
        yield replace(after, ends={}) if found_north else after


def _with_north(network: Network, some: Arrangement) -> Arrangement:
    """The arrangement with the direction to north as soon as a bearing between placed points gives it."""
    if some.north is not None:
        return some
    seen = [
        -float(obs.residual([some.places[p] for p in obs.points], 0.0))
        for obs in network.observations
        if obs.by_north and all(p in some.places for p in obs.points)
    ]
    if not seen:
        return some
    north = float(np.arctan2(np.sin(seen).sum(), np.cos(seen).sum()))
    return Arrangement(some.places, north, some.badness, some.ends)


def _ends(
    network: Network, name: str, placed: Mapping[str, Array], north: float | None
) -> list[tuple[float, Array]]:
    """Where the point may be by its readings from placed points, with how badly they fit; empty if they do
    not fix it."""
    readings = usable(network, name, placed, north)
    free = network.free(name)
    if len(readings) < free.sum():
        return []
    guesses = _guesses(network.given[name], readings, name, placed)
    at, badness, thin = _downhill(name, readings, placed, north, guesses, free)
    order = np.argsort(badness, kind="stable")
    size = max(1.0, float(np.ptp(guesses, axis=0).max()))
    found: list[tuple[float, Array]] = []
    for i in order:
        if badness[i] < badness[order[0]] + FAR_WORSE and all(
            np.abs(at[i] - other).max() > APART * size for _, other in found
        ):
            found.append((float(badness[i]), at[i]))
        if len(found) == 2 * KEPT_OF_ONE:
            break
    if not found or thin[order[0]]:
        return []
    return found


def _guesses(
    given: Array, readings: Sequence[Observation], name: str, placed: Mapping[str, Array]
) -> Array:
    """Guesses round the places from which the point was read, as far away as it is by its distances."""
    bases = {p: placed[p] for obs in readings for p in obs.points if p != name}
    if not bases:
        return np.where(np.isnan(given), 0.0, given)[None]
    usual = float(np.ptp(list(bases.values()), axis=0).max()) or 10.0
    rings: list[tuple[Array, float]] = []
    for obs in readings:
        if obs.reach is not None:
            base = next(p for p in obs.points if p != name)
            rings.append((placed[base], max(obs.reach, 0.1)))
    if not rings:
        rings = [(at, usual * factor) for at in bases.values() for factor in (0.3, 1.0, 3.0)]
    turn = np.arange(8) * np.pi / 4 + 0.2
    rise = np.array((-0.6, 0.0, 0.6))
    ways = np.stack(
        [
            np.cos(rise)[:, None] * np.cos(turn),
            np.cos(rise)[:, None] * np.sin(turn),
            np.sin(rise)[:, None] + 0 * turn,
        ],
        axis=-1,
    ).reshape(-1, 3)
    guesses = np.concatenate([base + radius * ways for base, radius in rings[:3]])
    return np.where(np.isnan(given), guesses, given)


def _downhill(
    name: str,
    readings: Sequence[Observation],
    placed: Mapping[str, Array],
    north: float | None,
    guesses: Array,
    free: Mask,
) -> tuple[Array, Array, Mask]:
    """Damped Gauss-Newton steps of one point from all guesses (n, 3) at once: places (n, 3), sums of squares
    (n,), and whether the readings hardly fix the place in some direction (n,)."""
    at = guesses.copy()
    weights = 1 / np.array([max(obs.sigma, SOFT) for obs in readings])
    towards = 0.0 if north is None else north
    groups = _alike(name, readings, placed)

    def seen(at: Array) -> Array:
        out = np.empty((len(at), len(readings)))
        for group in groups:
            out[:, group.rows] = group.one.residual(group.around(at), towards, group.values)
        return out * weights

    def changes(at: Array) -> Array:
        out = np.empty((len(at), len(readings), 3))
        for group in groups:
            out[:, group.rows] = group.one.partials(group.around(at), towards)[group.place]
        return (out * weights[:, None])[:, :, free]

    v = seen(at)
    badness = (v * v).sum(-1)
    damping = np.full(len(at), 1e-3)
    eye = np.eye(int(free.sum()))
    for _ in range(STEPS):
        J = changes(at)
        N = J.transpose(0, 2, 1) @ J
        g = (J * v[:, :, None]).sum(1)
        size = np.trace(N, axis1=1, axis2=2) / len(eye)
        step = -np.linalg.solve(N + ((damping + 1e-12) * size)[:, None, None] * eye, g[..., None])
        trial = at.copy()
        trial[:, free] += step[..., 0]
        v_trial = seen(trial)
        badness_trial = (v_trial * v_trial).sum(-1)
        better = badness_trial < badness
        moved = np.abs(step[..., 0]).max(-1)
        at[better], v[better], badness[better] = (
            trial[better],
            v_trial[better],
            badness_trial[better],
        )
        damping = np.clip(np.where(better, damping / 8, damping * 6), 1e-12, 1e8)
        if (moved > MOVING).mean() < SLOW:
            break
    J = changes(at)
    unit = J / np.maximum(np.linalg.norm(J, axis=-1, keepdims=True), 1e-12)
    return at, badness, np.linalg.svd(unit, compute_uv=False)[:, -1] < FULL


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Alike:
    """Readings of one point that are worked out together: `one` of them, their `rows`, which of their points
    is to be placed (`place`), where the others are (each (readings, 3)), and what was measured."""

    one: Observation
    rows: Numbers
    place: int
    others: Sequence[Array]
    values: Array

    def around(self, at: Array) -> list[Array]:
        """The points of the readings, with the one that is placed at each of `at` (n, 3)."""
        places = list(self.others)
        places.insert(self.place, np.broadcast_to(at[:, None], (len(at), len(self.rows), 3)))
        return places


def _alike(name: str, readings: Sequence[Observation], placed: Mapping[str, Array]) -> list[_Alike]:
    kinds: dict[tuple[type, object, int], list[int]] = {}
    for i, obs in enumerate(readings):
        kinds.setdefault((type(obs), obs.variant, obs.points.index(name)), []).append(i)
    return [
        _Alike(
            one=readings[rows[0]],
            rows=np.array(rows),
            place=place,
            others=[
                np.array([placed[readings[i].points[k]] for i in rows])
                for k in range(len(readings[rows[0]].points))
                if k != place
            ],
            values=np.array([readings[i].value for i in rows]),
        )
        for (_, _, place), rows in kinds.items()
    ]


def _all_at_once(network: Network, some: Arrangement) -> Iterator[Arrangement]:
    """The points that are left, placed together from guesses all round."""
    from scipy.optimize import least_squares  # slow to load; only these sites need it

    left = [name for name in network.points if name not in some.places]
    known = {
        name: network.points[name] if name in left else type(network.points[name]).at(_vec(at))
        for name, at in some.places.items()
    } | {name: network.points[name] for name in left}
    inner = [obs for obs in network.observations if set(obs.points) & set(left)]
    part = Network(known, inner, network.sides, some.north)
    if len(inner) < len(part.unknowns):
        return
    lengths = [abs(obs.value) for obs in inner if not obs.angular]
    size = float(np.median(lengths)) if lengths else 10.0
    middle = np.mean(list(some.places.values()), axis=0) if some.places else np.zeros(3)
    chance = np.random.default_rng(1)
    for _ in range(TOGETHER):
        guess = np.array(
            [
                chance.uniform(-np.pi, np.pi)
                if (name, axis) == NORTH
                else middle[axis] + size * chance.normal()
                for name, axis in part.unknowns
            ]
        )
        end = least_squares(part.residuals, guess, part.jacobian, method="lm", max_nfev=60)
        places, north = part.arranged(end.x)
        if network.on_their_sides(places):
            yield Arrangement(
                {name: places[name] for name in network.points},
                north if part.needs_north else some.north,
                some.badness + 2 * float(end.cost),
            )


def _distinct(some: Sequence[Arrangement]) -> list[Arrangement]:
    found: list[Arrangement] = []
    for one in some:
        if not any(_same(one, other) for other in found):
            found.append(one)
    return found


def _same(one: Arrangement, other: Arrangement) -> bool:
    if one.places.keys() != other.places.keys():
        return False
    near = APART * Network.size(one.places)
    return all(np.abs(at - other.places[name]).max() < near for name, at in one.places.items())


def _vec(at: Array) -> tuple[float, float, float]:
    x, y, z = (float(value) for value in at)
    return (x, y, z)
