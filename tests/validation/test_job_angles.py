"""Published loads by angle through the main job: blocks, two-legged slings, baskets round a trunk."""

from collections.abc import Iterator
from functools import cache
from math import cos, pi, radians, sin, tan

from tests.validation.checks import Check, Way, printed, share, worked_example
from tests.validation.jobs import (
    FAR,
    HIGH,
    SHACKLES,
    answer,
    blocks,
    carried,
    engine,
    hitch,
    leg,
    load,
    piece,
    rank,
    ring,
    rope,
    site,
    winch,
)

LBF = 4.4482216152605
FACTORS = {
    0: 2.00, 10: 1.99, 20: 1.97, 30: 1.93, 40: 1.87, 45: 1.84, 50: 1.81, 60: 1.73,
    70: 1.64, 80: 1.53, 90: 1.41, 100: 1.29, 110: 1.15, 120: 1.00, 130: 0.84, 135: 0.76,
    140: 0.68, 150: 0.52, 160: 0.35, 170: 0.17,
}  # fmt: skip
STANDS = 1000.0
"""N that the one block stands, far less than anything else in the fan."""


@cache
def fan(angles: tuple[int, ...], weight: str = "100 N", eta: float = 1.0) -> dict[int, float]:
    """Load on the one block, N, by the angle between its two parts, degrees: the line comes straight from a
    load as heavy to move as it weighs, and goes off to one engine for each angle. `rank` gives the margin of
    the weakest piece, which is the block."""
    engines = [
        engine(f"at {a}", FAR - 500.0 * cos(radians(a)), 500.0 * sin(radians(a))) for a in angles
    ]
    block = blocks(eta, 1).replace('rating = "900 kN"', f'rating = "{STANDS} N"')
    text = site(
        leg(resistance=1.0, length=0.1), load(weight), ring("ring", FAR), *engines,
        rope(), block, SHACKLES, sheaves=1,
    )  # fmt: skip
    found = {}
    for setup in rank(text):
        if setup["reeving"][:2] == ["load", f"ring@{HIGH} m"]:
            assert setup["weakest"].startswith("block"), setup["weakest"]
            found[int(setup["puller"].removeprefix("at "))] = STANDS / float(setup["margin"])
    return found


@worked_example("block-angle-tables", "angle factor", way=Way.JOB)
def test_angle_factors() -> Iterator[Check]:
    """Load on the block over line pull, included angle from 0 (parallel) to 170 degrees."""
    angles = tuple(FACTORS)
    ours = fan(angles[:10]) | fan(angles[10:])
    for angle, factor in FACTORS.items():
        yield Check(
            quantity=f"factor at {angle}°",
            published=factor,
            ours=ours[angle] / 100.0,
            unit="",
            tolerance=0.01,
            why="printed to 0.01 and cut, not rounded",
        )


@worked_example("block-angle-tables", "examples", way=Way.JOB)
def test_blocks_at_work() -> Iterator[Check]:
    """Line pulls of 1,000 lb at 50 and 135 degrees, 150 kg at 100, 500 lb at 30 and 90: of a tenth each, so
    that the block is the weakest piece."""
    ours = fan((30, 50, 90, 100, 135), "20 lbf")
    for pull, angle, load_, unit in (
        (1000.0, 50, 1810.0, "lbf"),
        (1000.0, 135, 760.0, "lbf"),
        (150.0, 100, 193.4, "kgf"),
        (500.0, 30, 965.0, "lbf"),
        (500.0, 90, 705.0, "lbf"),
    ):
        yield Check(
            quantity=f"{pull:g} {unit} at {angle}°",
            published=load_,
            ours=pull * ours[angle] / (20.0 * LBF),
            unit=unit,
            tolerance=0.01 * pull,
            why="from a factor cut to 0.01",
        )


@worked_example("tree-rescue-manual", "p. 115", way=Way.JOB)
def test_parallel_redirect() -> Iterator[Check]:
    """A line of 1 kN turned back on itself: twice on the anchor, not once. Here with a tenth of it."""
    yield Check(
        quantity="load on the anchor",
        published=2.0,
        ours=fan((0,), "0.1 kN")[0] / 100.0,
        unit="kN",
        tolerance=printed(2.0, 0.1),
        why="printed whole",
    )


