"""Readings to places by least squares in three dimensions."""

from collections.abc import Mapping, Sequence

from optimiser.site.survey.adjusted import Adjusted, Known, Side, Surveyed
from optimiser.site.survey.observations import Observation


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
    raise NotImplementedError


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
    raise NotImplementedError
