"""Values of the catalogue against the published tables they were copied from.

The numbers are typed here from the source once more, in its own unit, and converted by hand-written
factors: 1 lbf = 4.4482216152605 N, 1 kgf = 9.80665 N, both exact.
"""

import pytest

from catalogue.book import load_catalogue
from catalogue.trees import overturning_key

BOOK = load_catalogue()
LBF = 4.4482216152605
KGF = 9.80665
SHORT_TON = 2000 * LBF


@pytest.mark.parametrize(
    ("rope", "pounds"),
    [("manila-6", 540), ("manila-12", 2385), ("manila-24", 8100), ("manila-48", 27900)],
)
def test_manila_breaks_as_in_ci_1308(rope: str, pounds: float) -> None:
    """Cordage Institute CI 1308-96: 1/4 in 540, 1/2 in 2,385, 1 in 8,100, 2 in 27,900 lbf."""
    assert BOOK.ropes[rope].mbs == pytest.approx(pounds * LBF, rel=1e-12)


def test_manila_follows_nine_hundred_times_circumference_squared() -> None:
    """Navy Builder manual: 900 C² lb; worked there for C = 3 in (1 in rope): 8,100 lb."""
    assert BOOK.ropes["manila-24"].mbs == pytest.approx(900 * 3**2 * LBF, rel=1e-12)


@pytest.mark.parametrize(
    ("rope", "pounds"),
    [
        ("nylon-12", 5750),
        ("nylon-18", 12800),
        ("nylon-36", 47800),
        ("polypropylene-12", 3780),
        ("polypropylene-18", 7650),
        ("polypropylene-36", 26800),
    ],
)
def test_nylon_and_polypropylene_break_as_in_the_trade_table(rope: str, pounds: float) -> None:
    """Trade table of three-strand rope."""
    assert BOOK.ropes[rope].mbs == pytest.approx(pounds * LBF, rel=1e-12)


@pytest.mark.parametrize(
    ("rope", "pounds", "kilonewtons"),
    [("polyester-12", 5085, 22.6), ("polyester-16", 7825, 34.8), ("polyester-24", 19775, 88.0)],
)
def test_polyester_breaks_as_in_the_reference_table(
    rope: str, pounds: float, kilonewtons: float
) -> None:
    """Engineering reference table, which gives both units: 5,085 lbf and 22.6 kN for 12 mm."""
    assert BOOK.ropes[rope].mbs == pytest.approx(pounds * LBF, rel=1e-12)
    assert BOOK.ropes[rope].mbs == pytest.approx(kilonewtons * 1000, rel=2e-3)  # print rounding


@pytest.mark.parametrize(
    ("rope", "pounds"), [("wire-6", 1400), ("wire-13", 5300), ("wire-19", 10900)]
)
def test_wire_rope_works_at_a_quarter_of_its_strength(rope: str, pounds: float) -> None:
    """49 CFR 393.108: working loads of 6 x 37 fibre core; unmarked wire rope: a quarter."""
    assert BOOK.ropes[rope].wll == pytest.approx(pounds * LBF, rel=1e-12)
    assert BOOK.ropes[rope].mbs == pytest.approx(4 * pounds * LBF, rel=1e-12)


def test_manila_weighs_as_in_ci_1308() -> None:
    """CI 1308-96: 1/2 in 6.96 lb, 1 in 25.7 lb a hundred feet (0.1036 and 0.3825 kg/m)."""
    assert BOOK.ropes["manila-12"].mass_per_metre == pytest.approx(0.10358, abs=5e-5)
    assert BOOK.ropes["manila-24"].mass_per_metre == pytest.approx(0.38246, abs=5e-5)


@pytest.mark.parametrize(
    ("inches", "shackle", "tons"),
    [
        (3 / 8, "shackle-10", 1.0),
        (1 / 2, "shackle-13", 2.0),
        (5 / 8, "shackle-16", 3.25),
        (1.0, "shackle-25", 8.5),
        (1.25, "shackle-32", 12.0),
    ],
)
def test_rated_shackles_carry_the_stamp_of_their_type(
    inches: float, shackle: str, tons: float
) -> None:
    """RR-C-271 / EN 13889 type, trade sheets; tons read as short tons, the lesser."""
    assert BOOK.shackles[shackle].bow_diameter == pytest.approx(inches * 0.0254, rel=1e-12)
    assert BOOK.shackles[shackle].wll == pytest.approx(tons * SHORT_TON, rel=1e-12)


def test_unmarked_shackle_by_the_field_rule() -> None:
    """NAVEDTRA 14251: D = 5/8 in gives 3 D² = 1.1719 short ton = 2,343.8 lb."""
    assert BOOK.shackles["shackle-16-unmarked"].wll == pytest.approx(2343.75 * LBF, rel=1e-12)


@pytest.mark.parametrize(
    ("chain", "pounds"),
    [
        ("chain-7-g30", 1300),
        ("chain-8-g43", 3900),
        ("chain-10-g70", 6600),
        ("chain-13-g80", 12000),
        ("chain-16-g100", 22600),
    ],
)
def test_chain_works_as_in_the_federal_table(chain: str, pounds: float) -> None:
    """49 CFR 393.108, table of chain."""
    assert BOOK.chains[chain].wll == pytest.approx(pounds * LBF, rel=1e-12)


