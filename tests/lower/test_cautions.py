"""What the cautions of a way down state in figures: how hard it has to be pushed or pulled where it rests.

Closed forms of statics: along a slope of angle a, W (c cos a - sin a) moves a load down that friction c
keeps, and W (c cos a + sin a) moves it up.
"""

from math import atan2, cos, sin

import pytest

from shared.units import STANDARD_GRAVITY
from tests.lower.slope_site import on_a_post, site_text
from tests.piped import answered

WEIGHT = 400.0 * STANDARD_GRAVITY
Leg = tuple[float, str]
"""How much a leg of 10 m in plan rises on the way up, m, and what resists there."""
STEEP: Leg = (3.0, "0.1")
RESTS: Leg = (0.2, "0.1..0.15")
RESTS_MORE: Leg = (0.1, "0.2..0.3")
CLIMBS: Leg = (-0.2, "0.2..0.5")
CLIMBS_AND_RUNS: Leg = (-1.5, "0.1..0.2")


def down(*legs: Leg) -> str:
    """The site file of a path of legs, the lowest first."""
    text = site_text(0.0, "0.1", extra='knots = ["bowline", "round-turn-two-half-hitches"]')
    x, z, path = 0.0, 0.0, ""
    for rise, resists in legs:
        x, z = x + 10.0, z + rise
        path += f'[[path.leg]]\nto = ["{x} m", "0 m", "{z} m"]\nresistance = "{resists}"\n'
        path += "edge_protected = true\n"
    text = text[: text.index("[[path.leg]]")] + path + text[text.index("[load]") :]
    for beyond in ("14.0", "18.0", "26.0"):  # the oak and the people stand behind the upper end
        text = text.replace(f'"{beyond} m"', f'"{float(beyond) + x - 10.0} m"')
    text = text.replace(', "0.0 m"]\ndiameter', f', "{z} m"]\ndiameter')
    return text.replace('3 m", "0.0 m"]', f'3 m", "{z} m"]').replace('"50 m"', '"90 m"')


def cautions(*legs: Leg) -> dict[str, str]:
    """By key the cautions of the best way down a path of legs, the lowest first."""
    _, out = answered(down(*legs), "lower")
    best = out["setups"][0]
    return {caution["key"]: caution["text"] for caution in best["cautions"]}


def moved(leg: Leg) -> str:
    """The force that moves a load over a leg on its way down against the most that resists, as printed."""
    rise, resists = leg
    a, c = atan2(rise, 10.0), float(resists.split("..")[-1])
    return f"{WEIGHT * (c * cos(a) - sin(a)) / 1000.0:.2f} kN"


def test_it_is_pushed_as_hard_as_the_leg_takes_that_resists_most() -> None:
    """A leg that rises on the way down has a caution of its own."""
    found = cautions(STEEP, CLIMBS, RESTS_MORE, RESTS, STEEP)
    assert moved(RESTS_MORE) in found["push"]
    assert moved(RESTS) not in found["push"]
    assert moved(CLIMBS) in found["climbs"]


@pytest.mark.parametrize(
    ("legs", "runs"),
    [((STEEP, CLIMBS, STEEP), False), ((STEEP, CLIMBS_AND_RUNS, CLIMBS, STEEP), True)],
)
def test_where_it_climbs_it_may_run_back_from_a_part_of_the_way(
    legs: tuple[Leg, ...], runs: bool
) -> None:
    assert ("may run back" in cautions(*legs)["climbs"]) == runs


def test_a_stretch_of_two_legs_is_pushed_as_the_worse_one_takes() -> None:
    _, out = answered(down(STEEP, RESTS_MORE, RESTS, STEEP), "lower")
    _, rests, _ = out["zones"]
    assert rests["status"] == "rests"
    assert f"{rests['push_N'] / 1000.0:.2f} kN" == moved(RESTS_MORE)


def test_bark_is_cut_on_a_tree_only() -> None:
    """A post has none: it is not wrapped."""
    assert "Wrap oak" in cautions(STEEP)["bark"]
    _, out = answered(on_a_post(down(STEEP), "1.2 m"), "lower")
    assert not {"bark", "logging_rule"} & {c["key"] for c in out["setups"][0]["cautions"]}


def test_no_leg_that_resists_no_push_at_all() -> None:
    assert not {"push", "climbs"} & cautions(STEEP, STEEP).keys()
