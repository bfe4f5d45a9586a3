"""Yields the cautions that raising a load calls for. Texts and sources stand in `data/cautions.toml`."""

from optimiser.jobs.lever.results import Levering
from optimiser.rig.cautions.book import CautionBook, Fields
from optimiser.rig.setup import Caution
from optimiser.site.lever import LeverJob
from shared.units import Dimension, Rounding, show

BOOK: CautionBook[[LeverJob, Levering]] = CautionBook("optimiser.jobs.lever")


def cautions(job: LeverJob, answer: Levering) -> tuple[Caution, ...]:
    """Every caution, in the order of the data file."""
    return BOOK.called_for(job, answer)


def _force(value: float) -> str:
    return (
        f"{-(-value // 1):.0f} N"
        if value < 1000.0
        else show(value, Dimension.FORCE, rounding=Rounding.UP)
    )


@BOOK.check
def _hands_out(job: LeverJob, answer: Levering) -> Fields:
    yield {"room": show(job.block + job.clearance, Dimension.SIZE)}


@BOOK.check
def _unrated_bar(job: LeverJob, answer: Levering) -> Fields:
    if job.bar_rating is None:
        yield {"force": _force(answer.force)}


@BOOK.check
def _bar(job: LeverJob, answer: Levering) -> Fields:
    yield {"force": _force(answer.force), "hand": _force(answer.hand)}


@BOOK.check
def _fulcrum(job: LeverJob, answer: Levering) -> Fields:
    yield {"force": _force(max(step.fulcrum for step in answer.steps))}


@BOOK.check
def _uneven(job: LeverJob, answer: Levering) -> Fields:
    if len(job.corners) == 4:
        yield {}


@BOOK.check
def _rocks(job: LeverJob, answer: Levering) -> Fields:
    if len(job.corners) == 4:
        yield {}


@BOOK.check
def _tipping(job: LeverJob, answer: Levering) -> Fields:
    step = min(answer.steps, key=lambda s: s.spare_tilt)
    yield {
        "step": str(step.number),
        "corner": step.corner,
        "spare": show(step.spare_tilt, Dimension.ANGLE, rounding=Rounding.DOWN),
        "over": " to ".join(step.over),
    }


@BOOK.check
def _slope(job: LeverJob, answer: Levering) -> Fields:
    steepest = max(abs(job.rise_ahead), abs(job.rise_left))
    if steepest > 0.0:
        yield {"slope": show(steepest, Dimension.ANGLE, rounding=Rounding.UP)}


@BOOK.check
def _stacks(job: LeverJob, answer: Levering) -> Fields:
    yield {"height": show(answer.raised, Dimension.LENGTH)}


@BOOK.check
def _wheels(job: LeverJob, answer: Levering) -> Fields:
    yield {}
