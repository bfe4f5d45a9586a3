"""What two trees with a sling carry, against published shares and statics, through a site file and `rank`."""

from math import cos, degrees, exp, hypot, pi, radians, sin

import pytest

from tests.shared.orchard import in_full, orchard, shared

PUBLISHED = {30: 0.52, 60: 0.58, 90: 0.71, 120: 1.00}
"""Share of the load on each of two anchors by the angle between the legs, degrees: a climbing-anchor
handbook, page 61 (`anchor-handbook` in the list of sources), in whole percent."""
ROUNDED = 0.0051


@pytest.mark.parametrize("angle", PUBLISHED)
def test_each_leg_carries_the_published_share(angle: int) -> None:
    found = shared(orchard(f'trees = ["ash", "elm"]\nangle = "{angle} deg"'))
    sling = found["to_make"][0]["sling"]
    assert sling["even_N"] / sling["pull_N"] == pytest.approx(PUBLISHED[angle], abs=ROUNDED)
    assert sling["even_N"] == pytest.approx(sling["pull_N"] / (2.0 * cos(radians(angle) / 2.0)))
    assert sling["angle_most_deg"] == pytest.approx(angle)
    # The trees stand 2 m apart: each leg is half of that over the sine of half the angle.
    assert sling["legs_m"] == pytest.approx(2.0 / sin(radians(angle) / 2.0))


def test_the_bow_makes_one_leg_tighter() -> None:
    """A bow that bends the sling by 120 degrees holds back e^(0.31 x 2/3 pi) = 1.91 times; two such forces,
    60 degrees apart, are the pull. Friction: roping-friction, bars of 10 and 12 mm, the highest measured."""
    found = shared(orchard())
    sling = found["to_make"][0]["sling"]
    tight, slack = exp(0.31 * (pi - radians(60.0))), 1.0
    pull = hypot(tight * cos(radians(30.0)) + slack * cos(radians(30.0)), (tight - slack) * 0.5)
    assert sling["tighter_N"] / sling["pull_N"] == pytest.approx(tight / pull)
    assert degrees(2.0 * pi / 3.0) == pytest.approx(120.0)


def test_sling_and_trees_carry_the_tighter_leg() -> None:
    text = orchard()
    listed = shared(text)
    sling = listed["to_make"][0]["sling"]
    found = in_full(text, listed["rank"])
    pieces = {piece["item"]: piece for piece in found["components"]}
    assert pieces["short rope"]["demand"] == pytest.approx(sling["tighter_N"])
    for tree in ("ash", "elm"):  # tied 0.5 m up, and 0.3 m are added to every strap's height
        assert pieces[tree]["demand"] == pytest.approx(sling["tighter_N"] * 0.8)
    # Over the bow the sling keeps half: 28.62 kN / 7 of a new rope of 14 mm (rope-tables-web).
    assert pieces["short rope"]["capacity"] == pytest.approx(28_620.0 / 7.0 * 0.5, rel=1e-3)
