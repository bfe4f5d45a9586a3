"""Computes which straight runs of rope sweep over a post or too low over the ground on their way: as the load
moves on to the next place that is looked at, or the puller along its run.

Neither place may show it: a post or a hump between them is narrower than the way that the line makes there.
From station to station a line moves by less than the ground is known to either side, so of the ground only
the puller's run matters.
"""

from collections.abc import Iterator, Sequence
from dataclasses import fields

import numpy as np

from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.ground.clearance import NEAR_END, Runs, kept_clear, over
from optimiser.rig.once import Lately
from optimiser.site.model import Obstacle, Site

HAIR = 1e-9
"""m by which a line may seem to be too far off or too low: rounding and no more."""
FOUND = 1e-6
"""m to within which it is found where a point comes to lie near an end of a line."""
REMEMBERED = 400_000
"""Lines at stations whose sweeps are remembered: the spots of a lane share most of their places."""


def sweeps_post(before: Runs, after: Runs, post: Obstacle) -> Mask:
    """(...,) whether each line, on its way from `before` to `after`, comes over the middle of a post that
    is higher there than the line. One end of it stays and the other goes straight on."""
    return _sweeps(before, after, _side(before, post), _side(after, post), post)


def _side(runs: Runs, post: Obstacle) -> Array:
    """(...,) how far a post's middle is to the left of each line, times the line's length."""
    x, y, _ = post.position
    return _aside(runs, x, y)


def _aside(runs: Runs, x: float | Array, y: float | Array) -> Array:
    """(...,) the same of a point in plan."""
    return (y - runs.y) * runs.along_x - (x - runs.x) * runs.along_y


def _sweeps(before: Runs, after: Runs, one: Array, other: Array, post: Obstacle) -> Mask:
    """`sweeps_post`, with the side of the post known before and after."""
    x, y, z = post.position
    out = one * other < 0.0
    if not out.any():
        return out
    some = np.nonzero(out)
    share, begin, end = one[some] / (one[some] - other[some]), before.pick(some), after.pick(some)
    pairs = ((getattr(begin, f.name), getattr(end, f.name)) for f in fields(Runs))
    over = Runs(*(first + share * (last - first) for first, last in pairs))
    along = over.off(x, y)[1] / over.squared
    below = over.z + along * over.along_z < z + post.top
    out[some] = (along > 0.0) & (along < 1.0) & below
    return out


def dips(
    before: Runs, after: Runs, point: Array, *, within: float, above: float, both_ends: bool
) -> Mask:
    """(...,) whether each line, on its way from `before` to `after`, comes closer than `above` to a point of
    the ground (3,), or each to its own (3, ...); their beginnings stay and their ends go straight on.
    `within`, `both_ends`: as in `clearance.touches_ground`."""
    out = np.zeros(before.x.shape, dtype=bool)
    for runs in between(before, after, point, within=within):
        share, inside = over(
            runs,
            point[0],
            point[1],
            within=within + HAIR,
            both_ends=both_ends,
            ends=NEAR_END - FOUND,
        )
        out |= inside & (runs.z + share * runs.along_z - point[2] < above - HAIR)
    return out


def _may_dip(before: Runs, after: Runs, ground: Array, *, within: float, above: float) -> Mask:
    """(G, R, N) False where a line (R, N) stays higher than a point of the ground (G, 3) all along its way,
    or to one side of it and further off than `within`."""
    x, y, z = (ground[:, i, None, None] for i in range(3))
    lowest = before.z + np.minimum(np.minimum(before.along_z, after.along_z), 0.0)
    one, other = _aside(before, x, y), _aside(after, x, y)
    near = (within + 2.0 * HAIR) * np.maximum(before.long, after.long)
    off = (one * other > 0.0) & (np.minimum(np.abs(one), np.abs(other)) > near)
    return np.asarray((lowest < z + above) & ~off)


