"""Shows a site on which nothing is rigged: what is known of it before anything is worked out."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import dist

import numpy as np

from catalogue.gear import Protector
from optimiser.mechanics.arrays import Array
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.ground.strings import laid_on_crests
from optimiser.sheet.shown.seen import Seen
from optimiser.site.frame import Frame
from optimiser.site.model import Anchor, AnchorKind, Hitch, Obstacle, Puller, Site
from optimiser.site.survey.adjusted import IN_LENGTH, IN_PLAN, Located

STEM = 0.7
"""m of stem shown above the highest strap."""
TALL = 2.5
"""m up to which a post is shown."""
_RING = 36
"""Corners of an ellipse."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Laid:
    """What lies on the crest at `middle` m of the path already."""

    lies: Protector
    middle: float

    @property
    def name(self) -> str:
        return self.lies.name

    @property
    def laid(self) -> tuple[float, float]:
        return -self.lies.length / 2.0, self.lies.length / 2.0


@dataclass(frozen=True, kw_only=True, eq=False)
class Measured:
    """A place that readings lead to, in the site's own frame; see `optimiser.sheet.shown.seen.Doubt`."""

    name: str
    at: Array
    ring: Array
    height: float
    farthest: float
    mark: bool


@dataclass(frozen=True, eq=False)
class Bare(Seen):
    """See the module's text."""

    site: Site
    decimals = 1
    level = 0.05

    @cached_property
    def stations(self) -> Stations:
        return lay_stations(self.site)

    @property
    def pullers(self) -> tuple[Puller, ...]:
        return self.site.pullers

    @cached_property
    def straps(self) -> Mapping[str, tuple[float, ...]]:
        return {a.name: tuple(sorted(a.heights)) for a in self.site.standing}

    def strap_words(self, name: str) -> str:
        return ""

    def anchor_words(self, anchor: Anchor) -> str:
        if anchor.uses:
            return ""
        kind = "" if anchor.kind in (AnchorKind.TREE, *anchor.name.split()) else f"{anchor.kind}\n"
        return kind if anchor.girth is None else f"{kind}{self.across(anchor.radius)}"

    def post_words(self, post: Obstacle) -> str:
        return self.across(post.radius)

    def ground_words(self, number: int) -> str:
        return f"leg {number + 1}\n{super().ground_words(number)}"

    def leg_words(self, number: int) -> str:
        leg = self.site.legs[number]
        return (
            f"leg {number + 1}: {self.steepness(number)}\n{self.length(dist(leg.start, leg.end))}"
        )

    @cached_property
    def shown_anchors(self) -> tuple[Anchor, ...]:
        """Of those that may be made on one spot the first."""
        spots = {a.position: a for a in reversed(self.site.anchors) if a.uses}
        return (*self.site.standing, *reversed(spots.values()))

    @property
    def hitches(self) -> tuple[Hitch, ...]:
        return self.site.load.hitches

    @cached_property
    def edges(self) -> tuple[Laid, ...]:
        return tuple(Laid(lies=lies, middle=at) for at, lies in laid_on_crests(self.site))

    @cached_property
    def besides(self) -> Array:
        site = self.site
        feet = [np.array(leg.end) for leg in site.legs] + [np.array(site.legs[0].start)]
        tops = [(a.position, min(a.top, max(a.heights) + STEM)) for a in self.shown_anchors]
        tops += [(o.position, min(o.top, TALL)) for o in site.obstacles]
        for position, high in tops:
            feet += [np.array(position), np.array(position) + np.array((0.0, 0.0, high))]
        for puller in site.pullers:
            feet += [np.array(puller.position), *self.run(puller)]
            feet += [np.array(at) for at in ([] if puller.room is None else puller.room.points)]
        return np.array([*feet, *(doubt.at for doubt in self.doubts)])

    @cached_property
    def doubts(self) -> tuple[Measured, ...]:
        surveyed, frame = self.site.surveyed, self.site.frame
        if surveyed is None or frame is None:
            return ()
        site = self.site
        standing = {
            t.name for things in (site.anchors, site.obstacles, site.pullers) for t in things
        }
        ends = {*(leg.start for leg in site.legs), *(leg.end for leg in site.legs)}
        found = []
        for place in surveyed.places:
            at = frame.point(place.at)
            on_path = any(dist(at, end) < 1e-4 for end in ends)
            found.append(
                _measured(place, at, frame, mark=place.name not in standing and not on_path)
            )
        return tuple(found)

    @property
    def north(self) -> float | None:
        """The direction to north, rad to the left of the frame's x axis; None: not known."""
        surveyed, frame = self.site.surveyed, self.site.frame
        if surveyed is None or frame is None or surveyed.survey.adjusted.north is None:
            return None
        return surveyed.survey.adjusted.north - float(np.arctan2(frame.sin, frame.cos))


def _measured(
    place: Located, at: tuple[float, float, float], frame: Frame, *, mark: bool
) -> Measured:
    """The ellipse of the covariance in plan, turned into the frame."""
    turn = np.array(((frame.cos, frame.sin), (-frame.sin, frame.cos)))
    spread = turn @ np.asarray(place.covariance)[:2, :2] @ turn.T
    values, ways = np.linalg.eigh(spread)
    half = np.sqrt(np.clip(values, 0.0, None)) * place.scale * IN_PLAN
    angles = np.linspace(0.0, 2 * np.pi, _RING, endpoint=False)
    circle = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    return Measured(
        name=place.name,
        at=np.array(at),
        ring=(circle * half) @ ways.T,
        height=IN_LENGTH * place.deviations[2],
        farthest=place.uncertainty,
        mark=mark,
    )
