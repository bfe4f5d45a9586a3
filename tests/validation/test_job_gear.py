"""Published strengths of gear, trees, tyres and people through the main job: what each stands."""

from collections.abc import Iterator
from functools import cache
from typing import Any

from tests.validation.checks import Check, Way, printed, share, worked_example
from tests.validation.jobs import (
    FAR,
    HIGH,
    SHACKLES,
    answer,
    blocks,
    engine,
    leg,
    load,
    piece,
    ring,
    rope,
    site,
)

LBF = 4.4482216152605
KGF = 9.80665
SHORT_TON = 2000.0 * LBF


def owned(id_: str, *, count: int = 4, more: str = "") -> str:
    """A piece of the catalogue, as new."""
    return f'[[gear]]\nid = "{id_}"\ncount = {count}\ncondition = "new"\n{more}\n'


def catalogue_rope(id_: str, ends: str = '["eye-splice", "eye-splice"]') -> str:
    """A rope of the catalogue."""
    return owned(id_, count=1, more=f'name = "line"\nlength = "60 m"\nends = {ends}')


@cache
def straight(
    *gear: str, puller: str = engine("winch", 20.0, 0.0), weight: str = "10 N"
) -> dict[str, Any]:
    """A load hauled by a straight line, explained."""
    text = site(
        leg(resistance=1.0, length=0.06), load(weight), ring("ring", 40.0), puller, *gear, sheaves=0
    )
    return answer(text, "show", "1")


def stands(found: dict[str, Any], name: str) -> float:
    """What the piece stands, N."""
    return float(piece(found, name)["capacity"])


@worked_example("knot-tables", "share of strength kept", way=Way.JOB)
def test_knots() -> Iterator[Check]:
    """What the standing end stands over the rope itself, by the knot that is tied."""
    for knot, kept in (("bowline", 60), ("anchor-bend", 70), ("bowline-on-bight", 60)):
        bare = catalogue_rope("manila-24", '["bare", "bare"]')
        text = site(
            leg(resistance=1.0, length=0.06), load("10 N"), ring("ring", 40.0),
            engine("winch", 20.0, 0.0), bare, SHACKLES, sheaves=0,
            preferences=f'knots = ["{knot}"]',
        )  # fmt: skip
        found = answer(text, "show", "1")
        (end,) = (
            c["capacity"] for c in found["components"] if c["name"].startswith("line: standing end")
        )
        yield Check(
            quantity=knot.replace("-", " "),
            published=float(kept),
            ours=100.0 * float(end) / stands(found, "line: the rope itself"),
            unit="%",
            tolerance=1e-6,
            why="not above the table",
            relation="at most",
        )


@worked_example("knot-tables", "share of strength kept", way=Way.JOB)
def test_eye_splice() -> Iterator[Check]:
    """The same of a spliced eye: 95 %."""
    found = straight(catalogue_rope("manila-24"), SHACKLES)
    (end,) = (
        c["capacity"] for c in found["components"] if c["name"].startswith("line: standing end")
    )
    yield Check(
        quantity="eye splice",
        published=95.0,
        ours=100.0 * float(end) / stands(found, "line: the rope itself"),
        unit="%",
        tolerance=1e-6,
        why="not above the table",
        relation="at most",
    )


PRINTED = {
    "manila": {6: 54, 8: 90, 10: 122, 12: 264, 16: 496, 18: 695},
    "nylon": {6: 124, 10: 278, 12: 525, 16: 935, 18: 1420, 22: 2000},
    "polypropylene": {6: 113, 10: 244, 12: 420, 16: 700, 18: 1090},
}
"""lbf by nominal diameter, mm."""


@worked_example("rope-working-loads", "table", way=Way.JOB)
def test_working_loads_of_rope() -> Iterator[Check]:
    """Greatest working load of three-strand rope. One factor of 7 for every size would give 341 lbf for
    manila, and 821 for nylon, of 12 mm."""
    for fibre, loads in PRINTED.items():
        for size, pounds in loads.items():
            found = straight(catalogue_rope(f"{fibre}-{size}"), SHACKLES)
            yield Check(
                quantity=f"{fibre} {size} mm",
                published=float(pounds),
                ours=stands(found, "line: the rope itself") / LBF,
                unit="lbf",
                tolerance=share(pounds, 0.008),
                why="strength over a whole factor; the two tables' strengths differ by up to 0.5 %",
            )


