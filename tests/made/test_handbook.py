"""Published figures for holdfasts and buried logs, through a site file to what the answer says it stands."""

from math import atan, cos, pi, sin, tan

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.mechanics.anchor import on_ground
from optimiser.site.reading import read_site
from tests.made import meadow

POUND = 4.4482216152605
KILO = 9.80665
FACTOR = 2.0
"""Choice of the program: what it holds / what may be put on it."""


def stands(text: str) -> tuple[float, str]:
    """What the answer says that the anchor stands, N, and where that comes from."""
    ranking = rank(read_site(text), RankQuestion(explain=False, compound=False, top=1))
    found = [c for c in ranking.setups[0].components if c.item == "the anchor"]
    assert len(found) == 1
    assert found[0].capacity is not None
    return found[0].capacity, " ".join(factor.source for factor in found[0].factors)


@pytest.mark.parametrize(
    ("system", "pounds", "source"),
    [
        ("1", 700.0, "navedtra-14251"),  # NAVEDTRA 14251, picket holdfasts, undisturbed loam
        ("1-1-1", 1800.0, "navedtra-14251"),
        ("3-2-1", 4000.0, "navedtra-14251"),
        ("1-1", 1400.0, "fm-5-125"),  # FM 5-125, from memory
    ],
)
def test_wooden_pickets_hold_what_the_manual_says(system: str, pounds: float, source: str) -> None:
    capacity, sources = stands(meadow.pickets(system))
    assert capacity * FACTOR == pytest.approx(pounds * POUND, rel=1e-9)
    assert source in sources


def test_pickets_in_river_sand_hold_half() -> None:
    """FM 5-125, from memory: 0.5 of the value in loam."""
    in_sand, _ = stands(meadow.pickets("3-2-1", soil="river clay or sand"))
    assert in_sand * FACTOR == pytest.approx(2000.0 * POUND, rel=1e-9)


def test_steel_pickets_have_a_safe_load_which_is_not_divided_again() -> None:
    """Disaster Rescue 8.3: safe load 350 kg a picket."""
    capacity, _ = stands(meadow.pickets("2-1", pickets="steel"))
    assert capacity == pytest.approx(3 * 350.0 * KILO, rel=1e-9)


def test_steel_pickets_in_river_sand_are_allowed_half() -> None:
    """As for wooden ones (FM 5-125, from memory): the ground before them is the same."""
    capacity, _ = stands(meadow.pickets("2-1", pickets="steel", soil="river clay or sand"))
    assert capacity == pytest.approx(0.5 * 3 * 350.0 * KILO, rel=1e-9)


@pytest.mark.parametrize(
    ("depth", "run", "pounds", "thick"),
    # TM 5-5420-278-10 table 9, lb per square foot of face in loam; the trench takes 1 ft of the log
    [
        ("4 ft", "1", 1750.0, 1),
        ("4 ft", "2", 2200.0, 1),
        ("5 ft", "3", 4000.0, 1),
        ("7 ft", "4", 8400.0, 2),
    ],
)
def test_the_ground_before_a_buried_log(depth: str, run: str, pounds: float, thick: int) -> None:
    """Logs so thick, ft, that the ground gives way before they bend."""
    capacity, sources = stands(
        meadow.log(depth=depth, run=run, thick=f"{thick} ft", sling="900 kN")
    )
    assert capacity * FACTOR == pytest.approx(pounds * 3.0 * thick * POUND, rel=1e-9)
    assert "tm-5-5420-278-10" in sources


def test_the_length_of_the_manual_holds_the_cable() -> None:
    """TM 5-5420-278-10: D = CC / (HP x face) + 1 ft. 2,200 lb/ft² at 4 ft and 1 in 2, a log of 1 ft and
    5 ft: it holds a cable of 8,800 lb."""
    capacity, _ = stands(meadow.log(long="5 ft"))
    assert capacity * FACTOR == pytest.approx(8800.0 * POUND, rel=1e-9)


def test_the_sling_round_the_log_may_be_the_weakest() -> None:
    capacity, _ = stands(meadow.log(sling="5 kN"))
    assert capacity == pytest.approx(5000.0)


