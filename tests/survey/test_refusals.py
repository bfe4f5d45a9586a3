"""Readings that give no places, each reason by itself with what would help; closed forms where they do."""

import math
from collections.abc import Sequence

import pytest

from optimiser.site.survey.adjust import adjust, survey
from optimiser.site.survey.adjusted import Known, Side
from optimiser.site.survey.observations import (
    Above,
    Along,
    Axis,
    Bearing,
    Coordinate,
    Direction,
    HeightDifference,
    HorizontalAngle,
    Left,
    LevelDistance,
    Observation,
    SlopeDistance,
    VerticalAngle,
    on_line,
)
from optimiser.site.survey.refusals import (
    Contradicting,
    Flat,
    Mirrored,
    NotMeeting,
    OtherSide,
    SurveyError,
    TooFew,
)

POINTS = {
    "foot": Known.at((0.0, 0.0, 0.0)),
    "top": Known.at((12.0, 0.0, 5.0)),
    "ash": Known(),
}
FAR = {**POINTS, "post": Known.at((4.0, 7.0, 1.0))}


def tape(start: str, length: float, end: str = "ash", sigma: float = 0.02) -> Observation:
    return SlopeDistance(
        start=start, end=end, value=length, sigma=sigma, label=f"tape {start} {end}"
    )


def level(start: str, length: float, end: str = "ash") -> Observation:
    return LevelDistance(
        start=start, end=end, value=length, sigma=0.02, label=f"level {start} {end}"
    )


def rise(start: str, height: float, end: str = "ash") -> Observation:
    return HeightDifference(
        start=start, end=end, value=height, sigma=0.05, label=f"rise {start} {end}"
    )


def refusals(
    readings: Sequence[Observation],
    points: dict[str, Known] | None = None,
    sides: Sequence[Side] = (),
) -> list[object]:
    with pytest.raises(SurveyError) as caught:
        survey(points or POINTS, readings, sides=sides)
    return list(caught.value.refusals)


def worded(refusal: object) -> str:
    assert isinstance(refusal, TooFew | Flat | NotMeeting | Contradicting | Mirrored | OtherSide)
    return refusal.worded(lambda metres: f"{metres:.1f} m")


def test_one_distance_leaves_two_directions_open() -> None:
    (found,) = refusals([tape("foot", 9.0)])
    assert found == TooFew(point="ash", labels=("tape foot ash",), height=False, others=2)
    assert "two more readings" in worded(found)


def test_two_level_distances_leave_the_height_open() -> None:
    (found,) = refusals([level("foot", 9.0), level("top", 8.0)])
    assert isinstance(found, TooFew)
    assert (found.height, found.others) == (True, 0)
    assert (
        worded(found)
        == "too few readings for ash: measure a height difference or an angle up or down"
    )


def test_two_tapes_and_no_height_leave_one_direction_open() -> None:
    (found,) = refusals([tape("foot", 9.0), tape("top", 8.0)])
    assert worded(found) == "too few readings for ash: measure one more distance or an angle"


def test_what_hangs_on_an_open_point_is_not_blamed() -> None:
    points = {**POINTS, "oak": Known()}
    turn = HorizontalAngle(at="ash", start="foot", end="oak", value=1.0, sigma=0.1, label="turn")
    further = [tape("ash", 3.0, "oak"), rise("ash", 1.0, "oak"), turn]
    found = refusals([tape("foot", 9.0), rise("foot", 2.0), *further], points)
    assert [getattr(one, "point", None) for one in found] == ["ash"]


def test_one_bearing_alone_says_nothing() -> None:
    """Where north is stays open with it: as long as nothing else is taken with the compass it is no help."""
    bearing = Bearing(start="foot", end="ash", value=0.3, sigma=0.02, label="bearing")
    (found,) = refusals([tape("foot", 9.0), rise("foot", 2.0), bearing])
    assert found.__class__ is TooFew
    on_path = Bearing(start="foot", end="top", value=0.9, sigma=0.02, label="path")
    placed = adjust(POINTS, [tape("foot", 9.0), rise("foot", 2.0), bearing, on_path])
    assert placed.place("ash").at[1] > 0


def test_nothing_known_of_a_height() -> None:
    """No fixed height: the datum is missing (a fixture of published network programs)."""
    points = {"a": Known(x=0.0, y=0.0), "b": Known(x=0.0, y=0.0)}
    found = refusals([rise("a", 1.0, "b")], points)
    assert all(isinstance(one, TooFew) and one.height for one in found)
    assert found


