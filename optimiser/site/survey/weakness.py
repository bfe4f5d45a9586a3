"""Which places are much less certain than the others, and which further reading would help them most."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from optimiser.site.survey.adjusted import IN_SPACE, Adjusted, Advice
from optimiser.site.survey.network import Network
from optimiser.site.survey.observations import Between

WEAK = 2.0
"""Times the uncertainty of the middle one of all places: beyond, a place is weak."""
HARDLY = 0.01
"""Redundancy below which a misreading would hardly show."""
OFFERED = 3
"""Further readings that are suggested."""
WORTH = 0.8
"""A further reading is worth it if it leaves no more than this share of the uncertainty."""


def weak(adjusted: Adjusted) -> tuple[str, ...]:
    """Names of places that are much less certain than the others, the worst first."""
    found = sorted(
        ((place.uncertainty, place.name) for place in adjusted.places if place.uncertainty > 0),
        reverse=True,
    )
    if not found:
        return ()
    middle = float(np.median([uncertainty for uncertainty, _ in found]))
    return tuple(name for uncertainty, name in found if uncertainty > WEAK * middle)


def unchecked(adjusted: Adjusted) -> tuple[str, ...]:
    """Labels of readings that no other would show to be wrong."""
    return tuple(
        one.observation.label
        for one in adjusted.readings
        if not one.observation.defined and one.redundancy < HARDLY
    )


def advice(network: Network, adjusted: Adjusted, name: str) -> tuple[Advice, ...]:
    """Further readings between the place and another one that would make it most certain, the best first: of
    the kinds that the survey has, as accurate as these."""
    columns = np.array([i for i, (point, _) in enumerate(adjusted.unknowns) if point == name])
    before = adjusted.place(name).uncertainty
    scale = adjusted.place(name).scale
    found = []
    for reading in _further(network, name):
        row = adjusted.change(reading)
        spread = adjusted.covariance @ row
        gain = np.outer(spread, spread) / (reading.sigma**2 + row @ spread)
        left = (adjusted.covariance - gain)[np.ix_(columns, columns)]
        after = IN_SPACE * scale * float(np.sqrt(max(np.linalg.eigvalsh(left)[-1], 0.0)))
        if after < WORTH * before:
            other = next(p for p in reading.points if p != name)
            found.append(
                Advice(point=name, start=other, kind=reading.word, before=before, after=after)
            )
    found.sort(key=lambda one: (one.after, one.start))
    return tuple(found[:OFFERED])


def _further(network: Network, name: str) -> Iterator[Between]:
    """Readings between the place and another that nobody took, of the kinds at hand."""
    taken = {
        (obs.word, frozenset(obs.points))
        for obs in network.observations
        if isinstance(obs, Between)
    }
    kinds: dict[str, list[Between]] = {}
    for obs in network.observations:
        if isinstance(obs, Between) and not obs.defined:
            kinds.setdefault(obs.word, []).append(obs)
    for word, readings in kinds.items():
        usual = sorted(readings, key=lambda obs: obs.sigma)[len(readings) // 2]
        for other in network.points:
            if other != name and (word, frozenset((name, other))) not in taken:
                yield replace(usual, start=other, end=name, label="")