def test_a_log_bends_before_deep_ground_gives_way() -> None:
    """Hardpan holds five times as much: then the log's own bending rules, F L / 8 at its middle."""
    in_loam, _ = stands(meadow.log(long="5 ft"))
    in_hardpan, _ = stands(meadow.log(long="5 ft", soil="rock or hardpan", sling="900 kN"))
    assert in_loam < in_hardpan < 5.0 * in_loam
    stress = in_hardpan * (5.0 * 0.3048) / 8.0 / (pi * 0.3048**3 / 32.0)
    assert 2e6 < stress < 15e6  # green wood, Pa: a fifth of its rupture, some tens of MPa, or less


# ---- by its weight: statics ---------------------------------------------------------------------------


def test_a_level_pull_slides_a_block_at_friction_times_weight() -> None:
    assert on_ground.sliding_pull(weight=1000.0, friction=0.4, slope=0.0, rise=0.0) == (
        pytest.approx(400.0)
    )


def test_the_least_pull_that_slides_a_block_rises_at_the_angle_of_friction() -> None:
    """Textbook statics: W sin φ, at α = φ. Looked for over all angles by hand."""
    friction, weight = 0.5, 1000.0
    by_hand = min(
        friction * weight / (cos(a) + friction * sin(a)) for a in (k * 1e-4 for k in range(7854))
    )
    found = on_ground.sliding_pull(weight=weight, friction=friction, slope=0.0, rise=0.785)
    assert found == pytest.approx(by_hand, rel=1e-6)
    assert found == pytest.approx(weight * sin(atan(friction)), rel=1e-9)


def test_a_slope_towards_the_pull_takes_from_the_friction() -> None:
    """On the point of sliding by itself at tan γ = μ; a level pull holds up to W tan(φ − γ)."""
    found = on_ground.sliding_pull(weight=1000.0, friction=0.5, slope=0.2, rise=0.0)
    assert found == pytest.approx(1000.0 * tan(atan(0.5) - 0.2))
    assert on_ground.sliding_pull(weight=1000.0, friction=0.2, slope=0.3, rise=0.0) == 0.0


def test_a_level_pull_tips_a_block_over_its_edge() -> None:
    """Moments about the edge: T h = W b."""
    found = on_ground.tipping_pull(
        weight=1000.0, half_foot=0.3, height=1.2, centre=0.6, slope=0.0, rise=0.0
    )
    assert found == pytest.approx(1000.0 * 0.3 / 1.2)


def test_a_rising_pull_tips_it_at_the_least_over_all_rises() -> None:
    """Moments again, at every rise by hand."""
    b, h = 0.5, 0.4
    by_hand = min(1000.0 * b / (h * cos(a) + b * sin(a)) for a in (k * 1e-4 for k in range(2619)))
    found = on_ground.tipping_pull(
        weight=1000.0, half_foot=b, height=h, centre=0.5, slope=0.0, rise=0.2618
    )
    assert found == pytest.approx(by_hand, rel=1e-6)


def test_a_tall_boulder_tips_and_a_flat_one_slides() -> None:
    """Through a site file: 2 t on moist clay (0.20), factor 1.5 against both. A slide is easiest for a pull
    that rises by the angle of friction."""
    table = (
        'resting = {{ weight = "2000 kg", ground = "moist clay", foot = "{foot}", tall = "{tall}" }}\n'
        'strap_heights = ["{strap}"]'
    )
    flat, _ = stands(
        meadow.meadow("boulder", table.format(foot="2 m", tall="0.6 m", strap="0.3 m"))
    )
    tall, _ = stands(
        meadow.meadow("boulder", table.format(foot="0.4 m", tall="2 m", strap="1.5 m"))
    )
    weight, rise = 2000.0 * KILO, 15.0 * pi / 180.0
    slides = atan(0.20)
    assert slides < rise
    assert flat * 1.5 == pytest.approx(weight * sin(slides), rel=1e-9)
    lean = min(rise, atan(0.2 / 1.5))
    assert tall * 1.5 == pytest.approx(weight * 0.2 / (1.5 * cos(lean) + 0.2 * sin(lean)), rel=1e-9)
