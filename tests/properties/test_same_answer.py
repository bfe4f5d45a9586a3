"""What must not change the answer: where the site lies, the scale of forces, the order of entries."""

from dataclasses import replace
from math import pi
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from catalogue.gear import Rope
from optimiser.site.anchors import RatedAnchor, Tree
from optimiser.site.model import Anchor, Owned, Puller, Site
from tests.properties.alike import distinguished, figures
from tests.properties.jobs import RECIPES, TIED, UNRATED, MadeUp, made_ups, ranked
from tests.properties.motions import Motion, moved

ALL = (*RECIPES, *UNRATED)
shifts = st.floats(-200.0, 200.0)


@given(
    job=made_ups(ALL),
    angle=st.floats(-pi, pi),
    shift=st.tuples(shifts, shifts, shifts),
    mirrored=st.booleans(),
)
def test_turning_mirroring_and_moving_the_site(
    job: MadeUp, angle: float, shift: tuple[float, float, float], mirrored: bool
) -> None:
    """Every figure of every setup stays, to rounding."""
    before = ranked(job.site)
    after = ranked(moved(job.site, Motion(angle, shift, mirrored)))
    assert distinguished(before, after) == []


@given(job=made_ups(ALL), order=st.integers(0, 10_000))
def test_the_order_of_entries(job: MadeUp, order: int) -> None:
    """Trees, obstacles, pullers, hitches, gear and knots in another order: the same setups."""
    assert distinguished(ranked(job.site), ranked(shuffled(job.site, order))) == []


@given(job=made_ups(TIED), order=st.integers(0, 10_000))
def test_the_order_of_entries_where_setups_are_as_good_as_each_other(
    job: MadeUp, order: int
) -> None:
    """The figures stay; which of two equal trees or pieces is named may change."""
    one, other = ranked(job.site), ranked(shuffled(job.site, order))
    assert figures(one) == figures(other)


@given(job=made_ups(ALL), factor=st.floats(0.01, 100.0))
def test_the_scale_of_forces(job: MadeUp, factor: float) -> None:
    """Statics is linear: all weights, ratings and strengths times the same leave every margin and
    length as it was, and multiply every pull."""
    one, other = ranked(job.site), ranked(stronger(job.site, factor))
    assert len(one) == len(other)
    for a, b in zip(one, other, strict=True):
        assert (a.walk, a.gear, a.resets) == (b.walk, b.gear, b.resets)
        assert abs(a.margin - b.margin) < 1e-7 * a.margin
        assert abs(a.pull * factor - b.pull) < 1e-7 * b.pull
        assert abs(a.rope_needed - b.rope_needed) < 1e-9


@given(job=made_ups(ALL), few=st.integers(1, 4))
def test_a_shorter_list_is_the_beginning_of_a_longer_one(job: MadeUp, few: int) -> None:
    """How many are requested does not change which are best."""
    short, long = ranked(job.site, top=few), ranked(job.site, top=6)
    assert short.setups == long.setups[:few]


@given(job=made_ups(ALL))
def test_equal_questions_have_equal_answers(job: MadeUp) -> None:
    assert ranked(job.site).setups == ranked(replace(job.site)).setups


def shuffled(site: Site, order: int) -> Site:
    """The site with its entries in another order."""
    rng = Random(order)

    def mixed(entries: tuple[object, ...]) -> tuple[object, ...]:
        return tuple(rng.sample(entries, len(entries)))

    load = replace(site.load, hitches=mixed(site.load.hitches))  # type: ignore[arg-type]
    preferences = replace(site.preferences, knots=mixed(site.preferences.knots))  # type: ignore[arg-type]
    return replace(
        site,
        load=load,
        preferences=preferences,
        anchors=mixed(site.anchors),  # type: ignore[arg-type]
        obstacles=mixed(site.obstacles),  # type: ignore[arg-type]
        pullers=mixed(site.pullers),  # type: ignore[arg-type]
        gear=mixed(site.gear),  # type: ignore[arg-type]
    )


def stronger(site: Site, factor: float) -> Site:
    """The site with every force in it multiplied."""
    load = replace(
        site.load,
        weight=site.load.weight * factor,
        hitches=tuple(
            replace(h, rating=None if h.rating is None else h.rating * factor)
            for h in site.load.hitches
        ),
    )
    return replace(
        site,
        load=load,
        anchors=tuple(_anchor(a, factor) for a in site.anchors),
        pullers=tuple(_puller(p, factor) for p in site.pullers),
        gear=tuple(_piece(p, factor) for p in site.gear),
    )


def _anchor(anchor: Anchor, factor: float) -> Anchor:
    assert isinstance(anchor, Tree | RatedAnchor)
    known = anchor.strength.capacity
    strength = replace(anchor.strength, capacity=None if known is None else known * factor)
    return replace(anchor, strength=strength)


def _puller(puller: Puller, factor: float) -> Puller:
    rating = puller.hitch_rating
    return replace(
        puller,
        limit=puller.limit * factor,
        hitch_rating=None if rating is None else rating * factor,
    )


def _piece(piece: Owned, factor: float) -> Owned:
    gear = piece.gear
    if isinstance(gear, Rope):
        assert gear.mbs is not None
        return replace(piece, gear=replace(gear, mbs=gear.mbs * factor))
    assert gear.wll is not None
    return replace(piece, gear=replace(gear, wll=gear.wll * factor))
