"""Published worked adjustments, reproduced. Each network names its source in `networks`."""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import chi2, norm

from optimiser.site.survey.adjust import adjust, survey
from optimiser.site.survey.adjusted import IN_LENGTH, IN_PLAN, IN_SPACE, SUSPICIOUS, Adjusted
from optimiser.site.survey.misreadings import search
from optimiser.site.survey.network import Network
from optimiser.site.survey.solving import solutions
from tests.survey import networks
from tests.survey.networks import SECOND, dms


def heights(found: Adjusted) -> list[float]:
    return [place.at[2] for place in found.places]


def plan(found: Adjusted, name: str) -> tuple[float, float]:
    x, y, _ = found.place(name).at
    return x, y


def residuals(found: Adjusted) -> list[float]:
    return [one.residual for one in found.readings]


def unit_deviation(found: Adjusted) -> float:
    """Standard deviation of a reading of unit weight, by the residuals."""
    return math.sqrt(found.squares / found.redundant)


def test_trilateration() -> None:
    """Inputs published (Ghilani, example 14.2, feet); outputs worked out from them with numpy."""
    found = adjust(*networks.trilateration())
    assert plan(found, "U") == pytest.approx((6861.3168, 3727.8186), abs=1e-4)
    assert residuals(found) == pytest.approx([-0.0374, 0.0768, -0.0474], abs=1e-4)
    assert [one.redundancy for one in found.readings] == pytest.approx(
        [0.1464, 0.6183, 0.2352], abs=1e-4
    )
    assert unit_deviation(found) == pytest.approx(0.09766, abs=1e-5)
    assert found.place("U").covariance[:2, :2] == pytest.approx(
        np.array([[0.630189, -0.728354], [-0.728354, 2.494689]]), abs=1e-6
    )


def test_the_wrong_side_of_three_points_in_a_row_is_not_taken() -> None:
    """The three known points are almost in line: far off there is a second place where the sum of squares is
    least (residuals of hundreds of feet), and a start at the origin leads there."""
    found = solutions(Network(*networks.trilateration()))
    assert found[0].x == pytest.approx([6861.3168, 3727.8186], abs=1e-3)
    assert all(other.squares > 1e5 for other in found[1:])


def test_levelling_network() -> None:
    """Inputs and outputs published (Siki): residuals to 0.01 mm, tests to 0.1."""
    found = adjust(*networks.levelled())
    assert heights(found)[:3] == pytest.approx([104.2350, 103.4868, 102.9588], abs=6e-5)
    assert [1000 * v for v in residuals(found)] == pytest.approx(
        [0.81, -2.18, 0.00, 2.01, -0.81, 0.18], abs=0.0051
    )
    assert [one.standardised for one in found.readings] == pytest.approx(
        [1.9, 2.1, 0.0, 2.6, 0.7, 0.6], abs=0.051
    )
    assert [one.redundancy for one in found.readings] == pytest.approx(
        [0.3, 0.7, 0.5, 0.5, 0.7, 0.2], abs=0.051
    )
    assert (unit_deviation(found), found.squares) == pytest.approx((1.65, 8.217), abs=0.005)
    by_residuals = [
        1000 * math.sqrt(place.covariance[2, 2]) * 1.654998 for place in found.places[:3]
    ]
    assert by_residuals == pytest.approx([1.13, 1.19, 0.91], abs=0.0051)


def test_levelling_both_ways() -> None:
    """Inputs and outputs published (sample output of a free network adjustment program)."""
    found = adjust(*networks.levelled_both_ways())
    assert heights(found)[1:] == pytest.approx([998.77513, 997.93325, 999.27487], abs=6e-6)
    spread = [place.deviations[2] for place in found.places[1:]]
    assert [1000 * s for s in spread] == pytest.approx([3.1, 3.5, 3.1], abs=0.051)
    assert [1000 * IN_LENGTH * s for s in spread] == pytest.approx([6.0, 6.9, 6.0], abs=0.051)
    assert 5 * unit_deviation(found) == pytest.approx(5.42, abs=0.005)
    worst = max(found.readings, key=lambda one: one.standardised or 0.0)
    assert found.readings.index(worst) == 5
    assert worst.standardised == pytest.approx(1.68, abs=0.005)
    assert not any(one.suspicious for one in found.readings)
    assert found.agree


