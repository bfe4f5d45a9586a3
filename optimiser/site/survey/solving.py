"""Least squares in three dimensions: the arrangements that readings have, and how certain each is.

The sum of squares of residual over stated accuracy is made least by a library's solver, from every start
that geometry gives (`starts`). Accuracies are taken as they are stated: scaling them by the residuals would
hide a misreading, which makes all residuals large.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.values import Vec
from optimiser.site.survey.adjusted import (
    IN_SPACE,
    SUSPICIOUS,
    Adjusted,
    Checked,
    Located,
)
from optimiser.site.survey.network import Network, is_left
from optimiser.site.survey.observations import Observation
from optimiser.site.survey.refusals import Flat, OtherSide, Refusal, SurveyError
from optimiser.site.survey.starts import APART, arrangements, other_places
from optimiser.site.survey.undetermined import hardly_fixed, mirrored, too_few, unfixed

EQUALLY = SUSPICIOUS**2
"""Arrangements fit equally well if their sums of squares differ by no more than one suspicious reading."""
UNCHECKED = 1e-4
"""Redundancy below which a residual says nothing."""
BRIEF, HASTY, PATIENT = 12, 60, 600
"""Evaluations of all readings for one of many starts, for one that leads somewhere, and for the best one."""
HOPELESSLY = 100.0
"""Times the sum of squares of the best arrangement (and one a reading) from which a start is dropped."""
POLISHED = 3
"""Undamped steps after the solver has ended, for the last digits."""
AGREEING = 0.05
"""Share of right surveys whose readings are said to disagree."""
HOPELESS = 1e-3
"""The same share for a sum of squares that a misreading must have caused."""


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """An arrangement at which the sum of squares is least round about."""

    x: Array
    squares: float


@lru_cache(maxsize=4)
def solutions(network: Network) -> tuple[Solution, ...]:
    """Every arrangement found that is the best round about, the best first. Raises `SurveyError` if the
    readings cannot fix all points, or put none where `sides` says. Worked out once for a network: it takes
    seconds where readings disagree."""
    if few := too_few(network):
        raise SurveyError(few)
    found = from_starts(network, (), anew=None, moved=network.points)
    if not found and not network.sides:
        raise SurveyError([Flat(point=network.unknowns[0][0], height=False)])
    if not found:
        raise SurveyError(sides_not_borne_out(network, solutions(network.without_sides)[0]))
    return (settled(network, found[0].x, PATIENT), *found[1:])


def from_starts(
    network: Network, starts: Iterable[Array], *, anew: int | None, moved: Iterable[str]
) -> list[Solution]:
    """The arrangements that these starts lead to and those looked for `anew` (how many of them; None: all),
    with `moved` points also tried elsewhere; the best first, empty if none is on the stated sides."""
    found = arrangements(network)[:anew]
    starts = [*starts, *(network.packed(some.places, some.north) for some in found)]
    return moved_one_by_one(network, _merged(network, starts, []), moved)


def moved_one_by_one(
    network: Network, found: list[Solution], names: Iterable[str]
) -> list[Solution]:
    """The solutions, with those that come of moving one of the points alone to where it fits as well."""
    tried = -1.0
    while found and found[0].squares != tried:
        tried = found[0].squares
        places, north = network.arranged(found[0].x)
        starts = [
            network.packed({**places, name: at}, north)
            for name in names
            if network.free(name).any()
            for at in other_places(network, name, places, north)
            if np.abs(at - places[name]).max() > APART * network.size(places)
        ]
        found = _merged(network, starts, found)
    return found


def resettled(network: Network, before: Network, found: Sequence[Solution]) -> list[Solution]:
    """The arrangements of a network that another one's lead to; it has the same points."""
    return _merged(network, (network.packed(*before.arranged(one.x)) for one in found), [])


def settled(network: Network, start: Array, evaluations: int) -> Solution:
    """The solution downhill from a start, or how far so many evaluations lead."""
    from scipy.optimize import least_squares  # slow to load, and only sites with readings need it

    end = least_squares(
        network.residuals,
        start,
        network.jacobian,
        method="lm",
        max_nfev=evaluations,
    )
    x, squares = end.x, 2 * float(end.cost)
    for _ in range(POLISHED):
        further = x - np.linalg.lstsq(network.jacobian(x), network.residuals(x), rcond=None)[0]
        v = network.residuals(further)
        if v @ v > squares:
            break
        x, squares = further, float(v @ v)
    return Solution(x, squares)


