"""The one filler, on a rig that two blocks cannot both serve: the best that fits, band by band."""

from dataclasses import replace

import pytest

from optimiser.rig.gear.filler import Filler, Found
from optimiser.rig.gear.slots import Variant
from optimiser.rig.order import Order
from optimiser.site.counts import Count
from optimiser.site.model import Site
from tests.gear.test_assign import room, turned_once
from tests.generated import HOME, made_up

BAND = 0.1
ORDER = Order((Count.MARGIN,), 10.0, band=BAND)


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(replace(HOME, light=0.2), 2)


@pytest.fixture(scope="module")
def variant(site: Site) -> Variant:
    """Three blocks of margins in three bands, all below what anything else stands; the strongest is longer
    than the room between the load and the tree."""
    any_block = turned_once(site, ("any", 0.1, 1000.0))
    ratio = any_block.block_options[0].ratio
    long = room(any_block)

    def standing(margin: float) -> float:
        return 1000.0 * margin / ratio

    return turned_once(
        site,
        ("strong", long, standing(0.45)),
        ("middling", 0.1, standing(0.35)),
        ("weak", 0.1, standing(0.25)),
    )


def test_no_band_is_left_out(variant: Variant) -> None:
    found = Filler(ORDER, 0.05).first([variant], [])

    assert found.filled is not None
    assert found.filled.margin == pytest.approx(0.35)


def test_a_limit_that_it_cannot_reach_is_why_there_is_none(variant: Variant) -> None:
    """What only a limit keeps out may come in once the limit is looser."""
    filler = Filler(ORDER, 0.05)
    limit = filler.sort(variant, 0.55)

    found = filler.first([variant], [limit])

    assert found.filled is None
    assert found.ahead
    assert Filler(ORDER, 0.46).first([variant], []) == Found(None)  # no piece stands that


def test_best_and_settled_reach_the_margin_that_there_is(site: Site, variant: Variant) -> None:
    filler = Filler(ORDER, 0.05)
    best = filler.best([variant])
    poor = filler.reaching(variant, 0.2)

    assert best is not None
    assert best.margin == pytest.approx(0.35)
    assert poor is not None
    assert poor.margin == pytest.approx(0.25)  # the weakest that will do
    assert filler.settled(poor, []).margin == pytest.approx(0.35)


def test_of_equal_fillings_the_one_with_the_strongest_pieces_is_taken(site: Site) -> None:
    """Where the rope decides, the block that stands most hangs in the rig, whatever its name."""
    filler = Filler(ORDER, 0.05)
    for names in (("a", "b"), ("b", "a")):
        weaker, stronger = names
        variant = turned_once(site, (weaker, 0.1, 200_000.0), (stronger, 0.1, 300_000.0))
        known = filler.reaching(variant, 0.05)
        assert known is not None

        settled = filler.settled(known, [])

        assert [option.piece.name for option in known.blocks] == [weaker]
        assert [option.piece.name for option in settled.blocks] == [stronger]
        assert settled.margin == known.margin == variant.fixed_margin


def test_a_better_rival_is_taken(site: Site, variant: Variant) -> None:
    filler = Filler(ORDER, 0.05)
    rival = turned_once(site, ("any", 0.1, 1000.0))
    known = filler.best([variant])
    assert known is not None

    settled = filler.settled(known, [rival])

    assert settled.variant is rival
    assert settled.margin > known.margin
