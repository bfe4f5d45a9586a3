"""Published networks in a plane or in height alone, as readings. Each names its source."""

import math
from collections.abc import Mapping, Sequence

from optimiser.site.survey.adjusted import Known, Side
from optimiser.site.survey.observations import (
    DEFINED,
    Direction,
    HeightDifference,
    HorizontalAngle,
    LevelDistance,
    Observation,
)

Points = Mapping[str, Known]
SECOND = math.pi / 180 / 3600  # rad


def rows(text: str) -> list[list[str]]:
    """A printed table, cell by cell."""
    return [line.split() for line in text.strip().splitlines()]


def in_plane(x: float | None = None, y: float | None = None) -> Known:
    """A point at height 0, with its place or to be worked out."""
    return Known(x=x, y=y, z=0.0)


def of_height(z: float | None = None) -> Known:
    """A bench mark, with its height or to be worked out."""
    return Known(x=0.0, y=0.0, z=z)


def level(start: str, end: str, value: float, sigma: float = 1.0) -> HeightDifference:
    return HeightDifference(
        start=start, end=end, value=value, sigma=sigma, label=f"{start}-{end} {value:+}"
    )


def distance(start: str, end: str, value: float, sigma: float = 1.0) -> LevelDistance:
    return LevelDistance(
        start=start, end=end, value=value, sigma=sigma, label=f"{start}-{end} {value}"
    )


def dms(degrees: int, minutes: int, seconds: float) -> float:
    """Degrees, minutes and seconds, rad."""
    return math.radians(degrees + minutes / 60 + seconds / 3600)


def trilateration() -> tuple[Points, Sequence[Observation]]:
    """Ghilani, Adjustment Computations: Spatial Data Analysis, worksheet to example 14.2; feet."""
    points = {
        "A": in_plane(865.40, 4527.15),
        "B": in_plane(2432.55, 2047.25),
        "C": in_plane(2865.22, 27.15),
        "U": in_plane(),
    }
    return points, [
        distance("A", "U", 6049.00),
        distance("B", "U", 4736.83),
        distance("C", "U", 5446.49),
    ]


LINES = rows("""
1 2 -0.749 1.1
1 3 -1.274 1.8
1 4 -2.89 1.4
2 3 -0.53 1.5
2 4 -2.141 1.9
3 4 -1.614 0.9
""")
"""From, to, difference of height m, km: see `levelled`."""


def levelled(added: Mapping[int, float] | None = None) -> tuple[Points, Sequence[Observation]]:
    """Siki, Level network adjustment and data snooping (open tutorial, Budapest University of Technology);
    metres; 0.7 mm a kilometre. `added`: what is added to a line, by its number from 0."""
    points = {str(i): of_height(101.3450 if i == 4 else None) for i in range(1, 5)}
    return points, [
        level(a, b, float(dh) + (added or {}).get(i, 0.0), 0.7e-3 * float(km))
        for i, (a, b, dh, km) in enumerate(LINES)
    ]


def levelled_both_ways() -> tuple[Points, Sequence[Observation]]:
    """Sample output of a free network adjustment program (levelling, eight lines each way); metres."""
    points = {"1a": of_height(1000.0), **{name: of_height() for name in "432"}}
    lines = rows("""
1a 4 -1.225
4 3 -0.848
3 2 1.342
2 1a 0.72
1a 2 -0.724
2 3 -1.335
3 4 0.842
4 1a 1.231
""")
    return points, [level(a, b, float(dh), 0.005) for a, b, dh in lines]


def levelled_by_setups(weighted: bool) -> tuple[Points, Sequence[Observation]]:
    """Mahun, Open Access Surveying Library, Least Squares Lite, chapters B and E; feet. The heights of the
    bench marks stand in a figure only: these follow from the printed residuals."""
    known = {"A": 806.52, "B": 818.32, "C": 820.12, "D": 824.04}
    points = {name: of_height(z) for name, z in known.items()} | {
        "Q": of_height(),
        "R": of_height(),
    }
    lines = rows("""
A Q 8.91 3
B Q -2.92 2
C Q -4.67 1
D Q -8.66 3
A R -3.56 3
C R -17.12 4
D R -21.1 2
Q R -12.47 3
""")
    return points, [
        level(a, b, float(dh), math.sqrt(int(setups) / 12) if weighted else 1.0)
        for a, b, dh, setups in lines
    ]