@worked_example("en-1492", "mode factors", way=Way.JOB)
def test_round_sling_as_a_basket() -> Iterator[Check]:
    """A round sling of 2 t round a post so thin that its legs are all but parallel: 4 t."""
    post = f"""[[anchor]]
name = "post"
kind = "post"
at = ["{FAR} m", "0 m", "0 m"]
rating = "900 kN"
girth = "0.05 m"
strap_heights = ["{HIGH} m"]
"""
    text = site(
        leg(resistance=1.0, length=0.06), load("10 N"), post, engine("winch", 0.0, 1.0),
        rope(), blocks(1.0, 1), owned("round-sling-2t-2m"), SHACKLES, sheaves=1,
    )  # fmt: skip
    sling = piece(answer(text, "show", "1"), "round-sling-2t-2m at post@0.5 m, basket")
    yield Check(
        quantity="2 t as a basket",
        published=4.0,
        ours=float(sling["capacity"]) / KGF / 1000.0,
        unit="t",
        tolerance=printed(4.0, 0.1),
        why="printed to 0.1",
    )


def of_shackle(id_: str) -> float:
    """What a shackle of the catalogue stands in the line, N."""
    found = straight(rope(60.0), owned(id_))
    return stands(found, f"{id_} at load, joins the standing end to the hitch")


@worked_example("navedtra-14251", "ch. 6", way=Way.JOB)
def test_unmarked_shackle() -> Iterator[Check]:
    """Safe load of an unmarked shackle 5/8 in thick: 3 D² tons, 1.1719."""
    ours = of_shackle("shackle-16-unmarked")
    for published, unit, size, last in (
        (1.1719, "short ton", SHORT_TON, 1e-4),
        (2343.8, "lbf", LBF, 0.1),
    ):
        yield Check(
            quantity="safe load", published=published, ours=ours / size, unit=unit,
            tolerance=printed(published, last), why=f"printed to {last:g}",
        )  # fmt: skip


@worked_example("trade-sheets", "shackles, RR-C-271 type", way=Way.JOB)
def test_stamped_shackles() -> Iterator[Check]:
    """Stamped bow shackles of 1/2 and 5/8 in, short tons."""
    for size, tons in ((13, 2.0), (16, 3.25)):
        yield Check(
            quantity=f"{size} mm", published=tons, ours=of_shackle(f"shackle-{size}") / SHORT_TON,
            unit="short ton", tolerance=printed(tons, 0.01), why="as printed",
        )  # fmt: skip


BENDS = ((40, 95), (30, 93), (20, 91), (15, 89), (10, 86))


@worked_example("trade-sheets", "D/d", way=Way.JOB)
def test_wire_over_a_sheave() -> Iterator[Check]:
    """What wire of 10 mm stands on a sheave of D / d times that, over what it stands straight."""
    wire = rope(more='rating = "50 kN"\nknottable = false').replace("12 mm", "10 mm")
    wire = wire.replace('"polyester"', '"wire"').replace('"eye-splice"', '"wire-sleeve"')
    for ratio, kept in BENDS:
        text = site(
            leg(resistance=1.0, length=0.06), load("10 N"), ring("ring", FAR),
            engine("winch", 0.0, 1.0), wire, blocks(1.0, 1, sheave=f"{ratio} cm"), SHACKLES,
            sheaves=1,
        )  # fmt: skip
        found = answer(text, "show", "1")
        over = [c["capacity"] for c in found["components"] if c["name"].startswith("line: over")]
        yield Check(
            quantity=f"D / d = {ratio}",
            published=float(kept),
            ours=100.0 * float(min(over)) / stands(found, "line: the rope itself"),
            unit="%",
            tolerance=1e-6,
            why="as printed",
        )


def tyres(ground: str, *, weight: str = "20 kN", driven: float = 1.0) -> float:
    """What a vehicle on the level pulls, N."""
    drives = engine("winch", 20.0, 0.0).replace('pull = "200 kN"\nweight = "40 t"', "")
    drives += f'weight = "{weight}"\ndriven_share = {driven}\nfooting = "{ground}"\n'
    return stands(straight(rope(60.0), SHACKLES, puller=drives), "winch: pull")


@worked_example("noon-1994", "traction", way=Way.JOB)
def test_vehicle_on_level_ground() -> Iterator[Check]:
    """Pull over weight on driven wheels (six tenths of 20 kN) by the catalogue's footings."""
    for ground, traction in (("gravel-road", 0.35), ("paved-dry", 0.65), ("paved-wet", 0.50)):
        yield Check(
            quantity=ground.replace("-", " "),
            published=traction,
            ours=tyres(ground, driven=0.6) / 12e3,
            unit="",
            tolerance=1e-9,
            why="level ground, level line",
        )


@worked_example("tree-rescue-manual", "p. 214", way=Way.JOB)
def test_vehicle_as_an_anchor_on_grass() -> Iterator[Check]:
    """A vehicle of 3 t, all wheels braked, drags at about 10 kN."""
    yield Check(
        quantity="drags at",
        published=10.0,
        ours=tyres("grass", weight="3000 kg") / 1e3,
        unit="kN",
        tolerance=0.5,
        why='printed as "about 10"',
    )


