"""The whole of a way down, made wrong by hand: what is stated to rest though it may run is refused."""

from dataclasses import replace
from math import radians

import pytest

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.results import Lowering, ZoneKind
from optimiser.jobs.question import LowerQuestion
from optimiser.proof.notes import VerificationError
from optimiser.proof.whole_way import verify_course
from optimiser.site.model import Site
from tests.holding.ground import path


def banks() -> tuple[Site, Lowering]:
    """A gentle foot on which it rests (slope 0.016 against half of 0.05), then a steep bank."""
    site = path(radians(0.9), radians(14.0))
    return site, lower(site, LowerQuestion(top=2))


def test_a_right_answer_passes() -> None:
    site, answer = banks()
    assert [zone.kind for zone in answer.zones] == ["runs", "rests"]
    verify_course(site, answer)


@pytest.mark.parametrize("kind", [ZoneKind.RESTS, ZoneKind.TOO_CLOSE, ZoneKind.CLIMBS])
def test_a_stretch_that_is_reported_to_do_less_than_it_may_is_refused(kind: ZoneKind) -> None:
    site, answer = banks()
    steep, gentle = answer.zones
    wrong = replace(answer, zones=(replace(steep, kind=kind), gentle), setups=())
    with pytest.raises(VerificationError, match="it is said that it"):
        verify_course(site, wrong)


def test_a_stretch_that_is_left_out_or_lighter_is_refused() -> None:
    site, answer = banks()
    steep, gentle = answer.zones
    for zones in ((steep,), (gentle,), (replace(steep, force=steep.force / 3.0), gentle), ()):
        with pytest.raises(VerificationError):
            verify_course(site, replace(answer, zones=zones))


def test_a_hold_that_ends_too_early_is_refused() -> None:
    site, answer = banks()
    short = replace(answer.setups[0], to_m=answer.setups[0].to_m + 2.0)
    with pytest.raises(VerificationError, match="nothing holds it"):
        verify_course(site, replace(answer, setups=(short,)))


def test_stages_that_do_not_meet_are_refused() -> None:
    site, answer = banks()
    whole = answer.setups[0]
    middle = (whole.from_m + whole.to_m) / 2.0
    upper, under = replace(whole, to_m=middle + 1.0), replace(whole, rank=2, from_m=middle)
    with pytest.raises(VerificationError, match="does not begin where"):
        verify_course(site, replace(answer, setups=(), stages=(upper, under)))