def _merged(network: Network, starts: Iterable[Array], found: list[Solution]) -> list[Solution]:
    """The solutions and those from further starts, each once, the best first."""
    all_found = list(found)
    for start in starts:
        new = settled(network, start, BRIEF)
        best = min((one.squares for one in all_found), default=np.inf)
        if new.squares > HOPELESSLY * (best + len(network.observations)):
            continue
        new = settled(network, new.x, HASTY)
        places, _ = network.arranged(new.x)
        near = APART * network.size(places)
        if network.on_their_sides(places) and not any(
            np.abs(new.x - other.x).max() < near for other in all_found
        ):
            all_found.append(new)
    return sorted(all_found, key=lambda one: one.squares)


def objections(network: Network, found: Sequence[Solution]) -> list[Refusal]:
    """Why the best solution is no answer: it is not fixed, or another fits as well."""
    best = found[0]
    places, _ = network.arranged(best.x)
    if loose := unfixed(network, best.x):
        return loose
    moves, _ = _moves(network, best.x)
    covariance = moves @ moves.T
    if flat := hardly_fixed(network, best.x, covariance):
        return flat
    if not fits(network, best):
        return []  # a misreading: what fits equally badly says nothing
    out: dict[str, Refusal] = {}
    for other in found[1:]:
        if other.squares > best.squares + EQUALLY:
            break
        step = other.x - best.x
        away = float(step @ step)
        if away > IN_SPACE * float(np.sqrt(step @ covariance @ step)):
            refusal = mirrored(network, places, network.arranged(other.x)[0])
            out.setdefault(refusal.point, refusal)
    return list(out.values())


def fits(network: Network, solution: Solution) -> bool:
    """Whether accuracies as stated may give so large a sum of squares."""
    spare = len(network.observations) - len(network.unknowns)
    return solution.squares <= largest_squares(max(spare, 1), HOPELESS)


def largest_squares(redundant: int, share: float) -> float:
    """Sum of squares that only this share of right surveys exceeds (chi-square)."""
    from scipy.special import chdtri  # slow to load, and only sites with readings need it

    return float(chdtri(redundant, share))


def adjusted(network: Network, solution: Solution) -> Adjusted:
    """A solution with its uncertainties and its residuals."""
    x = solution.x
    moves, leverage = _moves(network, x)
    covariance = moves @ moves.T
    redundant = len(network.observations) - len(network.unknowns)
    agree = redundant == 0 or solution.squares <= largest_squares(redundant, AGREEING)
    scale = 1.0 if agree else max(1.0, float(np.sqrt(solution.squares / redundant)))
    places, north = network.arranged(x)
    return Adjusted(
        places=tuple(
            Located(
                name=name, at=_vec(at), covariance=network.of_point(name, covariance), scale=scale
            )
            for name, at in places.items()
        ),
        readings=tuple(
            _checked(obs, float(v), float(h))
            for obs, v, h in zip(network.observations, network.residuals(x), leverage, strict=True)
        ),
        unknowns=network.unknowns,
        covariance=covariance,
        moves=tuple(zip(network.observations, moves.T, strict=True)),
        north=north if network.needs_north or network.north is not None else None,
        squares=solution.squares,
        redundant=redundant,
        agree=agree,
    )


def _moves(network: Network, x: Array) -> tuple[Array, Array]:
    """By how much the unknowns move with each reading, where that is more by one standard deviation,
    (unknowns, readings): times its own transpose the covariance of the unknowns. And of each reading the
    share (0..1) that it decides by itself."""
    J = network.jacobian(x)
    left, _ = np.linalg.qr(J)
    return np.asarray(np.linalg.pinv(J), dtype=float), np.asarray((left * left).sum(-1))


def _checked(obs: Observation, weighted: float, leverage: float) -> Checked:
    residual = weighted * obs.sigma
    redundancy = min(max(1 - leverage, 0.0), 1.0)
    known = redundancy > UNCHECKED and not obs.defined
    standardised = abs(weighted) / np.sqrt(redundancy) if known else None
    return Checked(
        observation=obs,
        adjusted=obs.value + residual,
        residual=residual,
        redundancy=redundancy,
        standardised=None if standardised is None else float(standardised),
        suspicious=standardised is not None and bool(standardised > SUSPICIOUS),
    )


def sides_not_borne_out(network: Network, solution: Solution) -> list[Refusal]:
    """Which of the stated sides an arrangement that was found without them does not bear out."""
    places, _ = network.arranged(solution.x)
    return [
        OtherSide(point=side.point, start=side.start, end=side.end, left=side.left)
        for side in network.sides
        if is_left(places, side) is not side.left
    ]


def _vec(at: Array) -> Vec:
    x, y, z = (float(value) for value in at)
    return (x, y, z)