ANGLES = rows("""
A P1 B 84 7 38.2
P1 B A 37 46 34.9
B A P1 58 5 44.1
C B P1 33 3 3.2
B P1 C 126 1 55.7
P1 C B 20 55 2.3
P1 A P2 74 18 16.8
P2 P1 A 77 27 59.1
A P2 P1 28 13 58.2
P1 P2 C 55 21 9.9
C P1 P2 72 22 25.8
P2 C P1 52 16 20.7
""")
"""From, at, to, degrees, minutes, seconds: see `angles_and_distances`."""


def angles_and_distances() -> tuple[Points, Sequence[Observation]]:
    """University course laboratory (ENGO 563, Calgary): 12 angles of 1.5", 6 distances of 0.02 m, two points.

    The angles are printed without a side: all turn the same way round their triangles.
    """
    points = {
        "A": in_plane(4899.844, 130.814),
        "B": in_plane(8781.945, 1099.443),
        "C": in_plane(4548.795, 7572.622),
        "P1": in_plane(),
        "P2": in_plane(),
    }
    angles = [
        HorizontalAngle(
            at=at,
            start=start,
            end=end,
            value=dms(int(d), int(m), float(s)),
            sigma=1.5 * SECOND,
            label=f"{start}_{at}_{end}",
        )
        for start, at, end, d, m, s in ANGLES
    ]
    lengths = rows("""
P1 A 2463.94
P1 B 3414.41
P1 C 5216.16
P2 C 6042.91
P2 A 5085.08
P1 P2 5014.99
""")
    return points, [*angles, *(distance(a, b, float(length), 0.02) for a, b, length in lengths)]


def traverse_of_eight_lines() -> tuple[Points, Sequence[Observation]]:
    """Mikhail and Ackermann, Observations and Least Squares (1976), table 7-1, levelling; metres."""
    points = {name: of_height(800.0 if name == "A" else None) for name in "ABCDE"}
    lines = rows("""
A B 25.42 18.1
B C 10.34 9.4
C A -35.2 14.2
B D -15.54 17.6
D E 21.32 13.5
E C 4.82 9.9
E A -31.02 13.8
C D -26.11 14.0
""")
    return points, [level(a, b, float(dh), math.sqrt(0.1 * float(km))) for a, b, dh, km in lines]


def unit_square() -> tuple[Points, Sequence[Observation]]:
    """Mikhail and Ackermann, chapter 9: three distances to one point."""
    points = {"P": in_plane(0, 5), "O": in_plane(0, 0), "Q": in_plane(5, 0), "R": in_plane()}
    lengths = (("P", 5.10), ("O", 7.07), ("Q", 4.90))
    return points, [distance(start, "R", length, 0.01) for start, length in lengths]


def distances_alone() -> tuple[Points, Sequence[Observation], Sequence[Side]]:
    """Siki, free network of ten distances between four points, 1 mm each, two of each; metres. Here point 1
    and the way to point 2 are what the others are counted from."""
    points = {"1": in_plane(0, 0), "2": in_plane(), "3": in_plane(), "4": in_plane()}
    lengths = rows("""
        1 2 66.552 66.552
        1 4 24.954 24.955
        2 3 32.288 32.289
        2 4 71.355 71.355
        3 4 87.929 87.929
    """)
    axis = Direction(start="1", end="2", value=0.0, sigma=DEFINED, label="axis", defined=True)
    readings = [
        LevelDistance(start=a, end=b, value=float(v), sigma=1e-3, label=f"{a}-{b} no. {i}")
        for a, b, *both in lengths
        for i, v in enumerate(both)
    ]
    sides = [
        Side(point="3", start="1", end="2", left=False),
        Side(point="4", start="1", end="2", left=True),
    ]
    return points, [axis, *readings], sides


def closed_traverse(
    legs: Sequence[tuple[float, float]], first: tuple[float, float], stiff: float = 1e-4
) -> tuple[Points, Sequence[Observation]]:
    """A loop of legs (azimuth to the right of the y axis in rad, length), each good to the square root of its
    length alike along and across: then least squares is the compass rule. `stiff`: scale of the
    accuracies."""
    names = ["A", "B", "C", "D", "E"][: len(legs)]
    points = {name: in_plane(*first) if name == "A" else in_plane() for name in names}
    out: list[Observation] = []
    for i, (azimuth, length) in enumerate(legs):
        start, end = names[i], names[(i + 1) % len(names)]
        sigma = stiff * math.sqrt(length)
        out += [
            LevelDistance(start=start, end=end, value=length, sigma=sigma, label=f"length {i}"),
            Direction(
                start=start,
                end=end,
                value=math.pi / 2 - azimuth,
                sigma=sigma / length,
                label=f"azimuth {i}",
            ),
        ]
    return points, out