@pytest.mark.parametrize(
    ("strap", "pounds"),
    [
        ("strap-45-1m", 1750),
        ("strap-50-2m", 2000),
        ("strap-75-3m", 3000),
        ("strap-100-6m", 4000),
    ],
)
def test_tie_down_web_works_as_in_the_federal_table(strap: str, pounds: float) -> None:
    """49 CFR 393.108, synthetic webbing: 1-3/4, 2, 3 and 4 in."""
    assert BOOK.straps[strap].wll == pytest.approx(pounds * LBF, rel=1e-12)


@pytest.mark.parametrize(
    ("knot", "keeps"),
    [
        ("eye-splice", 0.95),
        ("short-splice", 0.90),
        ("two-half-hitches", 0.75),
        ("anchor-bend", 0.70),
        ("timber-hitch", 0.70),
        ("bowline", 0.60),
        ("wire-socket", 1.00),
        ("wire-sleeve", 0.925),
        ("wire-clips", 0.80),
    ],
)
def test_knots_and_ends_keep_what_the_tables_say(knot: str, keeps: float) -> None:
    """Knot tables after Plymouth, Day and Dent; wire ends after TM 5-3810-305-10."""
    assert BOOK.terminations[knot].keeps == keeps


def test_joins_without_a_figure_keep_the_planning_value_of_any_knot() -> None:
    """CI 1401: plan 50 % for any knot."""
    without = [t for t in BOOK.terminations.values() if t.source == "ci-1401"]
    assert {t.keeps for t in without} == {0.5}
    assert {t.id for t in without if t.joins_ropes} >= {"double-sheet-bend", "zeppelin-bend"}


def test_plain_bearing_covers_the_measured_white_rope_tackle() -> None:
    """Workshop Receipts: pull / weight 1.10, 0.62, 0.45, 0.37, 0.32, 0.28 for 1 to 6 parts.

    With as many sheaves as parts, weight / pull = eta + eta² + ... The catalogue's eta must not
    promise more than was measured, apart from the rounding of the print and of eta (3 %).
    """
    eta = BOOK.bearings["plain"].eta
    for parts, measured in enumerate((1.10, 0.62, 0.45, 0.37, 0.32, 0.28), start=1):
        pull = 1 / sum(eta**n for n in range(1, parts + 1))
        assert pull >= measured * 0.97
        assert pull <= measured * 1.07


def test_better_bearings_are_on_the_safe_side_of_the_published_loss() -> None:
    """Wire Rope Users Manual: 1.09 a sheave plain, 1.04 anti-friction."""
    assert BOOK.bearings["bronze"].eta <= 1 / 1.09
    assert BOOK.bearings["roller"].eta <= 1 / 1.04
    assert BOOK.bearings["roller"].eta == pytest.approx(1 / 1.04, abs=1e-4)
    assert BOOK.bearings["plain"].eta < BOOK.bearings["bronze"].eta < BOOK.bearings["roller"].eta


def test_green_wood_strengths_as_read() -> None:
    """Wood Handbook Table 5-3a, green: slash pine 60.0 and 26.3, western white pine 32.0 and 16.8;
    sugar maple 65.0 and 27.7 MPa."""
    for species, rupture, compression in (
        ("pine-slash", 60.0e6, 26.3e6),
        ("pine-western-white", 32.0e6, 16.8e6),
        ("maple-sugar", 65.0e6, 27.7e6),
    ):
        assert BOOK.species[species].rupture == pytest.approx(rupture)
        assert BOOK.species[species].compression == pytest.approx(compression)


PSI = 6894.757293168


@pytest.mark.parametrize(
    ("species", "gravity", "rupture", "compression"),
    [
        ("alder-red", 0.37, 6500, 2960),
        ("ash-black", 0.45, 6000, 2300),
        ("ash-white", 0.55, 9500, 3990),
        ("aspen-quaking", 0.35, 5100, 2140),
        ("basswood-american", 0.32, 5000, 2220),
        ("beech-american", 0.56, 8600, 3550),
        ("birch-paper", 0.48, 6400, 2360),
        ("elm-american", 0.46, 7200, 2910),
        ("hickory-shagbark", 0.64, 11000, 4580),
        ("locust-black", 0.66, 13800, 6800),
        ("maple-silver", 0.44, 5800, 2490),
        ("oak-northern-red", 0.56, 8300, 3440),
        ("willow-black", 0.36, 4800, 2040),
        ("larch-western", 0.48, 7700, 3760),
        ("pine-eastern-white", 0.34, 4900, 2440),
        ("spruce-engelmann", 0.33, 4700, 2180),
        ("tamarack", 0.49, 7200, 3480),
    ],
)
def test_green_wood_of_the_handbook_of_2021(
    species: str, gravity: float, rupture: float, compression: float
) -> None:
    """Wood Handbook 2021, Table 5-3b, green: specific gravity, rupture and compression in lbf/in²; the table
    in MPa has one decimal. A living stem weighs at least 1.3 times its dry wood."""
    wood = BOOK.species[species]
    assert wood.rupture == pytest.approx(rupture * PSI, abs=0.06e6)
    assert wood.compression == pytest.approx(compression * PSI, abs=0.06e6)
    assert wood.stem_density == pytest.approx(1300.0 * gravity)