def test_two_lines_of_levels_by_their_lengths() -> None:
    """Closed form: weights 1 and 1/4, so (4 x 101.000 + 100.999) / 5 (a published fixture)."""
    points = {"a": Known.at((0, 0, 100.0)), "b": Known(x=0.0, y=0.0)}
    lines = [
        HeightDifference(start="a", end="b", value=value, sigma=sigma, label=f"{value}")
        for value, sigma in ((1.000, 0.001), (0.999, 0.002))
    ]
    found = adjust(points, lines)
    assert found.place("b").at[2] == pytest.approx(100.9998)
    assert [one.residual for one in found.readings] == pytest.approx([-0.0002, 0.0008])


def test_circles_that_do_not_meet_say_by_how_much() -> None:
    """12 m apart in plan: 6.0 m and 5.2 m of level tape lack 0.8 m."""
    (found,) = refusals([level("foot", 6.0), level("top", 5.2), rise("foot", 2.0)])
    assert isinstance(found, NotMeeting)
    assert found.gap == pytest.approx(0.8)
    assert found.labels == ("level foot ash", "level top ash")
    assert worded(found).startswith("the distances of ash from foot and top do not meet by 0.8 m")


def test_a_circle_inside_the_other_says_by_how_much() -> None:
    (found,) = refusals([level("foot", 18.0), level("top", 5.2), rise("foot", 2.0)])
    assert isinstance(found, NotMeeting)
    assert found.within
    assert found.gap == pytest.approx(0.8)


def test_circles_that_touch_call_for_a_reading_from_the_side() -> None:
    (found,) = refusals([level("foot", 7.0), level("top", 5.0), rise("foot", 2.0)])
    assert isinstance(found, Flat)
    assert "sideways" in worded(found)


def test_tapes_on_one_level_hardly_say_how_high() -> None:
    points = {
        "a": Known.at((0.0, 0.0, 0.0)),
        "b": Known.at((9.0, 0.0, 0.0)),
        "c": Known.at((2.0, 8.0, 0.0)),
        "ash": Known(),
    }
    true = (5.0, 4.0, 0.05)
    readings = [
        tape(name, math.dist(true, (at.x or 0, at.y or 0, at.z or 0)))
        for name, at in points.items()
        if name != "ash"
    ]
    (found,) = refusals(readings, points)
    assert isinstance(found, Flat)
    assert found.height
    assert "how high" in worded(found)


MIRRORED = [level("foot", 9.0), level("top", 8.0), rise("foot", 2.0)]


def test_mirror_images_are_a_question() -> None:
    (found,) = refusals(MIRRORED)
    assert isinstance(found, Mirrored)
    x = (9.0**2 - 8.0**2 + 12.0**2) / 24.0
    y = math.sqrt(81.0 - x * x)
    first, second = sorted(found.at, key=lambda at: at[1])
    assert first == pytest.approx((x, -y, 2.0))
    assert second == pytest.approx((x, y, 2.0))
    assert "left or right of the line from foot to top?" in worded(found)


def test_a_place_straight_above_the_other_is_a_question_of_height() -> None:
    """Everything was read on one level, so that up and down look alike."""
    spots = {"a": (0.0, 0.0, 0.0), "b": (9.0, 0.0, 0.0), "c": (2.0, 8.0, 0.0)}
    points = {**{name: Known.at(at) for name, at in spots.items()}, "ash": Known()}
    readings = [tape(name, math.dist((5.0, 4.0, 3.0), at)) for name, at in spots.items()]
    (found,) = refusals(readings, points)
    assert isinstance(found, Mirrored)
    assert found.upright
    assert sorted(at[2] for at in found.at) == pytest.approx([-3.0, 3.0])
    assert "above or below?" in worded(found)


@pytest.mark.parametrize("left", [True, False])
def test_a_side_chooses_the_image(left: bool) -> None:
    side = Side(point="ash", start="foot", end="top", left=left)
    found = adjust(POINTS, MIRRORED, sides=[side])
    assert (found.place("ash").at[1] > 0) is left


def test_a_side_that_the_readings_contradict() -> None:
    offset = Left(start="foot", end="top", point="ash", value=6.0, sigma=1.0, label="left")
    readings = [*MIRRORED, offset]
    side = Side(point="ash", start="foot", end="top", left=False)
    (found,) = refusals(readings, sides=[side])
    assert found == OtherSide(point="ash", start="foot", end="top", left=False)
    assert "stated to be right of the line from foot to top" in worded(found)


