"""Finds what stops the nearest rig where no setup works: of one cell for each patch of such cells."""

from collections.abc import Iterator, Sequence
from itertools import product

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import MissesQuestion, SweepQuestion
from optimiser.jobs.sweep.axes import Axis
from optimiser.jobs.sweep.cells import Changes, Job
from optimiser.jobs.sweep.results import Cell, Stop
from optimiser.rig.status import Status
from optimiser.site.model import Site
from optimiser.site.reading import site_from_document
from shared.interrupt import requested

Place = tuple[int, ...]
"""Which value of each axis."""


def changes_at(axes: Sequence[Axis], point: Sequence[float]) -> Changes:
    """What is written into the site file for a cell."""
    return {one.key: one.text(value) for one, value in zip(axes, point, strict=True)}


def stops(
    job: Job, axes: Sequence[Axis], grid: Sequence[Sequence[float]], cells: Sequence[Cell]
) -> Iterator[Stop]:
    """What stops the nearest rig, for the cell of each patch that has most neighbours with a setup."""
    places = list(product(*(range(len(values)) for values in grid)))
    on_grid = dict(zip(places, cells, strict=True))
    for patch in _patches(on_grid):
        if requested():
            return
        cell = on_grid[max(patch, key=lambda place: _working_beside(place, on_grid))]
        given = job.question
        site = site_from_document(job.document, given.guesses, changes_at(axes, cell.values))
        if given.down:
            yield from _stops_down(given, site, cell.values)
            continue
        from optimiser.jobs.why.misses.nearest import (
            nearest_misses,  # start-up time: only where no setup works
        )

        question = MissesQuestion(without=given.without, time_limit=given.time_limit, many=1)
        for miss in nearest_misses(site, question)[:1]:
            yield Stop(values=cell.values, limit=miss.limit, text=miss.text, cure=miss.change.text)


def _stops_down(question: SweepQuestion, site: Site, values: tuple[float, ...]) -> Iterator[Stop]:
    """What stops every hold of the whole way down: that it takes stages, or why nothing gets all the way."""
    found = lower(site, question.of_ways_down(1))
    if found.stages and found.stuck_at is None:
        text = f"no one hold does all of it; it goes down in {len(found.stages)} stages"
        yield Stop(values=values, limit="stages", text=text, cure="`bankhaul lower` has the stages")
    elif found.reasons:
        cure = next((miss.change.text for miss in found.misses), "")
        yield Stop(values=values, limit="way down", text=found.reasons[0], cure=cure)


def _patches(on_grid: dict[Place, Cell]) -> Iterator[list[Place]]:
    """The cells in which nothing works, those that touch together, each in the order of the grid."""
    left = [p for p, cell in on_grid.items() if cell.status is Status.NOTHING_WORKS]
    while left:
        patch = [left[0]]
        for place in patch:
            patch += [p for p in _beside(place) if p in left and p not in patch]
        left = [place for place in left if place not in patch]
        yield sorted(patch)


def _beside(place: Place) -> list[Place]:
    return [
        (*place[:i], place[i] + step, *place[i + 1 :])
        for i in range(len(place))
        for step in (-1, 1)
    ]


def _working_beside(place: Place, on_grid: dict[Place, Cell]) -> int:
    beside = [on_grid[p] for p in _beside(place) if p in on_grid]
    return sum(cell.works for cell in beside)
