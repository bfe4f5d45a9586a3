"""What the catalogue has against the tables it was taken from, typed again from the sources."""

from collections.abc import Iterator

from catalogue.book import load_catalogue
from catalogue.trees import overturning_key
from tests.validation.checks import Check, Way, printed, share, worked_example

BOOK = load_catalogue()
MPA = 1e6
LBF = 4.4482216152605
SHORT_TON = 2000.0 * LBF

MANILA = {
    6: 540, 8: 900, 10: 1215, 11: 1575, 12: 2385, 14: 3105, 16: 3960, 18: 4860, 20: 5850,
    22: 6930, 24: 8100, 28: 10800, 30: 12150, 36: 16650, 48: 27900,
}  # fmt: skip
NYLON = {
    6: 1490, 8: 2300, 10: 3340, 11: 4500, 12: 5750, 14: 7200, 16: 9350, 18: 12800, 20: 15300,
    22: 18000, 28: 29800, 30: 33800, 36: 47800,
}  # fmt: skip
POLYPROPYLENE = {
    6: 1130, 8: 1710, 10: 2440, 11: 3160, 12: 3780, 14: 4600, 16: 5600, 18: 7650, 20: 8900,
    22: 10400, 28: 16500, 30: 18900, 36: 26800,
}  # fmt: skip


def ropes(fibre: str, table: dict[int, int]) -> Iterator[Check]:
    """Breaking strengths of one fibre by nominal diameter in mm."""
    for size, pounds in table.items():
        mbs = BOOK.ropes[f"{fibre}-{size}"].mbs
        assert mbs is not None
        yield Check(
            quantity=f"{fibre} {size} mm",
            published=float(pounds),
            ours=mbs / LBF,
            unit="lbf",
            tolerance=share(pounds, 0.002),
            why="as printed",
        )


@worked_example("ci-1308", "table", way=Way.TABLE)
def test_manila_strengths() -> Iterator[Check]:
    """New three-strand manila, breaking strength."""
    yield from ropes("manila", MANILA)


@worked_example("rope-table-3strand", "table", way=Way.TABLE)
def test_nylon_and_polypropylene_strengths() -> Iterator[Check]:
    """New three-strand nylon and polypropylene, breaking strength."""
    yield from ropes("nylon", NYLON)
    yield from ropes("polypropylene", POLYPROPYLENE)


@worked_example("cfr-393-108", "chain", way=Way.TABLE)
def test_chain_working_loads() -> Iterator[Check]:
    """Working load of chain by grade and size."""
    table = {
        7: (1300, 2600, 3150, 3500, 4300), 8: (1900, 3900, 4700, 4500, 5700),
        10: (2650, 5400, 6600, 7100, 8800), 11: (3700, 7200, 8750, None, None),
        13: (4500, 9200, 11300, 12000, 15000), 16: (6900, 13000, 15800, 18100, 22600),
    }  # fmt: skip
    for size, row in table.items():
        for grade, pounds in zip((30, 43, 70, 80, 100), row, strict=True):
            if pounds is None:
                continue
            wll = BOOK.chains[f"chain-{size}-g{grade}"].wll
            assert wll is not None
            yield Check(
                quantity=f"{size} mm, grade {grade}",
                published=float(pounds),
                ours=wll / LBF,
                unit="lbf",
                tolerance=printed(pounds, 1.0),
                why="as printed",
            )


@worked_example("trade-sheets", "shackles, RR-C-271 type", way=Way.TABLE)
def test_shackle_working_loads() -> Iterator[Check]:
    """Stamped bow shackles by bow diameter, short tons."""
    table = {
        10: 1.0, 11: 1.5, 13: 2.0, 16: 3.25, 19: 4.75, 22: 6.5, 25: 8.5, 28: 9.5, 32: 12.0,
    }  # fmt: skip
    for size, tons in table.items():
        wll = BOOK.shackles[f"shackle-{size}"].wll
        assert wll is not None
        yield Check(
            quantity=f"{size} mm",
            published=tons,
            ours=wll / SHORT_TON,
            unit="short ton",
            tolerance=printed(tons, 0.01),
            why="metric or short ton is not told on the sheets: short, the lesser, is safe",
        )


