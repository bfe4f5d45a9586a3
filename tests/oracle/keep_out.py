"""Where a puller stands badly: in an angle of the rope, in its lane, below a load that can run back.

Worked out anew; the widths are the program's own choices, copied out.
"""

from collections.abc import Iterator
from math import cos, dist, pi, sin

from optimiser.site.model import Puller, Site

Point = tuple[float, float]

LANE = 2.0
"""m to either side of a part of line."""
CORRIDOR = 3.0
"""m to either side of the path."""
RUN_OUT = 5.0
"""m beyond the foot of the path."""
NOTHING = 1e-9


def stands_at(puller: Puller) -> tuple[Point, Point]:
    """Both ends of its run from above."""
    x, y, _ = puller.position
    east, north, _ = puller.heading
    return (x, y), (x + puller.run * east, y + puller.run * north)


def in_angle(spot: Point, a: Point, b: Point, c: Point) -> bool:
    """Whether it lies inside the triangle: as the mean of its corners with three weights, none of them too
    small."""
    weights = (_doubled(spot, b, c), _doubled(a, spot, c), _doubled(a, b, spot))
    return min(weights) > NOTHING or max(weights) < -NOTHING


def _doubled(a: Point, b: Point, c: Point) -> float:
    """Twice the area."""
    return a[0] * (b[1] - c[1]) + b[0] * (c[1] - a[1]) + c[0] * (a[1] - b[1])


def in_lane(spot: Point, a: Point, b: Point) -> bool:
    """Whether it lies along the part from a to b, as far again beyond either end."""
    long = dist(a, b)
    if long < 1e-6:
        return False
    east, north = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    x, y = spot[0] - (a[0] + b[0]) / 2.0, spot[1] - (a[1] + b[1]) / 2.0
    return abs(x * east + y * north) <= 1.5 * long + NOTHING and (
        abs(y * east - x * north) <= LANE + NOTHING
    )


def below(site: Site, puller: Puller, upto: float | None) -> bool:
    """Whether a load that runs back from `upto` m of the path comes where the puller stands below it."""
    if upto is None:
        return False
    *_, (_, _, height) = _walked(site, upto)
    if puller.position[2] >= height:
        return False
    return any(_near(spot, a, b) for a, b, _ in _walked(site, upto) for spot in stands_at(puller))


def _walked(site: Site, upto: float) -> Iterator[tuple[Point, Point, float]]:
    """Both ends of every leg as far as `upto` m from above, the first with its run-out, and how high the
    second lies."""
    left = upto
    for number, leg in enumerate(site.legs):
        if left < -NOTHING:
            return
        share = min(max(left / dist(leg.start, leg.end), 0.0), 1.0)
        x, y, z = (one + share * (two - one) for one, two in zip(leg.start, leg.end, strict=True))
        foot = leg.start[:2]
        if number == 0:
            flat = dist(leg.start[:2], leg.end[:2]) or 1.0
            back = RUN_OUT / flat
            foot = (
                foot[0] - back * (leg.end[0] - foot[0]),
                foot[1] - back * (leg.end[1] - foot[1]),
            )
        yield foot, (x, y), z
        left -= dist(leg.start, leg.end)


def _near(spot: Point, a: Point, b: Point) -> bool:
    """Whether it is not further from a-b than the corridor, which has round ends, drawn with sixteen corners:
    not beyond any of the sides."""
    corner = CORRIDOR / cos(pi / 16)
    sides = [(2 * k + 1) * pi / 16 for k in range(16)]
    normals = [(cos(angle), sin(angle)) for angle in sides]
    long = dist(a, b)
    if long > NOTHING:
        east, north = (b[0] - a[0]) / long, (b[1] - a[1]) / long
        normals += [(-north, east), (north, -east)]
    for east, north in normals:
        reach = max(corner * (east * cos(k * pi / 8) + north * sin(k * pi / 8)) for k in range(16))
        most = max(east * x + north * y for x, y in (a, b)) + reach
        if east * spot[0] + north * spot[1] > most + 1e-9:
            return False
    return True
