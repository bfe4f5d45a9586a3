"""Understands the pulls of a document: on which leg each was read, and which way the line led."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import dist, hypot

from optimiser.mechanics.published import number
from optimiser.mechanics.values import Vec
from optimiser.site.document.load import HitchPoint
from optimiser.site.document.part import point
from optimiser.site.document.path import SHORTEST, PathLeg, resolved
from optimiser.site.document.pulled import PulledPart
from optimiser.site.document.quantity import Quantity
from optimiser.site.document.site import SiteDocument
from optimiser.site.frame import Frame
from optimiser.site.lines import Key
from optimiser.site.measured.spots import NoSuchPlaceError, Spots
from optimiser.site.model import BREAKOUT_REACH
from optimiser.site.pulled.narrowing import Box, Ends, Ground, Pull
from optimiser.site.pulled.outcome import Read
from shared.units import Dimension, Rounding, show
from shared.words import did_you_mean

Found = tuple[Key, str]


class UnfitError(ValueError):
    """A reading that says nothing, and why. `key`: of the part that is at fault."""

    def __init__(self, key: str, message: str) -> None:
        super().__init__(message)
        self.key = key


def box_of(document: SiteDocument) -> Box:
    """What the load may weigh and what the ground may be, by the file alone."""
    motion, points = document.load.motion, list(_points(document))
    grounds = []
    for leg, (start, end) in zip(document.path.leg, pairwise(points), strict=True):
        way, _, normal = _axes(start, end)
        resistance = leg.resistance
        if resistance is None:
            assert leg.surface is not None  # a leg names one or the other
            surface = resolved(leg.surface, motion)
            ends = Ends(surface.low, surface.high)
        else:
            ends = Ends(*resistance.ends)
        grounds.append(
            Ground(
                slope=(way[2], normal[2]),
                resistance=ends,
                apparent=_ends(leg.apparent_weight),
                breakout=_ends(leg.breakout),
            )
        )
    return Box(weight=Ends(*document.load.weight.ends), grounds=tuple(grounds))


def readings(document: SiteDocument, box: Box) -> tuple[list[Read], list[Found]]:
    """Every pull of a document whose places are known, and what is wrong with those that say nothing."""
    found: list[Read] = []
    faults: list[Found] = []
    for place, part in enumerate(document.pulled):
        key: Key = ("pulled", place)
        try:
            found.append(_read(document, box, part, key))
        except UnfitError as error:
            faults.append(((*key, error.key) if error.key else key, str(error)))
    return found, faults


def _read(document: SiteDocument, box: Box, part: PulledPart, key: Key) -> Read:
    units, at = document.preferences.units, part.at.at("stated")
    points = list(_points(document))
    leg, reach = _on_leg(points, at, units)
    _fits_the_leg(document, part, leg, reach, units)
    off = number("scale", "accuracy").value if part.accuracy is None else part.accuracy.at("stated")
    low, high = part.force.ends
    # A scale is off by a share of the true pull, or of what it shows: whichever is further.
    force = Ends(low * (1.0 - off), high / (1.0 - off))
    advance, lift = 1.0, 0.0
    ground = box.grounds[leg]
    if part.to is not None:
        way, across, normal = _axes(points[leg], points[leg + 1])
        line = _line(document, part, points[leg], reach, (way, across))
        advance, lift = _dot(line, way), _dot(line, normal)
        _leads_forward(document, part, (advance, _dot(line, across), lift), ground)
    if force.low * lift >= box.weight.high * ground.apparent.high * ground.slope[1]:
        raise UnfitError(
            "force",
            f"'{part.force.text}' in a line so steep would carry the load, which weighs no more than "
            f"{show(box.weight.high, Dimension.WEIGHT, units, Rounding.UP)}",
        )
    pull = Pull(
        force=force, leg=leg, advance=advance, lift=lift, starting=part.moment == "starting"
    )
    if _all_known(box, pull):
        word = "break-out" if pull.starting else "resistance"
        raise UnfitError(
            "",
            f"narrows nothing: load.weight and the {word} of leg {leg + 1} are one value each; write "
            'what they may be, as in weight = "220..300 kg"',
        )
    return Read(key=key, at=at, pull=pull, written=part.force.text)


def _all_known(box: Box, pull: Pull) -> bool:
    ground = box.grounds[pull.leg]
    stuck = not pull.starting or ground.breakout.certain
    return box.weight.certain and ground.resistance.certain and stuck


def _on_leg(points: Sequence[Vec], at: float, units: str) -> tuple[int, float]:
    """The leg (from 0) of a place of the path, and how far from its start [m]."""
    start = 0.0
    last = len(points) - 2
    for leg, (a, b) in enumerate(pairwise(points)):
        end = start + dist(a, b)
        if leg < last and abs(at - end) < SHORTEST:
            raise UnfitError(
                "at",
                f"leg {leg + 1} meets leg {leg + 2} there: which slope was it read on? Give a place at "
                f"least {show(SHORTEST, Dimension.LENGTH, units)} from the bend",
            )
        if at <= end + 1e-9:
            return leg, at - start
        start = end
    raise UnfitError(
        "at",
        f"lies {show(at - start, Dimension.LENGTH, units)} beyond the end of the path, which is "
        f"{show(start, Dimension.LENGTH, units)} long",
    )


def _fits_the_leg(
    document: SiteDocument, part: PulledPart, number: int, reach: float, units: str
) -> None:
    leg: PathLeg = document.path.leg[number]
    stuck = leg.breakout is not None and leg.breakout.interval.high > 1.0
    first = f"the first {show(BREAKOUT_REACH, Dimension.LENGTH, units)} of leg {number + 1}"
    if part.moment == "starting" and not stuck:
        raise UnfitError(
            "moment",
            f"leg {number + 1} has no break-out that it could tell of; give the leg what it may be, as "
            'in breakout = "1..1.5"',
        )
    if part.moment == "starting" and reach > BREAKOUT_REACH + 1e-9:
        raise UnfitError("moment", f"the load breaks out over {first} only; this is further on")
    if part.moment == "moving" and stuck and reach <= BREAKOUT_REACH + 1e-9:
        raise UnfitError(
            "at",
            f'the load breaks out over {first}: read it further on, or say moment = "starting" if it '
            "was read as the load came loose",
        )
    wheel = document.load.wheel_radius
    lip = leg.step is not None and leg.step.interval.high > 0.0
    if lip and wheel is not None and reach < wheel.at("stated"):
        raise UnfitError(
            "at",
            f"the wheels stand at the step of leg {number + 1} there, which takes more than the ground "
            "does; read it further on",
        )


def _line(
    document: SiteDocument, part: PulledPart, start: Vec, reach: float, axes: tuple[Vec, Vec]
) -> Vec:
    """The way of the line from the load's hitch to where it led, unit."""
    assert part.to is not None
    assert part.height is not None
    way, across = axes
    hitch = _hitch(document, part)
    ahead, left = reach + hitch.ahead.at("stated"), hitch.left.at("stated")
    up = hitch.height.at("stated")
    begin = [a + ahead * t + left * b for a, t, b in zip(start, way, across, strict=True)]
    begin[2] += up
    spots = Spots(document)
    try:
        name = spots.named(part.to)
    except NoSuchPlaceError as error:
        raise UnfitError("to", str(error)) from error
    if name not in spots.given:
        raise UnfitError("to", f"'{part.to}' is a place of the path between its bends: name a mark")
    end = list(_frame(document).point(spots.given[name]))
    end[2] += part.height.at("stated")
    long = dist(begin, end)
    if long < SHORTEST:
        raise UnfitError("to", f"the load's hitch is at '{part.to}' itself there")
    x, y, z = ((b - a) / long for a, b in zip(begin, end, strict=True))
    return (x, y, z)


