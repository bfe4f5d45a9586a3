"""Works out the second lines of a haul, as they are rigged, on a site whose places have moved."""

from collections.abc import Sequence
from dataclasses import replace

from optimiser.jobs.hold.spare import spare_site
from optimiser.jobs.hold.steer import steering
from optimiser.jobs.lower.as_it_is import Held, held_by
from optimiser.jobs.lower.build import build
from optimiser.rig.build import profile
from optimiser.rig.forces.holders import hand, hand_limit
from optimiser.rig.gear.assign import Filled
from optimiser.rig.ground.stations import lay_stations, path_length
from optimiser.rig.refit import Stopped, with_same_pieces
from optimiser.rig.setup import Component, HoldingLine, Setup, Way
from optimiser.site.model import Site
from optimiser.site.turned import turned


def as_hauled(setup: Setup, haul: Filled, pieces: Sequence[Component]) -> Setup:
    """The setup with what its haul comes to there, as far as its second lines depend on it."""
    return replace(setup, components=tuple(pieces), profile=profile(haul.variant.row))


def held_line(
    site: Site, setup: Setup, line: HoldingLine, begin: float, end: float
) -> Held | Stopped:
    """A line that keeps the load from running, over its stretch there, m along the path. `setup`: with what
    its haul comes to there."""
    ground = spare_site(site, setup)
    if line.way is not Way.BACK:
        long = path_length(ground)
        ground, begin, end = turned(ground), long - end, long - begin
    laid = lay_stations(ground, (begin, end))
    stations = laid.pick(laid.between(begin, end))
    limit = hand_limit(ground.preferences, None)
    return held_by(ground, stations, line, holder=hand(ground), limit=limit)


def steering_line(site: Site, setup: Setup, line: HoldingLine) -> Held | Stopped | None:
    """The line that keeps the load from slewing, wherever that takes one there; None: nowhere."""
    if all(row.steer <= 0.0 for row in setup.profile):
        return None
    found = steering(site, replace(setup, holding=()))
    if found is None:
        return Stopped("the steering line does not run free, or its trunk does not bear it")
    filled = with_same_pieces(found.variants(line.turns), line, (line.rope.name,))
    if isinstance(filled, Stopped):
        return filled
    return filled, build(filled, rank=1, hand_source=found.limit.source)
