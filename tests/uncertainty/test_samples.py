"""Shares of samples against a share that is known."""

import pytest

from optimiser.jobs.ranges.breakeven import break_evens
from optimiser.jobs.ranges.samples import SEED, draw, with_shares
from optimiser.rig.refit import reevaluate
from optimiser.site.reading import read_site
from tests.uncertainty.straight import KILOGRAM, STRAIGHT, needed, setup, site, text

# At W = 3 kN / (sin a + c cos a) the winch is at its limit: about 1000 kg.
LIMIT = 3000.0 / needed(1.0, 0.1)


def test_the_share_is_that_of_the_range_below_the_limit() -> None:
    """Weight of even odds between 500 kg and 1500 kg, planned for the lower end so that it is listed."""
    where = read_site(text(weight="500..1500 kg"), "best")
    (found,) = with_shares(where, [setup(where, STRAIGHT)], 4000)
    known = (LIMIT - 500) / 1000

    assert found.within is not None
    share, error = found.within
    assert error == pytest.approx((known * (1 - known) / 4000) ** 0.5, rel=0.02)
    assert abs(share - known) < 4 * error


def test_the_seed_is_fixed() -> None:
    """The same site gives the same share; another seed another."""
    where = read_site(text(weight="500..1500 kg"), "best")
    of = [setup(where, STRAIGHT)]
    one, again, other = (
        with_shares(where, of, 300, seed=seed)[0].within for seed in (SEED, SEED, SEED + 1)
    )

    assert one == again
    assert one != other


def test_what_works_at_the_worst_ends_works_in_every_sample() -> None:
    """And the error is still not nothing: no number of samples proves a certainty. Two successes and two
    failures are added to those seen (Agresti and Coull, The American Statistician 52, 1998, 119-126)."""
    where = site(weight="300..500 kg")
    (found,) = with_shares(where, [setup(where, STRAIGHT)], 200)

    assert found.within is not None
    assert found.within[0] == 1.0
    with_four = 202 / 204
    assert found.within[1] == pytest.approx((with_four * (1 - with_four) / 204) ** 0.5)


def test_each_sheave_is_drawn_by_itself() -> None:
    """Two sheaves of the same kind of block need not be equally good."""
    drawn = draw(site(efficiency='"0.8..0.95"'), 50)

    assert drawn.sheaves.shape[0] == 50
    assert (drawn.sheaves[:, 0] != drawn.sheaves[:, 1]).all()


def test_samples_agree_with_the_break_even() -> None:
    """Just inside the break-even it works, just beyond it does not."""
    where = site()
    of = setup(where, STRAIGHT)
    at = next(b.at for b in break_evens(where, of) if b.key == "load.weight")
    assert at is not None
    inside, beyond = (
        reevaluate(site(weight=f"{at / KILOGRAM * share:.6f} kg"), of) for share in (0.9999, 1.0001)
    )

    assert inside is not None
    assert beyond is not None
    assert inside.margin > 1.0 > beyond.margin
