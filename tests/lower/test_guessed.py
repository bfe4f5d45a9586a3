"""How wrong the guesses of a way down may be, and its margin at either end of each range, against statics.

One rope from the load straight to turns round an oak: its tension is
N(c) = W (sin a - k c cos a) / (t - k c n)
(equilibrium along the slope; t and n are the line's direction cosines along and across the ground, k the
share of the ground's least resistance that is counted on), and a hand behind m turns holds it with
N / e^(2 pi mu m).
"""

from dataclasses import replace
from functools import cache
from math import atan, cos, hypot, log, pi, sin
from pathlib import Path

import pytest

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.guessed import break_evens, worth_measuring
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.question import LowerQuestion
from optimiser.jobs.ranges.breakeven import BreakEven, Worth
from optimiser.proof.notes import VerificationError
from optimiser.proof.ranges import verify_margins_down
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.lower.slope_site import RUN, answer, site_text

RISE = 3.0
ONE = LowerQuestion(top=1)
COUNTED_ON = 0.5
"""Share of the ground's least resistance that is counted on (mechanics/data/hold.toml)."""


@cache
def made(text: str) -> tuple[Site, Lowering]:
    site = read_site(text)
    return site, lower(site, ONE)


@cache
def broken(text: str) -> dict[str, BreakEven]:
    site, found = made(text)
    return {one.name: one for one in break_evens(site, found, found[0])}


def measured(text: str) -> dict[str, Worth]:
    site, found = made(text)
    return {one.name: one for one in worth_measuring(site, found, found[0], many=99)}


def tension(resistance: float, weight: float = 400 * 9.80665) -> float:
    """The worst tension of a line from the eye to the oak, N, with the load anywhere on the slope."""
    a, long, c = atan(RISE / RUN), hypot(RUN, RISE), COUNTED_ON * resistance
    worst = 0.0
    for step in range(2001):
        at = long * step / 2000
        x, z = at * cos(a), at * sin(a)
        eye = (x + 0.8 * cos(a), 0.0, z + 0.8 * sin(a) + 0.4)
        way = [t - e for t, e in zip((RUN + 4.0, 0.4, RISE + 0.5), eye, strict=True)]
        size = hypot(*way)
        t = (way[0] * cos(a) + way[2] * sin(a)) / size
        n = (way[2] * cos(a) - way[0] * sin(a)) / size
        worst = max(worst, weight * (sin(a) - c * cos(a)) / (t - c * n))
    return worst


def test_the_line_is_that_of_statics() -> None:
    _, found = made(site_text(RISE, '"0.05"'))
    assert found[0].line == pytest.approx(tension(0.05), rel=1e-6)


def test_how_heavy_it_may_be() -> None:
    """Every force is in proportion to the weight."""
    one = broken(site_text(RISE, '"0.05"'))["weight of the load"]
    _, found = made(site_text(RISE, '"0.05"'))
    assert one.at == pytest.approx(one.value * found[0].margin, rel=1e-4)
    assert one.first == found[0].weakest


def test_how_little_the_rope_may_grip() -> None:
    """mu = ln(line / what the hand holds) / (2 pi n): that is where the hand comes to its limit."""
    text = site_text(RISE, '"0.05"')
    _, found = made(text)
    one = broken(text)["friction of rope round oak"]
    hold = found[0]
    assert one.at == pytest.approx(
        log(hold.line / hold.hand_limit) / (2 * pi * hold.turns), rel=1e-4
    )
    assert one.first.startswith("hand on the rope")


def test_smooth_ground_is_the_worse() -> None:
    """Margins at both ends of the range are as the tensions there; rougher ground is the better end."""
    text = site_text(RISE, '"0.05..0.1"')
    _, found = made(text)
    one = measured(text)["resistance of the ground"]
    smooth, rough = one.margins
    assert one.stated
    assert smooth == pytest.approx(found[0].margin)
    assert rough / smooth == pytest.approx(tension(0.05) / tension(0.1), rel=1e-6)
    assert (found[0].margin_worst, found[0].margin_best) == pytest.approx((smooth, rough))


def test_at_the_better_ends_it_may_rest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """tan a = 0.3 <= 0.5 x 0.7: at that end of the range the load rests, and programs get no margin."""
    text = site_text(RISE, '"0.05..0.7"')
    code, data = answer(tmp_path, capsys, text, "lower", "--show", "1")
    assert code == 0
    assert data["margin_best"] is None
    assert data["margin_worst"] == pytest.approx(data["margin"])
    (ground,) = (w for w in data["worth_measuring"] if w["input"] == "resistance of the ground")
    assert ground["margin_at_high"] is None
    assert data["worth_measuring"][0] == ground


def test_a_guess_may_let_it_run_where_no_line_holds_it() -> None:
    """The upper half of the slope rests on rough ground and is not held; smoother, the load runs there."""
    head, tail = site_text(RISE, '"0.05"', dip=0.0).rsplit('resistance = "0.05"', 1)
    rough = broken(f'{head}resistance = "0.7"{tail}')["resistance of resistance 0.7"]
    assert rough.at == pytest.approx(RISE / RUN / COUNTED_ON, rel=1e-4)
    assert "no line holds it" in rough.first


def test_a_path_that_falls_has_the_same_limits() -> None:
    up, falls = (broken(site_text(RISE, '"0.05"', way=each)) for each in ("up", "down"))
    assert {name: one.at for name, one in falls.items()} == pytest.approx(
        {name: one.at for name, one in up.items()}
    )


@pytest.mark.parametrize("end", ["margin_worst", "margin_best"])
def test_a_margin_at_an_end_that_is_not_so_is_noticed(end: str) -> None:
    """The re-check works both out again by other means."""
    site, found = made(site_text(RISE, '"0.05..0.1"'))
    assert site.origin is not None
    setup, worst = found[0], site.origin.site({}, "worst")
    rough: dict[tuple[str | int, ...], float] = {("path", "leg", 0, "resistance"): 0.1}
    best = site.origin.site(rough, "best")
    verify_margins_down(setup, worst, best)
    wrong = replace(setup, **{end: getattr(setup, end) * 1.001})
    with pytest.raises(VerificationError, match="margin at"):
        verify_margins_down(wrong, worst, best)