@pytest.mark.parametrize(
    ("weighted", "q", "r", "unit"),
    [(False, (815.418, 0.013), (802.962, 0.014), 0.028), (True, (815.424, 0.012), (802.958, 0.016), 0.067)],
)  # fmt: skip
def test_levelling_by_setups(
    weighted: bool, q: tuple[float, float], r: tuple[float, float], unit: float
) -> None:
    """Outputs published (Mahun); the page rounds on its way, so 0.002 ft."""
    found = adjust(*networks.levelled_by_setups(weighted))
    assert unit_deviation(found) == pytest.approx(unit, abs=0.002)
    for name, (height, deviation) in {"Q": q, "R": r}.items():
        place = found.place(name)
        assert place.at[2] == pytest.approx(height, abs=0.002)
        assert place.deviations[2] * unit_deviation(found) == pytest.approx(deviation, abs=0.002)


def test_angles_and_distances() -> None:
    """Inputs published, outputs by the laboratory's own program: places to 0.1 mm, ellipses to 1 µm."""
    found = adjust(*networks.angles_and_distances())
    assert plan(found, "P1") == pytest.approx((5656.9414, 2475.5609), abs=1e-4)
    assert plan(found, "P2") == pytest.approx((663.8917, 2944.0507), abs=1e-4)
    assert found.redundant == 14
    assert found.squares / found.redundant == pytest.approx(13.08406, abs=1e-4)
    assert found.readings[8].residual == pytest.approx(-6.37473e-5, abs=1e-9)
    assert found.readings[13].residual == pytest.approx(0.168777, abs=2e-6)
    for name, axes in {"P1": (0.030445, 0.027405), "P2": (0.054160, 0.048428)}.items():
        assert [half for half, _ in found.place(name).axes[:2]] == pytest.approx(axes, abs=1e-6)
    assert sum(one.redundancy for one in found.readings) == pytest.approx(14)
    assert not found.agree


def test_two_misreadings_in_it_are_found_one_after_the_other() -> None:
    """The set holds two blunders (the first step by the laboratory's program, the others worked out with
    numpy). Divided by the standard deviation that the residuals have themselves, none would exceed 3."""
    found = survey(*networks.angles_and_distances())
    assert [s.label for s in found.suspects] == ["A_P2_P1", "P1-B 3414.41"]
    assert [s.standardised for s in found.suspects] == pytest.approx([9.15, 9.07], abs=0.006)
    assert found.suspects[0].misread_by == pytest.approx(14.34 * SECOND, abs=0.005 * SECOND)
    assert found.suspects[1].misread_by == pytest.approx(-0.196, abs=0.0005)
    assert plan(found.adjusted, "P1") == pytest.approx((5656.9087, 2475.5543), abs=1e-4)
    assert plan(found.adjusted, "P2") == pytest.approx((663.8535, 2944.0507), abs=1e-4)
    assert found.adjusted.squares == pytest.approx(17.15, abs=0.006)
    assert found.adjusted.agree
    assert not found.first.agree
    by_residuals = [(one.standardised or 0) / 3.6172 for one in found.first.readings]
    assert max(by_residuals) < 3
    assert max(one.standardised or 0 for one in found.first.readings) > SUSPICIOUS


@pytest.mark.parametrize(
    ("line", "added", "standardised", "unit", "height"),
    [
        (4, 0.010, [1.10, 1.38, 2.35, 5.19, 7.05, 3.57], 1.96, [104.235184, 103.487142, 102.958924]),
        (3, 0.015, [4.57, 1.77, 2.96, 7.97, 3.62, 5.79], 0.866, [104.234488, 103.485617, 102.959298]),
        (0, 0.010, [5.40, 1.18, 4.32, 1.85, 4.15, 0.68], 1.530, [104.234216, 103.487799, 102.958920]),
    ],
)  # fmt: skip
def test_a_misread_line_of_levels_is_the_only_one_set_aside(
    line: int, added: float, standardised: list[float], unit: float, height: list[float]
) -> None:
    """Several innocent lines look suspicious beside it. Worked out with numpy from the published network."""
    points, readings = networks.levelled({line: added})
    found = survey(points, readings)
    assert [one.standardised for one in found.first.readings] == pytest.approx(
        standardised, abs=0.006
    )
    assert [s.label for s in found.suspects] == [readings[line].label]
    assert [one.set_aside for one in found.adjusted.readings] == [i == line for i in range(6)]
    assert heights(found.adjusted)[:3] == pytest.approx(height, abs=1e-6)
    assert unit_deviation(found.adjusted) == pytest.approx(unit, abs=0.005)