@worked_example("knot-tables", "share of strength kept", way=Way.TABLE)
def test_what_knots_and_splices_keep() -> Iterator[Check]:
    """Share of the rope's strength that knots and splices keep."""
    for knot, kept in (
        ("eye-splice", 95), ("short-splice", 90), ("two-half-hitches", 75), ("clove-hitch", 75),
        ("anchor-bend", 70), ("timber-hitch", 70), ("bowline", 60), ("bowline-on-bight", 60),
    ):  # fmt: skip
        yield Check(
            quantity=knot.replace("-", " "),
            published=float(kept),
            ours=100.0 * BOOK.terminations[knot].keeps,
            unit="%",
            tolerance=1e-9,
            why="not above the table; 50 % is the planning value for any knot (ci-1401)",
            relation="at most",
        )


@worked_example("wire-rope-manual", "p. 88", way=Way.TABLE)
def test_bearings_are_on_the_safe_side() -> Iterator[Check]:
    """K 1.09 for plain and 1.04 for anti-friction bearings: ours must not pass on more."""
    for bearing, k in (("plain", 1.09), ("bronze", 1.09), ("roller", 1.04)):
        yield Check(
            quantity=f"{bearing}: share passed on",
            published=1.0 / k,
            ours=BOOK.bearings[bearing].eta,
            unit="",
            tolerance=1e-4,
            why="where conventions disagree the heavier loss is taken",
            relation="at most",
        )


@worked_example("wood-handbook", "table 5-3a", way=Way.TABLE)
def test_green_wood_read_in_the_handbook() -> Iterator[Check]:
    """Green rupture and compression strength of the rows read on the page, MPa."""
    table = {
        "pine-ponderosa": (35.0, 16.9), "pine-shortleaf": (51.0, 24.3),
        "pine-slash": (60.0, 26.3), "pine-virginia": (50.0, 23.6),
        "pine-western-white": (32.0, 16.8),
    }  # fmt: skip
    for name, strengths in table.items():
        species = BOOK.species[name]
        ours = (species.rupture, species.compression)
        for what, published, value in zip(("rupture", "compression"), strengths, ours, strict=True):
            yield Check(
                quantity=f"{name.replace('-', ' ')}: {what}",
                published=published,
                ours=value / MPA,
                unit="MPa",
                tolerance=share(published, 0.002),
                why="as printed",
            )


@worked_example("wind-risk-trees", "species parameters", way=Way.TABLE)
def test_overturning_coefficients() -> Iterator[Check]:
    """Overturning coefficients by soil and rooting, N·m per kg of stem."""
    for name, cells in {
        "pine-scots": (("free-draining", "shallow", 140.1), ("gleyed", "shallow", 124.2)),
        "spruce-norway": (("free-draining", "shallow", 126.0), ("gleyed", "deep", 129.9)),
        "spruce-sitka": (("free-draining", "deep", 178.1), ("deep-peat", "medium", 172.1)),
        "fir-douglas": (("free-draining", "shallow", 146.3), ("peaty", "shallow", 141.6)),
        "larch-european": (("free-draining", "medium", 148.6), ("gleyed", "medium", 131.7)),
        "oak-european": (("free-draining", "shallow", 198.5), ("gleyed", "shallow", 176.0)),
    }.items():
        for soil, rooting, published in cells:
            yield Check(
                quantity=f"{name.replace('-', ' ')}, {soil}, {rooting}",
                published=published,
                ours=BOOK.species[name].overturning[overturning_key(soil, rooting)],
                unit="N·m/kg",
                tolerance=1e-9,
                why="as printed",
            )


@worked_example("noon-1994", "traction", way=Way.TABLE)
def test_footings() -> Iterator[Check]:
    """Traction of tyres: wet grass 0.20, gravel road 0.35, asphalt dry 0.65 and wet 0.50."""
    for footing, published in (
        ("wet-grass", 0.20), ("gravel-road", 0.35), ("paved-dry", 0.65), ("paved-wet", 0.50),
    ):  # fmt: skip
        yield Check(
            quantity=footing.replace("-", " "),
            published=published,
            ours=BOOK.footings[footing].traction,
            unit="",
            tolerance=1e-9,
            why="not above the published value",
            relation="at most",
        )