@worked_example("firehouse", "mechanical advantage, parts 1 and 2", way=Way.JOB)
def test_nine_people_on_a_line() -> Iterator[Check]:
    """Nine people on firm ground: 450 lb, 50 lb each."""
    nine = f"""[[puller]]
kind = "people"
name = "nine"
count = 9
footing = "earth-dry"
at = ["20 m", "0 m", "0 m"]
heading = "0 deg"
hand_height = "{HIGH} m"
run = "10 m"
"""
    bare = rope(60.0).replace('["eye-splice", "eye-splice"]', '["eye-splice", "bare"]')
    yield Check(
        quantity="pull",
        published=450.0,
        ours=stands(straight(bare, SHACKLES, puller=nine), "nine: pull") / LBF,
        unit="lbf",
        tolerance=printed(450.0, 1.0),
        why="a product",
    )


@worked_example("push-limits", "whole body, standing", way=Way.JOB)
def test_one_person_on_a_line() -> Iterator[Check]:
    """One person stands and pulls, never more than 225 N: on firm earth, on grass."""
    bare = rope(60.0).replace('["eye-splice", "eye-splice"]', '["eye-splice", "bare"]')
    for footing in ("earth-dry", "grass"):
        one = f"""[[puller]]
kind = "people"
name = "one"
count = 1
footing = "{footing}"
at = ["20 m", "0 m", "0 m"]
heading = "0 deg"
hand_height = "{HIGH} m"
run = "10 m"
"""
        yield Check(
            quantity=footing.replace("-", " "),
            published=225.0,
            ours=stands(straight(bare, SHACKLES, puller=one), "one: pull"),
            unit="N",
            tolerance=0.0,
            why="what is counted on stays below what is never exceeded",
            relation="at most",
        )


TREES = (
    # species, soil, rooting, N·m per kg of stem
    ("pine-scots", "free-draining", "shallow", 140.1),
    ("spruce-sitka", "free-draining", "deep", 178.1),
    ("fir-douglas", "peaty", "shallow", 141.6),
    ("oak-european", "gleyed", "shallow", 176.0),
)


@cache
def tree(
    species: str, soil: str, rooting: str, size: str = "30 cm", tall: str = "20 m"
) -> dict[str, float]:
    """The figures that a tree's strength is worked out from, as `show` prints them, with a block there."""
    stem = f"""[[tree]]
name = "tree"
at = ["{FAR} m", "0 m", "0 m"]
diameter = "{size}"
species = "{species}"
soil = "{soil}"
rooting = "{rooting}"
tree_height = "{tall}"
strap_heights = ["{HIGH} m"]
"""
    text = site(
        leg(resistance=1.0, length=0.06), load("10 N"), stem, engine("winch", 0.0, 1.0),
        rope(), blocks(1.0, 1), owned("sling-30-3m"), SHACKLES, sheaves=1,
    )  # fmt: skip
    found = piece(answer(text, "show", "1"), "tree (tree)")
    return {f["name"]: float(f["value"]) for f in found["factors"]} | {
        "capacity": float(found["capacity"])
    }


@worked_example("wind-risk-trees", "species parameters", way=Way.JOB)
def test_pulled_trees() -> Iterator[Check]:
    """Overturning moment over the mass of the stem, by species, soil and rooting: a stem of 30 cm, 20 m."""
    for species, soil, rooting, published in TREES:
        found = tree(species, soil, rooting)
        yield Check(
            quantity=f"{species}, {soil}, {rooting}",
            published=published,
            ours=found["overturning moment"] / found["stem mass"],
            unit="N·m/kg",
            tolerance=share(published, 1e-9),
            why="as printed",
        )


@worked_example("wood-handbook-2021", "table 5-3b, green", way=Way.JOB)
def test_green_wood_of_a_tree() -> Iterator[Check]:
    """Rupture and crushing strength of green hickory and tamarack, lbf/in²: `show` of a tree."""
    psi = LBF / 0.0254**2
    for species, rupture, compression in (
        ("hickory-shagbark", 11000.0, 4580.0), ("tamarack", 7200.0, 3480.0),
    ):  # fmt: skip
        found = tree(species, "free-draining", "shallow")
        for what, published in (("rupture", rupture), ("compression", compression)):
            yield Check(
                quantity=f"{species}: {what}",
                published=published,
                ours=found[f"{what}, green"] / psi,
                unit="lbf/in²",
                tolerance=0.06e6 / psi,
                why="the catalogue has MPa with one decimal",
            )


@worked_example("detter-2023", "table A3", way=Way.JOB)
def test_share_of_overturning_at_a_quarter_degree() -> Iterator[Check]:
    """The overturning moment is 2.5 times the moment at 0.25 degrees of base tilt: what a pull may use."""
    found = tree("pine-scots", "free-draining", "shallow")
    yield Check(
        quantity="overturning / what may be used of it",
        published=2.5,
        ours=found["overturning moment"] / found["allowed: overturning of the root plate"],
        unit="",
        tolerance=1e-9,
        why="the share allowed keeps the base within that tilt",
    )