@pytest.mark.parametrize(
    ("block", "inches", "tons"),
    [("150", 5, 1.5), ("210", 8, 3.0), ("260", 9, 4.0), ("310", 12, 8.0)],
)
def test_wire_blocks_are_rated_as_the_next_smaller_sheave_of_bs_4018(
    block: str, inches: float, tons: float
) -> None:
    """BS 4018:1966, two parts of wire on one single block each: 5 in 1.5, 8 in 3.0, 9 in 4.0, 12 in 8.0 tons;
    twice that on the double block. Tons are taken as tonnes, the lesser reading."""
    single = BOOK.blocks[f"snatch-wire-{block}-bronze"]
    assert single.sheave_diameter >= inches * 0.0254
    assert single.wll == pytest.approx(1000.0 * tons * KGF)
    double = BOOK.blocks.get(f"double-wire-{block}-bronze")
    if double is not None:
        assert double.wll == pytest.approx(2000.0 * tons * KGF)


@pytest.mark.parametrize(
    ("species", "soil", "rooting", "coefficient"),
    [
        ("pine-scots", "free-draining", "shallow", 140.1),
        ("pine-scots", "deep-peat", "deep", 179.4),
        ("spruce-norway", "gleyed", "medium", 113.9),
        ("oak-european", "peaty", "shallow", 192.2),
        ("hemlock-western", "free-draining", "deep", 77.4),  # Byrne 2005, the lower of two studies
    ],
)
def test_overturning_coefficients_of_the_pulled_trees(
    species: str, soil: str, rooting: str, coefficient: float
) -> None:
    """Wind-risk model data, N·m of overturning moment per kg of stem."""
    assert BOOK.species[species].overturning[overturning_key(soil, rooting)] == coefficient


def test_stem_volume_of_a_scots_pine() -> None:
    """Fonweban 2012 equation 4, as worked: 30 cm and 20 m give 0.566 m³, 481 kg, 67.4 kN·m."""
    pine = BOOK.species["pine-scots"]
    assert pine.volume is not None
    p0, p1, p2 = pine.volume
    volume = p0 * 30**p1 * 20**p2
    assert volume == pytest.approx(0.566, abs=5e-4)
    assert volume * pine.stem_density == pytest.approx(481, abs=0.5)
    moment = volume * pine.stem_density * pine.overturning["free-draining/shallow"]
    assert moment == pytest.approx(67.4e3, abs=50)


def test_people_and_tyres() -> None:
    """Rescuer 50 lb on a haul line; tyres on wet grass 0.20, gravel or dirt road 0.35 (Noon)."""
    assert BOOK.footings["paved-dry"].per_person == pytest.approx(50 * LBF)
    assert BOOK.footings["wet-grass"].traction == 0.20
    assert BOOK.footings["gravel-road"].traction == 0.35


def test_hard_wheel_on_a_road() -> None:
    """Al-Eisawi 1999: f = 3.3 mm on asphalt; over a radius of 100 mm that is 0.033."""
    road = BOOK.surfaces["paved-hard-wheel"]
    assert road.wheel_radius == pytest.approx(0.1)
    assert road.likely == pytest.approx(3.3e-3 / 0.1)
    assert road.low == pytest.approx(2.2e-3 / 0.1)
    assert road.high == pytest.approx(4.5e-3 / 0.1)


def test_round_slings_in_kilograms() -> None:
    """EN 1492, quoted in a maker's manual: 1, 2 and 3 t by colour."""
    assert [BOOK.straps[f"round-sling-{t}t-2m"].wll for t in (1, 2, 3)] == pytest.approx(
        [1000 * KGF, 2000 * KGF, 3000 * KGF]
    )


@pytest.mark.parametrize(
    ("species", "rupture", "compression"),
    [
        ("cottonwood-eastern", 32.4, 13.6),
        ("cedar-northern-white", 26.9, 13.0),
        ("pine-red", 34.5, 16.3),
        ("aspen-bigtooth", 36.5, 16.5),
        ("spruce-red", 40.7, 19.4),
    ],
)
def test_no_more_than_of_the_same_species_grown_in_canada(
    species: str, rupture: float, compression: float
) -> None:
    """Wood Handbook 2021, Table 5-4b, green, MPa: less than of the trees of the United States. Where nobody
    knows the species, no tree stands less."""
    wood, unknown = BOOK.species[species], BOOK.species["unknown"]
    assert wood.rupture == pytest.approx(rupture * 1e6)
    assert wood.compression <= compression * 1e6 + 1.0
    assert unknown.rupture <= wood.rupture
    assert unknown.compression <= wood.compression