def between(before: Runs, after: Runs, point: Array, *, within: float) -> Iterator[Runs]:
    """Where on their way from `before` to `after` lines may be lowest over a point: as they come so near to
    it (`within`, m in plan), pass over it, and leave it; in between where they are lowest beside it; where it
    comes to lie below the part near an end that is not looked at. What there is not is `after` itself.

    The foot of the point on the lines lies on the circle through it and their beginning, and they lie in one
    plane: its height there is lowest at an end of the arc, or straight downhill from the circle's middle."""
    px, py = point[0] - before.x, point[1] - before.y
    dx, dy = before.along_x, before.along_y
    ex, ey, ez = (
        after.along_x - dx, after.along_y - dy, after.along_z - before.along_z
    )  # fmt: skip
    start, gain = px * dy - py * dx, px * ey - py * ex
    # |p x d(u)| = within |d(u)|, squared: a u² + 2 b u + c = 0.
    a = gain**2 - within**2 * (ex**2 + ey**2)
    b = start * gain - within**2 * (dx * ex + dy * ey)
    c = start**2 - within**2 * (dx**2 + dy**2)
    # The plane's way downhill, and the point of the circle that lies there.
    whole = dx * ey - dy * ex
    down_x = -(before.along_z * ey - ez * dy)
    down_y = -(dx * ez - ex * before.along_z)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(b**2 - a * c)
        far, steep = np.hypot(px, py), np.hypot(down_x, down_y) * np.sign(whole)
        low_x, low_y = px + far * down_x / steep, py + far * down_y / steep
        shares = (
            (-b - root) / a,
            (-b + root) / a,
            -start / gain,
            -(low_x * dy - low_y * dx) / (low_x * ey - low_y * ex),
            *_near_ends((px, py), (dx, dy), (ex, ey), within=within),
        )
    for share in shares:
        share = np.where((share > 0.0) & (share < 1.0), share, 1.0)
        yield Runs(
            before.x, before.y, before.z,
            dx + share * ex, dy + share * ey, before.along_z + share * ez,
        )  # fmt: skip


_InPlan = tuple[Array, Array]


def _near_ends(p: _InPlan, d: _InPlan, e: _InPlan, *, within: float) -> Iterator[Array]:
    """Shares u of the way at which the foot of a point p lies NEAR_END from an end of a line d(u) = d + u e.
    From where it begins: p.d(u) = NEAR_END |d(u)|, squared. From where it ends: |d(u)|² - p.d(u) = NEAR_END
    |d(u)|, squared; of points so near to the way of that end that there may be such a place."""
    begin, gain = _dot(p, d), _dot(p, e)
    # |d(u)|² = long + along u + across u²
    long, along, across = _dot(d, d), 2.0 * _dot(d, e), _dot(e, e)
    less = [NEAR_END**2 * term for term in (long, along, across)]
    a, b, c = gain**2 - less[2], begin * gain - less[1] / 2.0, begin**2 - less[0]
    root = np.sqrt(b**2 - a * c)
    yield from ((-b - root) / a, (-b + root) / a)
    aside = p[0] - d[0], p[1] - d[1]  # from where the end's way begins
    share = (_dot(aside, e) / np.maximum(across, 1e-12)).clip(0.0, 1.0)
    off = np.hypot(aside[0] - share * e[0], aside[1] - share * e[1])
    some = np.nonzero((off <= np.hypot(NEAR_END, within) + FOUND) & (across > 0.0))
    terms = (long - begin)[some], (along - gain)[some], across[some]
    roots = _of_fourth_degree(terms, [term[some] for term in less])
    for number in range(4):
        found = np.full(off.shape, np.inf)
        found[some] = roots[:, number]
        yield found


def _dot(one: _InPlan, other: _InPlan) -> Array:
    return one[0] * other[0] + one[1] * other[1]


def _of_fourth_degree(terms: Sequence[Array], less: Sequence[Array]) -> Array:
    """(n, 4) real roots u of (c + b u + a u²)² = c' + b' u + a' u², inf where there are fewer. `terms`: (c,
    b, a), a > 0; `less`: (c', b', a'). A polynomial's roots are the eigenvalues of its companion matrix."""
    c, b, a = terms
    low = (c**2 - less[0], 2.0 * b * c - less[1], b**2 + 2.0 * a * c - less[2], 2.0 * a * b)
    companion = np.zeros((len(a), 4, 4))
    companion[:, 1:, :3] = np.eye(3)
    companion[:, :, 3] = -np.array(low).T / a[:, None] ** 2
    roots = np.linalg.eigvals(companion)
    return np.where(np.abs(roots.imag) < 1e-6, roots.real, np.inf)


