"""Tackle on tackle at other values of the inputs: each way of working it out gives what the others do."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranges.batch import Batch
from optimiser.jobs.ranges.breakeven import break_evens
from optimiser.jobs.ranges.corners import extremes
from optimiser.jobs.ranges.samples import with_shares
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.rig.components import components
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.refit import Stopped, eta_corners, reevaluate, refit
from optimiser.site.lines import Key
from optimiser.site.reading import read_document, read_site, site_from_document
from tests.uncertainty.sites import compounds, two_ropes
from tests.uncertainty.test_batch import worst_of


def test_nothing_changed() -> None:
    """Every figure is the search's own."""
    site, setups = compounds()

    assert len(setups) >= 4
    for setup in setups:
        again = reevaluate(site, setup)
        assert again is not None
        assert again.components == setup.components
        assert again.profile == setup.profile
        assert again.gear == setup.gear
        assert (again.lines, again.stops, again.moved) == (setup.lines, setup.stops, setup.moved)


def test_twice_the_weight_is_half_the_margin() -> None:
    """All forces are proportional to the weight, those of the second rope too."""
    document = read_document(two_ropes())
    _, setups = compounds()
    sites = [
        site_from_document(document, "worst", {"load.weight": w}) for w in ("150 kg", "300 kg")
    ]
    light, heavy = (reevaluate(site, setups[0]) for site in sites)

    assert light is not None
    assert heavy is not None
    assert heavy.margin == pytest.approx(light.margin / 2)
    verify(sites[1], heavy)


@pytest.mark.parametrize(
    ("key", "value", "why"),
    [
        ("gear[other rope].length", "9 m", "are too short"),
        ("tree[near pine].diameter", "110 cm", "too short to go round"),
    ],
)
def test_why_it_stops(key: str, value: str, why: str) -> None:
    _, setups = compounds()
    found = refit(site_from_document(read_document(two_ropes()), "worst", {key: value}), setups[0])

    assert isinstance(found, Stopped)
    assert why in found.why


def test_each_row_is_the_setup_by_itself() -> None:
    """Margins at sets drawn over wide ranges, every sheave with an efficiency of its kind."""
    where, setups = compounds()
    assert where.origin is not None
    rng = np.random.default_rng(7)
    keys = {
        ("load", "weight"): (2000.0, 7000.0),
        ("path", "leg", 1, "resistance"): (0.0, 0.6),
        ("puller", 0, "driven_share"): (0.2, 1.0),
        ("load", "hitch", 0, "rating"): (2000.0, 9000.0),
    }
    draws = [{k: rng.uniform(*ends) for k, ends in keys.items()} for _ in range(12)]
    sites = [where.origin.site(values) for values in draws]
    works = 0
    for setup in setups:
        filled = refit(where, setup)
        assert not isinstance(filled, Stopped)
        corners = [eta_corners(kit_of(one), setup) for one in sites]
        every = [one for one, etas in zip(sites, corners, strict=True) for _ in etas]
        outcome = worst_of(Batch(filled).outcome(every, np.concatenate(corners)), corners)
        for row, one in enumerate(sites):
            alone = refit(one, setup)
            if isinstance(alone, Stopped):
                assert not outcome.works[row]
            else:
                works += 1
                assert outcome.margin[row] == pytest.approx(alone.margin, rel=1e-9)
    assert works > len(setups)


def test_no_piece_is_forgotten() -> None:
    """As many slots as `components` lists, the puller's pull besides."""
    where, setups = compounds()
    for setup in setups:
        filled = refit(where, setup)
        assert not isinstance(filled, Stopped)
        assert len(Batch(filled).names) == len(components(filled))


@settings(max_examples=25, deadline=None)
@given(data=st.data(), number=st.integers(0, 3))
def test_the_worst_corner_is_never_better_than_any_point_between(
    data: st.DataObject, number: int
) -> None:
    where, setups = compounds()
    assert where.origin is not None
    values: dict[Key, float] = {}
    for key, quantity in where.origin.ranges.items():
        share = data.draw(st.floats(0.0, 1.0), label=where.origin.label(key))
        span = quantity.interval
        values[key] = span.low + share * (span.high - span.low)
    of = setups[number % len(setups)]
    filled = refit(where.origin.site(values), of)
    margin = 0.0 if isinstance(filled, Stopped) else filled.margin

    assert margin >= extremes(where, of).worst * (1.0 - 1e-9)


def test_every_listed_one_reports_its_margins() -> None:
    """The list at the worst ends: tackles on tackles take part like the others."""
    site = read_site(two_ropes())

    question = RankQuestion(top=30, everything=True, explain=False, compound=True)
    found = rank(site, question)
    both = [setup for setup in found if setup.second is not None]

    assert both
    for setup in both:
        assert setup.margin_worst is not None
        assert setup.margin_best is not None
        assert 1.0 <= setup.margin_worst <= setup.margin <= setup.margin_best


def test_break_even_of_the_weight_brings_a_piece_to_its_limit() -> None:
    """All forces being proportional to it: the weight times the margin."""
    site, setups = compounds()
    weight = next(one for one in break_evens(site, setups[0]) if one.key == "load.weight")

    assert weight.at == pytest.approx(site.load.weight * setups[0].margin, rel=1e-4)


def test_samples_judge_them_too() -> None:
    site, setups = compounds()
    (found,) = with_shares(site, setups[:1], 50)

    assert found.within is not None
    assert found.within[0] > 0.9
