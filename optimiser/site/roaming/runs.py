"""What walks or drives along a straight run while it pulls, from one spot or from wherever it may stand."""

from collections.abc import Iterator
from itertools import pairwise
from math import cos, dist, hypot, sin
from typing import Annotated, Any, Literal

from pydantic import Field

from optimiser.mechanics.values import Vec
from optimiser.site.document.part import Fault, Name, Part, Point, PointOrName, point
from optimiser.site.document.quantity import (
    Angle,
    Corner,
    Length,
    LengthOrNone,
    LongerIsBetter,
)
from optimiser.site.roaming.outline import NEAREST, misshapen
from optimiser.site.roaming.rooms import BUMP, TURNS, Area, Body, Room, Track, off_plane, plane

MOST_STANDS = 1000
"""Candidates of one puller, so that a spacing typed in millimetres is no long wait."""
APART = 2.0
"""m between candidate spots where the file gives no spacing (project choice): the best are then refined."""
OF_A_ROOM = ("spacing", "headings", "body_length", "body_width")
OF_ONE_SPOT = ("at", "towards", "heading")


class Runs(Part):
    """Something that walks or drives along a straight run while it pulls."""

    name: Name
    """Your name for it, such as "small tractor"."""
    at: Point | None = None
    """Where it stands at the near end of its run, when it takes a new grip. Left out: [[reading]] entries
    lead to it."""
    towards: PointOrName | None = None
    """A point its run is headed for, or the name of a mark or whatever else stands there; the run ends there
    if no length is given."""
    heading: Angle | None = None
    """Instead: the direction of a level run, from the x axis towards the y axis."""
    run: LongerIsBetter | None = None
    """How far it can go in one stroke. On a track or in an area: at most; left out, as far as there is
    room."""
    track: Annotated[list[PointOrName], Field(max_length=30)] | None = None
    """Instead of one spot: the line of a track it may stand anywhere on and pull along either way, by its
    points one after the other, or by their names."""
    track_width: Length | None = None
    """How wide that track is. Left out: no wider than what pulls, so that it goes along straight pieces
    only."""
    area: Annotated[list[PointOrName], Field(max_length=30)] | None = None
    """Instead of one spot: ground, about a plane, that it may stand anywhere on and pull any way, by its
    corners in their order round it, or by their names."""
    spacing: Length | None = None
    """How far apart the spots are that are looked at; 2 m if left out. The best
    are then moved by less, to 0.1 m."""
    headings: Literal["along", "free"] | None = None
    """On a track: whether it pulls along it only, or may turn any way where there is room. Left out:
    along."""
    body_length: LengthOrNone | None = None
    """How long what pulls is ahead of its hitch, which needs room too; 4.5 m for a vehicle if left out."""
    body_width: LengthOrNone | None = None
    """How wide it is; 2 m for a vehicle, 0.6 m for people if left out."""

    def faults(self) -> Iterator[Fault]:
        if self.track is not None or self.area is not None:
            yield from self._room_faults()
            return
        for key in ("track_width", *OF_A_ROOM):
            if getattr(self, key) is not None:
                yield key, "belongs to a track or an area, and there is none; leave it out"
        if (self.towards is None) == (self.heading is None):
            both = self.towards is not None
            yield (
                "towards",
                (
                    "give either a point to go towards or a heading, not both"
                    if both
                    else 'missing: a point to go towards, or heading = "30 deg"; or, if it may stand '
                    "anywhere along a line or on a piece of ground, track or area in place of at"
                ),
            )
        if self.towards is None:
            if self.run is None:
                yield "run", 'missing: how far it can go in one stroke (such as "8 m")'
        elif self.placed and dist(point(self.at), point(self.towards)) < 0.1:
            yield "towards", "is where it stands already; name a point further along its run"

    def _room_faults(self) -> Iterator[Fault]:
        if self.track is not None and self.area is not None:
            yield (
                "area",
                "give either a track or an area, not both: two [[puller]] entries can have both",
            )
            return
        word = "track" if self.track is not None else "area"
        for key in OF_ONE_SPOT:
            if getattr(self, key) is not None:
                yield (
                    key,
                    f"says where it stands and which way it goes, and so does {word}: give one of them",
                )
        for key in ("track_width", "headings"):
            if self.area is not None and getattr(self, key) is not None:
                yield key, "belongs to a track; in an area it may head any way"
        points = self.track if self.track is not None else self.area
        assert points is not None
        if len(points) < (least := 2 if word == "track" else 3):
            many = "one point" if len(points) == 1 else f"{len(points)} points"
            yield (
                word,
                f"{many} make no {word}: at least {least}"
                + ("; for one spot give at, with towards or heading" if word == "track" else ""),
            )
        elif self.room_placed:
            yield from self.shape_faults()

    def shape_faults(self) -> Iterator[Fault]:
        """What is wrong with the shape of its room, once all its points are known."""
        points = self._points
        if self.track is not None:
            for i, (a, b) in enumerate(pairwise(points), start=2):
                if dist(a[:2], b[:2]) < NEAREST:
                    yield "track", f"point {i} lies on the one before it, seen from above"
                    return
            if (
                self.track_width is not None
                and self.track_width.at("stated") < self._body("worst").width
            ):
                yield (
                    "track_width",
                    f"narrower than what pulls there, {self._body('worst').width:g} m (body_width)",
                )
        else:
            if (wrong := misshapen(points)) is not None:
                yield "area", wrong
                return
            if (off := off_plane(points)) > BUMP:
                yield (
                    "area",
                    f"is no plane: a corner is {off:.2f} m off the plane of all of them, and {BUMP:g} m "
                    "counts as even; give a smaller area, or two pullers",
                )
                return
        if (many := self._most_stands) > MOST_STANDS:
            yield (
                "spacing" if self.spacing is not None else ("track" if self.track else "area"),
                f"that is about {many:,} candidate spots and headings, {MOST_STANDS:,} at most: take them "
                "further apart (spacing)",
            )

    @property
    def _most_stands(self) -> int:
        """Candidates of its room, those without room to pull included, about."""
        points, apart = self._points, self._spacing("stated")
        if self.track is not None:
            long = sum(dist(a, b) for a, b in pairwise(points))
            return int(long / apart + 1) * (TURNS if self.headings == "free" else 2)
        ring = zip(points, (*points[1:], points[0]), strict=True)
        square = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in ring)) / 2.0
        return int(square / apart**2 + 1) * TURNS

    def _spacing(self, corner: Corner) -> float:
        return APART if self.spacing is None else self.spacing.at(corner)

    @property
    def _points(self) -> tuple[Vec, ...]:
        return tuple(point(p) for p in (self.track or self.area or ()))

    @property
    def one_spot(self) -> bool:
        """Whether it stands at one place."""
        return not self.roams

    @property
    def roams(self) -> bool:
        """Whether it may stand in more than one place."""
        return self.track is not None or self.area is not None

    @property
    def room_placed(self) -> bool:
        """Whether the coordinates of all points of its room are known."""
        return all(isinstance(p, list) for p in (self.track or self.area or ()))

    @property
    def placed(self) -> bool:
        """Whether the coordinates of both ends of its run are known; of the ones that are left to readings
        this is so once they are found."""
        return isinstance(self.at, list) and isinstance(self.towards, list)

    @property
    def usual_body(self) -> tuple[float, float]:
        """Length and width of what pulls where the file gives none, m (project choices)."""
        raise NotImplementedError

    def _body(self, corner: Corner) -> Body:
        length, width = self.usual_body
        return Body(
            length=length if self.body_length is None else self.body_length.at(corner),
            width=width if self.body_width is None else self.body_width.at(corner),
            run=self._farthest if self.run is None else self.run.at(corner),
        )

    @property
    def _farthest(self) -> float:
        """m between the two points of its room that are furthest apart: no run is longer."""
        points = self._points if self.room_placed else ()
        return max((dist(a, b) for a in points for b in points), default=0.0)

    def standing(self, corner: Corner) -> dict[str, Any]:
        """Where it stands, which way it goes and how far, by the names of the values of a `Puller`."""
        room = self._room(corner)
        if room is None:
            return {
                "position": point(self.at), "heading": self._direction(), "run": self._reach(corner)
            }  # fmt: skip
        stand = next(room.stands(), None)
        at, way = room.points[0], (1.0, 0.0, 0.0)
        if stand is not None:
            at, way = room.spot(stand)
        return {
            "position": at,
            "heading": way,
            "run": room.body.run,
            "room": room,
            "stand": stand,
            "body": room.body,
        }

    def _room(self, corner: Corner) -> Room | None:
        if not self.roams:
            return None
        body, apart = self._body(corner), self._spacing(corner)
        if self.area is not None:
            return Area(points=self._points, spacing=apart, body=body)
        wide = body.width if self.track_width is None else self.track_width.at(corner)
        return Track(
            points=self._points, width=wide, spacing=apart, free=self.headings == "free", body=body
        )

    def _direction(self) -> Vec:
        """Unit vector of the run."""
        if self.towards is None:
            assert self.heading is not None
            angle = self.heading.at("stated")
            return (cos(angle), sin(angle), 0.0)
        here, there = point(self.at), point(self.towards)
        far = dist(here, there)
        return (
            (there[0] - here[0]) / far,
            (there[1] - here[1]) / far,
            (there[2] - here[2]) / far,
        )

    def _reach(self, corner: Corner) -> float:
        """Length of the run, m."""
        if self.run is not None:
            return self.run.at(corner)
        assert self.towards is not None
        return dist(point(self.at), point(self.towards))

    def climbs(self, level: float) -> bool:
        """Whether any run it may take rises by more than so much of its length."""
        if self.roams:
            # Along a track it goes either way, in an area any way: up the slope too.
            points = self._points if self.room_placed else ()
            if self.area is not None and len(points) > 2:
                (gx, gy), _ = plane(points)
                return hypot(gx, gy) > level * hypot(gx, gy, 1.0)
            return any(abs(b[2] - a[2]) > level * dist(a, b) for a, b in pairwise(points))
        if not self.placed or dist(point(self.at), point(self.towards)) < 0.1:
            return False
        return self._direction()[2] > level