def test_a_misread_tape_that_puts_a_point_on_the_other_side_is_found() -> None:
    """The post and two trees behind it check each other; one tape is 6 m too long."""
    true = {"ash": (7.0, 4.0, 3.0), "oak": (10.0, 6.0, 5.0)}
    points = {**FAR, "oak": Known()}
    known = {name: (at.x or 0, at.y or 0, at.z or 0) for name, at in FAR.items() if name != "ash"}
    at = {**known, **true}
    pairs = [(a, b) for b in true for a in at if a != b and (a, b) != ("oak", "ash")]
    readings = [tape(a, math.dist(at[a], at[b]), b) for a, b in pairs]
    readings += [rise("foot", at[b][2], b) for b in true]
    number = pairs.index(("foot", "ash"))
    readings[number] = tape("foot", math.dist(at["foot"], at["ash"]) + 6.0)
    side = Side(point="ash", start="foot", end="top", left=True)
    found = survey(points, readings, sides=[side])
    assert [s.label for s in found.suspects] == ["tape foot ash"]
    assert found.suspects[0].misread_by == pytest.approx(6.0, abs=0.01)
    assert found.adjusted.place("ash").at == pytest.approx(true["ash"], abs=1e-3)


def test_offsets_and_angles_by_their_closed_forms() -> None:
    """8 m along a line that rises 5 in 12, 3 m to its left, 0.5 m above it."""
    line = {"start": "foot", "end": "top", "point": "ash"}
    found = adjust(
        POINTS,
        [
            Along(value=8.0, sigma=0.1, label="along", **line),  # type: ignore[arg-type]
            Left(value=3.0, sigma=0.1, label="left", **line),  # type: ignore[arg-type]
            Above(value=0.5, sigma=0.1, label="above", **line),  # type: ignore[arg-type]
        ],
    )
    ahead = 8.0 * 12 / 13
    assert found.place("ash").at == pytest.approx((ahead, 3.0, 8.0 * 5 / 13 + 0.5))
    x, y, z = found.place("ash").deviations
    assert (x, y) == pytest.approx((0.1 * 12 / 13, 0.1))
    assert z == pytest.approx(0.1 * math.hypot(1, 5 / 13))


def test_a_polar_reading() -> None:
    """Tape, slope and angle from the path: three readings, one place, its error in each direction."""
    slope, turn = math.radians(20), math.radians(50)
    found = adjust(
        POINTS,
        [
            tape("foot", 10.0),
            VerticalAngle(start="foot", end="ash", value=slope, sigma=0.01, label="slope"),
            HorizontalAngle(
                at="foot", start="top", end="ash", value=turn, sigma=0.02, label="turn"
            ),
        ],
    )
    level_length = 10.0 * math.cos(slope)
    assert found.place("ash").at == pytest.approx(
        (level_length * math.cos(turn), level_length * math.sin(turn), 10.0 * math.sin(slope))
    )
    halves = sorted(half for half, _ in found.place("ash").axes)
    assert halves == pytest.approx(sorted((0.02, 10.0 * 0.01, level_length * 0.02)))


def test_bearings_find_north_by_themselves() -> None:
    """The compass on the path itself gives north; it stays open whether it is true or magnetic."""
    bearing = 0.7
    found = adjust(
        POINTS,
        [
            Bearing(start="foot", end="top", value=bearing, sigma=0.02, label="path"),
            Bearing(start="foot", end="ash", value=bearing - 0.5, sigma=0.02, label="ash"),
            level("foot", 10.0),
            rise("foot", 1.0),
        ],
    )
    assert found.north == pytest.approx(bearing)
    assert found.place("ash").at == pytest.approx((10 * math.cos(0.5), 10 * math.sin(0.5), 1.0))


def test_a_place_of_the_path_serves_as_an_end_of_the_tape() -> None:
    points = {**POINTS, "mark": Known()}
    found = adjust(
        points,
        [
            *on_line("mark", "foot", "top", along=6.5, sigma=0.05, label="mark"),
            Coordinate(point="ash", axis=Axis.X, value=3.0, sigma=0.1, label="x"),
            Coordinate(point="ash", axis=Axis.Z, value=2.5, sigma=0.1, label="z"),
            tape("mark", 5.0),
        ],
        sides=[Side(point="ash", start="foot", end="top", left=False)],
    )
    assert found.place("mark").at == pytest.approx((6.0, 0.0, 2.5), abs=1e-6)
    assert found.place("ash").at == pytest.approx((3.0, -4.0, 2.5))


def test_a_direction_from_the_x_axis() -> None:
    found = adjust(
        POINTS,
        [
            Direction(start="foot", end="ash", value=-0.3, sigma=0.01, label="direction"),
            level("foot", 5.0),
            rise("foot", 0.0),
        ],
    )
    assert found.place("ash").at == pytest.approx((5 * math.cos(0.3), -5 * math.sin(0.3), 0.0))


def test_readings_that_nothing_checks_are_listed() -> None:
    sides = [Side(point="ash", start="foot", end="top", left=True)]
    found = survey(FAR, [*MIRRORED, level("post", 3.0)], sides=sides)
    assert found.unchecked == ("rise foot ash",)
    found = survey(POINTS, MIRRORED, sides=sides)
    assert found.unchecked == tuple(one.label for one in MIRRORED)