def _hitch(document: SiteDocument, part: PulledPart) -> HitchPoint:
    known = {hitch.name: hitch for hitch in document.load.hitch}
    if part.hitch is None:
        if len(known) > 1:
            names = ", ".join(f"'{name}'" for name in known)
            raise UnfitError("hitch", f"missing: which hitch point the line was on, one of {names}")
        return document.load.hitch[0]
    if part.hitch not in known:
        near = did_you_mean(part.hitch, known)
        raise UnfitError("hitch", f"the load has no hitch point '{part.hitch}'{near}")
    return known[part.hitch]


def _leads_forward(
    document: SiteDocument, part: PulledPart, line: tuple[float, float, float], ground: Ground
) -> None:
    """`line`: its parts along the path, across it and away from the ground."""
    advance, across, lift = line
    sin, cos = ground.slope
    if advance <= 0.0 or advance * cos - lift * sin <= 0.0:
        raise UnfitError("to", f"a line to '{part.to}' does not pull the load on from there")
    if advance + ground.resistance.high * lift <= 0.0:
        raise UnfitError("to", f"a line to '{part.to}' presses the load down more than it pulls")
    most = document.preferences.preferences()
    rolls = document.load.rests_on == "wheels"
    limit = most.side_pull_rolling if rolls else most.side_pull_sliding
    if abs(across) > limit * advance:
        raise UnfitError(
            "to",
            f"a line to '{part.to}' pulls to the side by {abs(across) / advance:.2f} of what it pulls "
            f"forward, and at more than {limit:g} the load slews: read a pull straight along the path",
        )


def _ends(factor: Quantity | None) -> Ends:
    return Ends(1.0, 1.0) if factor is None else Ends(*factor.ends)


def _points(document: SiteDocument) -> Iterator[Vec]:
    """Start, bends and end of the path in the site's own frame: wherever it lies, slopes are the same to the
    last digit."""
    frame = _frame(document)
    yield frame.point(point(document.path.start))
    for leg in document.path.leg:
        yield frame.point(point(leg.to))


def _frame(document: SiteDocument) -> Frame:
    return Frame.of(point(document.path.start), point(document.path.leg[0].to))


def _axes(start: Vec, end: Vec) -> tuple[Vec, Vec, Vec]:
    """Along a leg, across it (level, to the left) and away from the ground, unit."""
    x, y, z = (b - a for a, b in zip(start, end, strict=True))
    long, level = dist(start, end), hypot(x, y)
    way = (x / long, y / long, z / long)
    across = (-y / level, x / level, 0.0)
    up = level / long
    return way, across, (-way[2] * x / level, -way[2] * y / level, up)


def _dot(a: Vec, b: Vec) -> float:
    return sum(x * y for x, y in zip(a, b, strict=True))