def test_levelling_of_eight_lines() -> None:
    """Inputs published (Mikhail and Ackermann, table 7-1); outputs worked out from them with numpy."""
    found = adjust(*networks.traverse_of_eight_lines())
    assert heights(found) == pytest.approx([800, 825.2206, 835.5354, 809.5339, 830.8460], abs=6e-5)
    assert residuals(found) == pytest.approx(
        [-0.1994, -0.0252, -0.3354, -0.1467, -0.0079, -0.1306, 0.1740, 0.1085], abs=6e-5
    )
    assert found.squares == pytest.approx(0.161714, abs=1e-6)


def test_three_distances_in_a_square() -> None:
    """Inputs published (Mikhail and Ackermann, chapter 9); outputs worked out from them with numpy."""
    found = adjust(*networks.unit_square())
    assert plan(found, "R") == pytest.approx((5.098615, 4.898630), abs=1e-6)
    assert residuals(found) == pytest.approx([-0.000377, 0.000534, -0.000377], abs=1e-6)


def test_ten_distances_between_four_points() -> None:
    """A published free network (Siki): half the readings are redundant, every one by a half."""
    points, readings, sides = networks.distances_alone()
    found = adjust(points, readings, sides=sides)
    assert found.redundant == 5
    assert found.squares == pytest.approx(1.0, abs=1e-4)
    assert unit_deviation(found) == pytest.approx(0.4472, abs=1e-4)
    assert [one.redundancy for one in found.readings] == pytest.approx([0.0] + [0.5] * 10, abs=1e-6)


def test_closed_traverse_of_five_legs() -> None:
    """Inputs and outputs published (Purdue University, ASM 215), feet: the compass rule, to 0.01 ft."""
    legs = [
        (dms(26, 10, 0), 285.10),
        (dms(104, 35, 0), 610.45),
        (dms(195, 30, 0), 720.48),
        (dms(358, 18, 0), 203.00),
        (dms(306, 54, 0), 647.02),
    ]
    found = adjust(*networks.closed_traverse(legs, (10000.0, 10000.0)))
    for name, (y, x) in {
        "B": (10255.96, 10125.66),
        "C": (10102.44, 10716.31),
        "D": (9408.37, 10523.62),
        "E": (9611.34, 10517.55),
    }.items():
        assert plan(found, name) == pytest.approx((x, y), abs=0.0101)


def test_closed_traverse_of_four_legs() -> None:
    """Inputs and outputs published (Mahun, solution to a traverse adjustment), feet: adjusted latitudes,
    departures, lengths and directions by the compass rule."""
    legs = [
        (dms(226, 54, 23), 639.15),
        (dms(0, 0, 0), 523.69),
        (dms(235, 2, 29), 409.54),
        (dms(79, 35, 2), 815.93),
    ]
    found = adjust(*networks.closed_traverse(legs, (0.0, 0.0)))
    corners = [plan(found, name) for name in "ABCDA"]
    steps = [(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(corners)]
    assert np.array(steps) == pytest.approx(
        np.array(
            [
                (-436.631, -466.761),
                (523.715, -0.023),
                (-234.640, -335.663),
                (147.556, 802.447),
            ]
        ),
        abs=0.0011,
    )
    lengths = [one.adjusted for one in found.readings[::2]]
    assert lengths == pytest.approx([639.150, 523.715, 409.544, 815.901], abs=0.0011)


def test_half_axes_of_95_percent() -> None:
    """Published: 2.45 in plan (Abramowitz and Stegun 26.3.21) and 1.96 of a length; in space 2.7955."""
    assert math.sqrt(-2 * math.log(0.05)) == pytest.approx(IN_PLAN, abs=5e-5)
    assert math.sqrt(chi2.ppf(0.95, 3)) == pytest.approx(IN_SPACE, abs=5e-5)
    assert norm.ppf(0.975) == pytest.approx(IN_LENGTH, abs=5e-5)
    assert norm.ppf(0.9995) == pytest.approx(SUSPICIOUS, abs=5e-5)


def test_the_limit_decides_what_is_set_aside() -> None:
    """With the two blunders gone the next reading stands at 2.60: below 3.29, so it stays."""
    points, readings = networks.angles_and_distances()
    network = Network(points, [obs for i, obs in enumerate(readings) if i not in (8, 13)])
    suspects, found = search(network, solutions(network))
    assert suspects == ()
    assert max(one.standardised or 0 for one in found.readings) == pytest.approx(2.60, abs=0.006)
