"""Tree anchors: which limit governs, what stands in for missing data, what is refused."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalogue.book import load_catalogue
from catalogue.trees import overturning_key
from optimiser.mechanics.anchor.tree import anchor_strength, coefficient
from optimiser.mechanics.values import AnchorStrength

PINE = load_catalogue().species["pine-scots"]
ALL = sorted(load_catalogue().species)


def factor(strength: AnchorStrength, name: str) -> float:
    return next(f.value for f in strength.factors if f.name == name)


def test_scots_pine_of_thirty_centimetres() -> None:
    """20 m tall on freely draining soil, shallow rooting: 0.40 × 67.4 kN·m for the roots."""
    strength = anchor_strength(
        diameter=0.30, species=PINE, height=20.0, soil="free-draining", rooting="shallow"
    )
    roots = factor(strength, "allowed: overturning of the root plate")
    assert roots == pytest.approx(0.40 * 67.4e3, rel=0.005)
    allowed = [f.value for f in strength.factors if f.name.startswith("allowed: ")]
    assert len(allowed) == 3
    assert strength.capacity == min(allowed)
    assert strength.unit == "N·m"
    assert any("roots" in text for text in strength.outside)


def test_every_limit_of_a_slender_pine_by_hand() -> None:
    """0.25 m over the bark, 25 m tall: a fifth of what the knots leave of its rupture strength is
    the least; first yield is kept at 1.5, and 0.40 of the overturning moment is allowed."""
    tall = anchor_strength(
        diameter=0.25, species=PINE, height=25.0, soil="free-draining", rooting="deep"
    )
    wood = 0.25 * (1.0 - 2.0 * PINE.bark)
    modulus = pi * wood**3 / 32.0
    broken = modulus * PINE.knot_factor * PINE.rupture / 5.0
    yields = modulus * PINE.compression / 1.5
    assert tall.capacity == pytest.approx(broken)
    assert tall.governs == "stem breaks at its knots"
    assert factor(tall, "allowed: stem breaks at its knots") == pytest.approx(broken)
    assert factor(tall, "allowed: green wood yields in bending") == pytest.approx(yields)
    roots = factor(tall, "allowed: overturning of the root plate")
    assert roots == pytest.approx(0.40 * factor(tall, "overturning moment"))


def test_unknown_ground_takes_the_least_coefficient() -> None:
    least = coefficient(PINE.overturning, soil=None, rooting=None)
    assert least == min(PINE.overturning.values()) == pytest.approx(124.2)
    figures = {("free-draining", "shallow"): 3.0, ("free-draining", "deep"): 4.0}
    figures |= {("gleyed", "shallow"): 1.0, ("gleyed", "deep"): 2.0}
    one = {overturning_key(*where): value for where, value in figures.items()}
    assert coefficient(one, soil="free-draining", rooting=None) == 3.0
    assert coefficient(one, soil=None, rooting="deep") == 2.0
    assert coefficient(one, soil="gleyed", rooting="deep") == 2.0
    with pytest.raises(ValueError, match="soil 'loam'"):
        coefficient(PINE.overturning, soil="loam", rooting=None)
    with pytest.raises(ValueError, match="rooting 'tap'"):
        coefficient(PINE.overturning, soil=None, rooting="tap")


def test_unknown_height_is_reported_and_cautious() -> None:
    known = anchor_strength(diameter=0.3, species=PINE, height=18.0, soil=None, rooting=None)
    unknown = anchor_strength(diameter=0.3, species=PINE, height=None, soil=None, rooting=None)
    name = "allowed: overturning of the root plate"
    assert factor(unknown, name) < factor(known, name)
    assert any("height of the tree not given" in text for text in unknown.outside)


def test_a_tree_taller_or_thicker_than_those_pulled_overturns_no_later() -> None:
    """Beyond 35 m and 50 cm (the project's choice of where the pulling tests end) nothing is extrapolated."""

    def overturns(diameter: float, height: float) -> float:
        tree = anchor_strength(
            diameter=diameter, species=PINE, height=height, soil=None, rooting=None
        )
        return factor(tree, "allowed: overturning of the root plate")

    assert overturns(0.5, 34.0) < overturns(0.5, 35.0) == overturns(0.5, 45.0)
    assert overturns(0.4, 35.0) < overturns(0.5, 35.0) == overturns(0.7, 35.0)


def test_species_without_pulling_tests_reports_it() -> None:
    maple = load_catalogue().species["maple-sugar"]
    strength = anchor_strength(diameter=0.4, species=maple, height=15.0, soil=None, rooting=None)
    assert factor(strength, "overturning coefficient") == pytest.approx(77.4)
    assert any("nothing published" in text for text in strength.outside)


@pytest.mark.parametrize("name", ALL)
def test_every_species_gives_a_finite_strength(name: str) -> None:
    species = load_catalogue().species[name]
    strength = anchor_strength(diameter=0.3, species=species, height=None, soil=None, rooting=None)
    assert strength.capacity is not None
    assert 500.0 < strength.capacity < 60e3


@given(
    thin=st.floats(0.15, 1.0), more=st.floats(0.01, 0.5), tall=st.floats(4.0, 35.0)
)  # fmt: skip
def test_thicker_is_never_weaker(thin: float, more: float, tall: float) -> None:
    slender, stout = (
        anchor_strength(diameter=d, species=PINE, height=tall, soil=None, rooting=None).capacity
        for d in (thin, thin + more)
    )
    assert slender is not None
    assert stout is not None
    assert stout >= slender


def test_thin_stem_is_no_anchor() -> None:
    strength = anchor_strength(diameter=0.12, species=PINE, height=9.0, soil=None, rooting=None)
    assert strength.capacity == 0.0
    assert "thinner than 0.15 m" in strength.governs


def test_cavity_weakens_and_beyond_the_rules_is_refused() -> None:
    kw = {"diameter": 0.4, "species": PINE, "height": 20.0, "soil": None, "rooting": None}
    solid, hollow = anchor_strength(**kw), anchor_strength(**kw, hollow=0.2)  # type: ignore[arg-type]
    assert factor(hollow, "section modulus in bark") < factor(solid, "section modulus in bark")
    with pytest.raises(ValueError, match="do not use this tree"):
        anchor_strength(**kw, hollow=0.30)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("diameter", "height"), [(0.0, 10.0), (float("nan"), 10.0), (5.0, 10.0), (0.3, 1.0)]
)
def test_no_tree_is_like_that(diameter: float, height: float) -> None:
    with pytest.raises(ValueError, match=r"tree (diameter|height)"):
        anchor_strength(diameter=diameter, species=PINE, height=height, soil=None, rooting=None)