@worked_example("university-physics", "§6.1", way=Way.JOB)
def test_two_tugs_at_right_angles() -> Iterator[Check]:
    """Two tugs pull at right angles with 2.7e5 and 3.6e5 N: as the parts of a rope at a block that passes on
    three quarters, where the two parts pull differently; a rule of equal parts gives 5.1e5."""
    ours = fan((90,), "27 N", eta=0.75)[90]
    yield Check(
        quantity="resultant",
        published=4.5e5,
        ours=ours * 1e4,
        unit="N",
        tolerance=printed(4.5e5, 1e3),
        why="two digits",
    )


def bridled(half: float, *, strap: str, weight: str = "1000 lbf") -> str:
    """Two legs of 1 m from hitches either side of the load to one line straight ahead; half: angle of a leg
    to the line [rad]."""
    aside = sin(half)
    return site(
        leg(resistance=1.0, length=0.1),
        load(
            weight,
            hitches=hitch("left", left=aside) + hitch("right", left=-aside),
            more='bridle = true\nbridle_leg = "1 m"',
        ),
        ring("ring", FAR),
        winch("ring"),
        rope(),
        strap,
        SHACKLES,
        sheaves=0,
    )


def legs(rating: str = "800 kN") -> str:
    """Two straps as legs."""
    return f"""[[gear]]
kind = "strap"
name = "leg"
length = "1 m"
width = "30 mm"
rating = "{rating}"
choker = 0.8
basket = 2
count = 2
condition = "new"
"""


LEG = "load: bridle leg"


def bridle(half: float, *, rating: str = "800 kN", weight: str = "1000 lbf") -> dict[str, float]:
    """What a leg carries and stands, and the pull, N."""
    found = answer(bridled(half, strap=legs(rating), weight=weight), "show", "1")
    assert found["attachment"].startswith("bridle")
    names = [c["name"] for c in found["components"] if "bridle leg from" in c["name"]]
    worst = max((piece(found, name) for name in names), key=lambda c: c["demand"])
    return {
        "leg": float(worst["demand"]),
        "stands": float(worst["capacity"]),
        "pull": carried(found, "winch: pull"),
    }


TENSION = {75: 1.035, 70: 1.064, 65: 1.104, 60: 1.155, 55: 1.221, 50: 1.305, 45: 1.414, 40: 1.555}


@worked_example("trade-sheets", "angle factors", way=Way.JOB)
def test_leg_angle_factors() -> Iterator[Check]:
    """Tension of a leg over its half of the pull, by the angle that the two legs make with the line between
    their ends (from the horizontal, for a sling)."""
    for angle, tension in TENSION.items():
        found = bridle(radians(90.0 - angle))
        yield Check(
            quantity=f"tension at {angle}°",
            published=tension,
            ours=found["leg"] / (found["pull"] / 2.0),
            unit="",
            tolerance=0.00101,
            why="printed to 0.001, some cut",
        )


@worked_example("osha-slings", "tables 1 and 2", way=Way.JOB)
def test_two_leg_slings() -> Iterator[Check]:
    """Alloy chain, two legs at 60 and 45 degrees from the horizontal: the pull at which the legs are just at
    their single rating."""
    for name, single, loads in (
        ("grade 80, 3/8 in", 7100.0, {60: 12300.0, 45: 10000.0}),
        ("grade 100, 1/2 in", 15000.0, {60: 26000.0, 45: 21200.0}),
    ):
        for angle, load_ in loads.items():
            found = bridle(radians(90.0 - angle), rating=f"{single} lbf")
            yield Check(
                quantity=f"{name}, {angle}°",
                published=load_,
                ours=found["pull"] * found["stands"] / found["leg"] / LBF,
                unit="lbf",
                tolerance=printed(load_, 100.0),
                why="printed to 100 lb",
            )


