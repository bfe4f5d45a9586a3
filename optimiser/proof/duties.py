"""Works out what a line on the load has to pull, by what it is for: hauling, holding, steering.

Equilibrium of the load along and across its path, at impending motion, written out point by point.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf, sqrt

from catalogue.ground import Motion
from optimiser.mechanics.resting import Rest
from optimiser.mechanics.values import Vec
from optimiser.proof.loads.forces import Pulled, State
from optimiser.proof.loads.taut_line import Look, dot, toward
from optimiser.proof.pieces.read_figures import figure
from optimiser.proof.place.points import Point, carried
from optimiser.rig.walk import Guide
from optimiser.site.model import Site

LEVEL = 1e-9
"""Gradient below which a leg is level."""


def runs(point: Point, way: float) -> float:
    """N along the ground that keep the load from running back (`way` 1) or on (-1): by the gradients of
    the slope and of the friction that is counted on; 0 where that friction keeps it."""
    falls = way * point.along[2] / point.normal[2]
    if falls <= point.sure + LEVEL:
        return 0.0
    least = figure("hold", "least_share") * falls
    return point.resting * point.normal[2] * max(falls - point.sure, least)


def rests(point: Point) -> Rest:
    """What the load does when it is let go of."""
    falls = abs(point.along[2])
    keeps, balance = (c * point.normal[2] for c in (point.sure, point.leg.resistance_low))
    if falls <= keeps + LEVEL:
        return Rest.RESTS
    near = falls < max(balance, keeps + figure("hold", "told_apart"))
    return Rest.TOO_CLOSE if near else Rest.RUNS


def side_limit(site: Site, point: Point) -> float:
    """How far the pull may point aside, sideways over forward."""
    rolls = point.leg.motion is Motion.ROLLING
    prefs = site.preferences
    return prefs.side_pull_rolling if rolls else prefs.side_pull_sliding


@dataclass(frozen=True)
class Hauls:
    """A line that hauls the load on. `kept`: where the load would run on by itself a holding line
    keeps it, and this one is slack. `guide`: a steering line takes the side pull back to its limit."""

    site: Site
    kept: bool = False
    guide: Guide | None = None

    def looks(self, every: Sequence[Sequence[float]], *, edges: bool) -> list[Look]:
        """A sheave passes on its efficiency; what lies on an edge grips as well as it may, or as little:
        either may load something more."""
        well = [Look(tuple(etas)) for etas in every]
        return [*well, *(look._replace(grips=False) for look in well)] if edges else well

    def state(self, point: Point, spot: int, look: int, pulled: Pulled) -> State:
        """The pull that moves the load."""
        p, site = point, self.site
        sin, cos, c = p.along[2], p.normal[2], p.leg.resistance
        force = pulled.onto
        forward, lift, side = dot(force, p.along), dot(force, p.normal), dot(force, p.across)
        ideal_forward = dot(pulled.ideal, p.along)
        most_side = side_limit(site, p)
        # Per unit of pull: the steering line's tension, what it takes from the haul, presses, lifts.
        steer, less, onto, off = 0.0, 0.0, 0.0, 0.0
        if self.guide is not None and abs(side) > most_side * forward + 1e-12:
            steer, less, onto, off = _steered(site, p, self.guide, (forward, side), most_side)
            if steer == inf:
                why = "the steering line does not bring it back on line"
                return State(
                    p, spot, inf, 0.0, inf, forward, ideal_forward, pulled.limit, why, look=look
                )
            side = (most_side if side > 0.0 else -most_side) * forward
        eased = lift - onto
        least = c if p.leg.saved is None else min(c, p.leg.saved)
        gives = forward - less + (least if eased > 0.0 else c) * eased
        pull = p.weight * (sin + c * cos) / gives if gives > 0.0 else inf
        if p.step > 0.0:
            over = _over_step(site, p, p.weight / p.leg.moved, forward - less, lift - onto, pull)
            pull = max(pull, over)
        if self.kept and sin + c * cos <= 0.0:
            pull = 0.0
        elif not 0.0 < pull < inf or (
            not self.kept
            and p.leg.resistance_least is not None
            and sin + p.leg.resistance_least * cos <= 0.0
        ):
            why = "does not move, or runs by itself"
            return State(
                p, spot, inf, 0.0, inf, forward, ideal_forward, pulled.limit, why, look=look
            )
        reaction = p.weight * cos - pull * (lift + off)
        why = ""
        if reaction < -1e-6 * p.weight:
            why = "the load would hang"
        elif forward - less <= 0.0 or abs(side) > most_side * forward * (1.0 + 1e-9) + 1e-12:
            why = "the pull points too far to the side"
        elif pulled.limit <= 0.0:
            why = "the hauling line leaves the puller's run by too much"
        sideways = side / forward if forward else inf
        return State(
            p, spot, pull, reaction, sideways, forward, ideal_forward, pulled.limit, why,
            steer * pull, look,
        )  # fmt: skip


@dataclass(frozen=True)
class Holds:
    """A line that keeps the load from running back down its path. `limit`: what whoever holds it can
    hold in front of the turns, N; None where a puller does. Friction in the sheaves helps, by how much
    is not sure: the line is looked at with them as rated and with them running free."""

    site: Site
    limit: float | None = None

    def looks(self, every: Sequence[Sequence[float]], *, edges: bool) -> list[Look]:
        """A sheave passes on what it gets over its efficiency, and what lies on an edge grips well; or
        (looked at last) the one just what it gets, and the other grips as little as it may."""
        rated = [Look(tuple(1.0 / eta for eta in etas), slips=True) for etas in every]
        return [*rated, Look(tuple(1.0 for _ in every[0]), grips=False, slips=True)]

    def state(self, point: Point, spot: int, look: int, pulled: Pulled) -> State:
        """The tension that keeps the load."""
        p, site = point, self.site
        rope = pulled.onto
        forward, lift, side = dot(rope, p.along), dot(rope, p.normal), dot(rope, p.across)
        limit = pulled.limit if self.limit is None else self.limit
        force, pull, why = runs(p, 1.0), 0.0, ""
        if force > 0.0:
            gives = forward - p.sure * lift
            pull = force / gives if gives > 0.0 else inf
        if p.step > 0.0:
            pull = max(pull, _over_step(site, p, p.resting, forward, lift, pull))
        reaction = p.resting * p.normal[2] - (pull * lift if pull < inf else 0.0)
        if pull == inf:
            why = "it may run and nothing holds it"
        elif reaction < -1e-6 * p.resting:
            why = "the rig lifts it off the ground"
        elif pull > 0.0:
            if abs(side) > side_limit(site, p) * forward * (1.0 + 1e-9) + 1e-12:
                why = "the pull points too far to the side"
            elif limit <= 0.0:
                why = "the line leaves the puller's run by too much"
        sideways = abs(side) / forward if forward > 0.0 else inf
        return State(
            p, spot, pull, reaction, sideways, forward, dot(pulled.ideal, p.along), limit, why,
            look=look,
        )  # fmt: skip


@dataclass(frozen=True)
class Steers:
    """A line that is tended with a known tension. `given`: N at each point, by (m along the path, leg
    of the path); `limit`: N in front of the turns."""

    given: Mapping[tuple[float, Vec], float]
    limit: float

    def looks(self, every: Sequence[Sequence[float]], *, edges: bool) -> list[Look]:
        """No sheave hangs in it, and it runs over no edge."""
        return [Look(tuple(etas)) for etas in every]

    def state(self, point: Point, spot: int, look: int, pulled: Pulled) -> State:
        """The tension that the haul needs of it; `steer`: its part across the path, N."""
        pull = self.given.get(key(point), inf)
        if pull == inf:
            why = "the haul was not looked at here"
            return State(point, spot, inf, 0.0, inf, 0.0, 0.0, self.limit, why, inf, look)
        p = point
        rope = pulled.onto
        forward, lift, side = dot(rope, p.along), dot(rope, p.normal), dot(rope, p.across)
        return State(
            p, spot, pull, p.resting * p.normal[2] - pull * lift,
            abs(side) / forward if forward > 0.0 else inf, forward, forward, self.limit, "",
            abs(side) * pull, look,
        )  # fmt: skip


def key(point: Point) -> tuple[float, Vec]:
    """What distinguishes a point of the path from another: at a bend there are two."""
    return round(point.at, 7), point.leg.start


def _steered(
    site: Site, p: Point, guide: Guide, pulls: tuple[float, float], most_side: float
) -> tuple[float, float, float, float]:
    """Per unit of pull: tension of the steering line, what it holds back along the path, presses onto
    the ground, and lifts. `pulls`: forward and sideways. The forces alone balance."""
    forward, side = pulls
    x, y, z = site.anchor(guide.place.name).position
    hook = carried(p, guide.hitch.ahead, guide.hitch.left, guide.hitch.height)
    way, _ = toward(hook, (x, y, z + guide.place.height))
    back = max(-dot(way, p.along), 0.0)
    other_way = -dot(way, p.across) if side > 0.0 else dot(way, p.across)
    # |side| - tension * other_way = most_side * (forward - tension * back)
    gains = other_way - most_side * back
    if gains <= 1e-6:
        return inf, 0.0, 0.0, 0.0
    tension = (abs(side) - most_side * forward) / gains
    rise = dot(way, p.normal)
    return tension, tension * back, tension * max(-rise, 0.0), tension * max(rise, 0.0)


def _over_step(
    site: Site, p: Point, weight: float, forward: float, lift: float, plain: float
) -> float:
    """Moments about the edge for the axle on the step; the rest of the load rolls."""
    radius, share = site.load.wheel_radius, site.load.axle_share
    if radius is None or p.step >= radius:
        return inf
    arm = radius - p.step
    foot = sqrt(radius * radius - arm * arm)
    gives = forward * arm + lift * foot
    if gives <= 0.0:
        return inf
    needs = share * weight * (p.along[2] * arm + p.normal[2] * foot)
    return needs / gives + plain * (1.0 - share)