def dips_along_run(
    site: Site, ground: Array, begin: Array, spots: Array, *, both_ends: bool,
    bent: Mask | None = None,
) -> Mask:  # fmt: skip
    """(N,) whether the line from each of `begin` (N, 3) to the puller comes too low over the ground (G, 3)
    as the puller goes from each of its spots (R, 3) to the next. `bent` (N, R): the line to a spot runs over
    an edge, which lifts it: on its way to there and from there it is not looked at."""
    prefs = site.preferences
    if len(spots) < 2 or not len(ground):
        return np.zeros(len(begin), dtype=bool)
    before, after = _along(begin, spots)
    low = np.zeros(before.x.shape, dtype=bool)
    within, above = prefs.ground_known_within, prefs.clearance
    point, *some = np.nonzero(_may_dip(before, after, ground, within=within, above=above))
    if len(point):
        near = before.pick(tuple(some)), after.pick(tuple(some))
        hit = dips(*near, ground[point].T, within=within, above=above, both_ends=both_ends)
        low[some[0][hit], some[1][hit]] = True
    if bent is not None:
        low &= ~(bent[:, :-1] | bent[:, 1:]).T
    return np.asarray(low.any(axis=0))


def _along(begin: Array, spots: Array) -> tuple[Runs, Runs]:
    """The lines (R - 1, N) from each of `begin` (N, 3) to a spot of the puller (R, 3), and to the next."""
    shape = (len(spots), *begin.shape)
    runs = Runs.between(np.broadcast_to(begin, shape), np.broadcast_to(spots[:, None, :], shape))
    return runs.pick(np.s_[:-1]), runs.pick(np.s_[1:])


def swept(site: Site, hitch: Array, targets: Array, own: Sequence[str]) -> Mask:
    """(T, S) whether the line from the hitch (S, 3) to each of `targets` (T, 3) sweeps over a post between a
    station and the one before or after it; `own` as in `clearance.from_load`."""
    standing = tuple((p.name, p.position, p.radius, p.top) for p in kept_clear(site, ()))
    key = standing, hitch.tobytes(), targets.tobytes(), tuple(own)
    found = _LATELY.once(key, len(targets) * len(hitch), lambda: _swept(site, hitch, targets, own))
    found.setflags(write=False)
    return found


def _swept(site: Site, hitch: Array, targets: Array, own: Sequence[str]) -> Mask:
    shape = (len(targets), len(hitch), 3)
    begin = np.broadcast_to(hitch[None, :, :], shape)
    runs = Runs.between(begin, np.broadcast_to(targets[:, None, :], shape))
    before, after = runs.pick(np.s_[:, :-1]), runs.pick(np.s_[:, 1:])
    names, out = np.array(own), np.zeros(shape[:2], dtype=bool)
    for post in kept_clear(site, ()):
        side = _side(runs, post)
        hit = _sweeps(before, after, side[:, :-1], side[:, 1:], post)
        hit &= (names != post.name)[:, None]
        out[:, :-1] |= hit
        out[:, 1:] |= hit
    return out


def swept_along_run(
    site: Site, begin: Array, spots: Array, anchor: str | None, own: Sequence[str] = ()
) -> Mask:
    """(N,) whether the line from each of `begin` (N, 3) to the puller sweeps over a post as the puller goes
    from each of its spots (R, 3) to the next. `anchor`: the post that the puller is made fast to; `own`
    (N,): those that the lines begin at, () for none."""
    out = np.zeros(len(begin), dtype=bool)
    if len(spots) < 2:
        return out
    before, after = _along(begin, spots)
    for post in kept_clear(site, ()):
        if post.name != anchor:
            hit = sweeps_post(before, after, post).any(axis=0)
            out |= hit & (np.array(own) != post.name) if len(own) else hit
    return out


_LATELY: Lately[Mask] = Lately(REMEMBERED)
