"""The two questions to a survey: where the points are, and whether its readings can be trusted."""

from collections.abc import Mapping, Sequence

from optimiser.site.survey.adjusted import Adjusted, Known, Side, Surveyed
from optimiser.site.survey.misreadings import search
from optimiser.site.survey.network import Network
from optimiser.site.survey.observations import Observation
from optimiser.site.survey.refusals import Refusal, SurveyError
from optimiser.site.survey.solving import (
    Solution,
    adjusted,
    fits,
    objections,
    sides_not_borne_out,
    solutions,
)
from optimiser.site.survey.weakness import advice, unchecked, weak


def adjust(
    points: Mapping[str, Known],
    observations: Sequence[Observation],
    *,
    sides: Sequence[Side] = (),
    north: float | None = None,
) -> Adjusted:
    """Where the points are that the readings agree on best, all readings used.

    `points`: every point that a reading names, with what is given of it. `sides` choose between mirror
    images. `north`: the direction to north, rad to the left of the x axis; None: worked out if any reading
    is a bearing. Raises `SurveyError` with every reason found.
    """
    network = Network(points, observations, sides, north)
    found = solutions(network)
    if refusals := objections(network, found):
        raise SurveyError(refusals)
    return adjusted(network, found[0])


def survey(
    points: Mapping[str, Known],
    observations: Sequence[Observation],
    *,
    sides: Sequence[Side] = (),
    north: float | None = None,
) -> Surveyed:
    """The adjustment, the readings that disagree with the rest, what is weak and what to measure next.

    Takes and raises what `adjust` does. One reading at a time, the worst, is set aside while any is
    suspicious and can be distinguished from the others.
    """
    network = Network(points, observations, sides, north)
    found, refusals = _as_read(network)
    suspects, best = search(network, found, anywhere=bool(refusals))
    if refusals and not any(one.set_aside for one in best.readings):
        raise SurveyError(refusals)
    weakest = weak(best)
    return Surveyed(
        first=adjusted(network, found[0]),
        adjusted=best,
        suspects=suspects,
        unchecked=unchecked(best),
        advice=advice(network, best, weakest[0]) if weakest else (),
    )


def _as_read(network: Network) -> tuple[Sequence[Solution], list[Refusal]]:
    """The arrangements of all readings and what is wrong with them. A misreading may be the reason: it can
    keep circles from meeting, or a point from its side."""
    try:
        found = solutions(network)
        refusals = objections(network, found)
    except SurveyError as error:
        if not network.sides:
            raise
        found, refusals = solutions(network.without_sides), list(error.refusals)
    if not fits(network, found[0]) and network.sides:
        anywhere = solutions(network.without_sides)
        if fits(network, anywhere[0]):  # a side is wrong, or all readings are
            refusals = sides_not_borne_out(network, anywhere[0])
            found = anywhere
    if refusals and fits(network, found[0]):
        raise SurveyError(refusals)  # nothing was misread: it is as the refusals say
    return found, refusals