@worked_example("cfr-1915-118", "table G-1", way=Way.JOB)
def test_manila_bridles() -> Iterator[Check]:
    """Two-leg manila bridles at 60 and 45 degrees by the single leg's load."""
    for single, angle, load_ in ((200.0, 60, 346.0), (200.0, 45, 282.0), (270.0, 60, 467.0)):
        found = bridle(radians(90.0 - angle), rating=f"{single} lbf", weight="100 lbf")
        yield Check(
            quantity=f"single {single:g} lb, {angle}°",
            published=load_,
            ours=found["pull"] * found["stands"] / found["leg"] / LBF,
            unit="lbf",
            tolerance=printed(load_, 2.0),
            why="printed to 1 lb from 1.73 and 1.41",
        )


LENGTH = 3.0
"""m of the one strap."""


def girth(between: float) -> float:
    """Girth of the post, m, round which the strap's legs come together at that angle [rad]: plane geometry,
    two tangents and an arc."""
    half = between / 2.0
    return LENGTH / (2.0 / tan(half) + pi + 2.0 * half) * 2.0 * pi


@cache
def baskets(angles: tuple[int, ...], *, rating: float, basket: float = 2.0) -> dict[int, float]:
    """What the strap stands as a basket, N, by the angle between its legs, degrees: one post for each, and a
    line that comes back from a block there beside itself. The strap is the weakest piece, under
    two parts."""
    posts = [
        f"""[[anchor]]
name = "post {a}"
kind = "post"
at = ["{FAR} m", "{5 * k} m", "0 m"]
rating = "900 kN"
girth = "{girth(radians(a))} m"
strap_heights = ["{HIGH} m"]
"""
        for k, a in enumerate(angles)
    ]
    strap = f"""[[gear]]
kind = "strap"
name = "strap"
length = "{LENGTH} m"
width = "30 mm"
rating = "{rating} N"
choker = 0.1
basket = {basket}
condition = "new"
"""
    text = site(
        leg(resistance=1.0, length=0.1), load(f"{rating / 100.0} N"), *posts,
        engine("winch", 0.0, 1.0), rope(), strap, SHACKLES, blocks(1.0, 1), sheaves=1,
    )  # fmt: skip
    found = {}
    for setup in rank(text):
        place = setup["reeving"][1]
        if len(setup["reeving"]) == 3 and place.startswith("post"):
            assert "strap" in setup["weakest"], setup["weakest"]
            angle = int(place.split("@")[0].removeprefix("post "))
            found[angle] = float(setup["margin"]) * 2.0 * float(setup["pull_N"])
    return found


@worked_example("trade-sheets", "hitch factors", way=Way.JOB)
def test_baskets_round_a_post() -> Iterator[Check]:
    """A sling as a basket with its legs at 60, 90 and 120 degrees, over its straight rating. A rule without
    the angle gives 2 for all."""
    ours = baskets((60, 90, 120), rating=1000.0)
    for angle, factor in ((60, 1.73), (90, 1.41), (120, 1.0)):
        yield Check(
            quantity=f"basket, {angle}° between the legs",
            published=factor,
            ours=ours[angle] / 1000.0,
            unit="",
            tolerance=printed(factor, 0.01),
            why="printed to 0.01",
        )


@worked_example("cfr-1918-app2", "table 2", way=Way.JOB)
def test_natural_fibre_baskets() -> Iterator[Check]:
    """Natural-fibre rope slings, factor 5: baskets, legs 30, 45 and 60 degrees off plumb, by the straight
    sling's rating."""
    for name, single, loads in (
        ("5/8 in", 900.0, (1500.0, 1200.0, 900.0)),
        ("1 in", 1800.0, (3100.0, 2600.0, 1800.0)),
        ("2 in", 6200.0, (10500.0, 8800.0, 6200.0)),
    ):
        ours = baskets((60, 90, 120), rating=single * LBF)
        for angle, load_ in zip((60, 90, 120), loads, strict=True):
            yield Check(
                quantity=f"{name}, {angle // 2}° off plumb",
                published=load_,
                ours=ours[angle] / LBF,
                unit="lbf",
                tolerance=max(75.0, share(load_, 0.025)),
                why="single and basket both rounded to 50 or 100 lb",
            )
