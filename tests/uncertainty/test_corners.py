"""Which end of a range is the worst: by monotonicity where there is any, searched where it does not."""

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranges.corners import extremes
from optimiser.jobs.rank import rank
from optimiser.rig.refit import Stopped, refit
from optimiser.rig.setup import Setup
from optimiser.site.lines import Key
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.uncertainty.sites import demonstration, ranked
from tests.uncertainty.straight import DOUBLED, needed, setup, site, two_rings_text


def margin(where: Site, values: dict[Key, float], of: Setup) -> float:
    assert where.origin is not None
    filled = refit(where.origin.site(values), of)
    return 0.0 if isinstance(filled, Stopped) else filled.margin


@given(data=st.data(), number=st.integers(0, 3))
def test_the_worst_corner_is_never_better_than_any_point_between(
    data: st.DataObject, number: int
) -> None:
    """Any values inside all the ranges, for each of the best setups of a site full of ranges."""
    where, setups = ranked(demonstration())
    assert where.origin is not None
    values: dict[Key, float] = {}
    for key, quantity in where.origin.ranges.items():
        share = data.draw(st.floats(0.0, 1.0), label=where.origin.label(key))
        span = quantity.interval
        values[key] = span.low + share * (span.high - span.low)
    of = setups[number % len(setups)]

    assert margin(where, values, of) >= extremes(where, of).worst * (1.0 - 1e-9)


MONOTONE: list[tuple[Key, float, float, bool]] = [
    (("load", "weight"), 4000.0, 9000.0, True),
    (("path", "leg", 0, "breakout"), 1.0, 2.5, True),
    (("path", "leg", 1, "resistance"), 0.0, 0.8, True),
    (("load", "hitch", 0, "rating"), 3000.0, 9000.0, False),
    (("puller", 0, "driven_share"), 0.3, 0.9, False),
    (("puller", 0, "weight"), 6000.0, 10000.0, False),
    (("tree", 0, "tree_height"), 5.0, 15.0, False),
]


@pytest.mark.parametrize(("key", "low", "high", "falls"), MONOTONE)
def test_where_margin_is_monotone(key: Key, low: float, high: float, falls: bool) -> None:
    """More of it never makes the margin better (or, for what holds and pulls, never worse): every one
    of the inputs whose worse end is taken as known, over far more than a range would span."""
    where, setups = ranked(demonstration())
    for of in setups:
        steps = [low + i * (high - low) / 8 for i in range(9)]
        margins = [margin(where, {key: value}, of) for value in steps]
        ordered = margins if not falls else margins[::-1]
        assert all(b >= a - 1e-9 for a, b in pairwise(ordered)), of.reeving


def two_rings(rating: str, **values: str) -> Site:
    return read_site(two_rings_text(rating, **values))


OLD = "old ring@0.5 m > load > winch"
BETTER = {"efficiency": '"0.6..0.95"', "weight": "1500 kg"}


def test_a_better_sheave_may_be_worse() -> None:
    """Of F the old ring holds the standing end's share, e / (1 + e), and the winch 1 / (1 + e). The first
    grows with e, so for a weak ring the upper end of e is the worst."""
    where = two_rings("2.2 kN", **BETTER)
    of = setup(where, OLD)
    force = needed(1500, 0.1)
    found = extremes(where, of)

    assert of.margin == pytest.approx(2200 / (force * 0.95 / 1.95), rel=1e-6)
    assert of.margin < min(2200 / (force * 0.6 / 1.6), 3000 / (force / 1.6))
    assert of.weakest.startswith("old ring")
    assert of.pull == pytest.approx(force / 1.6, rel=1e-6)
    assert found.worst == of.margin


def test_what_does_not_work_at_every_end_is_left_out() -> None:
    """The ring stands what is between its loads at the two ends: planned at e = 0.6 it does, at 0.95 it
    does not."""
    force = needed(1500, 0.1)
    stands = force * (0.6 / 1.6 + 0.95 / 1.95) / 2
    where = two_rings(f"{stands:.3f} N", **BETTER, pull="9 kN")
    found = rank(where, RankQuestion(top=20, everything=True, explain=False))
    plain = rank(where, RankQuestion(top=20, everything=True, explain=False))

    assert setup(two_rings("9 kN", **BETTER, pull="9 kN"), OLD).margin >= 1.0
    for listed in (found, plain):
        assert OLD not in [s.reeving for s in listed]
        assert listed.proven
    assert [s.rank for s in found] == list(range(1, len(found) + 1))


def test_a_rig_that_slews_the_load_with_better_sheaves_is_left_out() -> None:
    """An old ring 1 m to the side, b off the path at the end of the haul, tan b = 1/3: sideways to forward
    is e sin b / (1 + e cos b), 0.12 at e = 0.6 and 0.16 at 0.95."""

    def reevings(efficiency: str) -> list[str]:
        text = two_rings_text("9 kN", weight="1500 kg", pull="9 kN", efficiency=efficiency)
        ring, y = text.index('name = "old ring"'), '"0 m"'
        text = text[:ring] + text[ring:].replace(y, '"1 m"', 1)
        where = read_site(text + "side_pull_rolling = 0.14\n")
        found = rank(where, RankQuestion(top=20, everything=True, explain=False))
        assert found.proven
        return [s.reeving for s in found]

    assert OLD in reevings("0.6")
    assert OLD not in reevings("0.95")
    assert OLD not in reevings('"0.6..0.95"')


def test_margins_at_both_ends() -> None:
    """Weight 300..500 kg, resistance 0.08..0.12: closed forms at both ends."""
    where = site(weight="300..500 kg", resistance='"0.08..0.12"')
    found = next(
        s for s in rank(where, RankQuestion(top=9, everything=True)) if s.reeving == DOUBLED
    )

    assert found.margin == found.margin_worst
    assert found.margin_worst == pytest.approx(3000 * 1.9 / needed(500, 0.12), rel=1e-6)
    assert found.margin_best == pytest.approx(3000 * 1.9 / needed(300, 0.08), rel=1e-6)


def test_without_ranges_nothing_is_reported() -> None:
    where = site()
    found = rank(where, RankQuestion(top=3, explain=False))

    assert all(s.margin_worst is None and s.margin_best is None for s in found)
    assert extremes(where, found[0]).worst == found[0].margin
    assert extremes(replace(where, origin=None), found[0]).best == found[0].margin
