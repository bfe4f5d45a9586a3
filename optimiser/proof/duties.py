"""Works out what a line on the load has to pull, by what it is for: hauling, holding, steering.

Equilibrium of the load along and across its path, at impending motion, written out with the load at each
of P points in each of V variants (`optimiser.proof.loads.states`).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from catalogue.ground import Motion
from optimiser.mechanics.arrays import Array, Mask
from optimiser.mechanics.resting import Rest
from optimiser.mechanics.values import Vec
from optimiser.proof.loads.states import Needs, Pulled
from optimiser.proof.loads.taut_line import Look, Passes
from optimiser.proof.pieces.read_figures import figure
from optimiser.proof.place.course import Course
from optimiser.proof.place.points import Point
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
    near = falls < max(balance, keeps + figure("hold", "told_apart")) - LEVEL
    return Rest.TOO_CLOSE if near else Rest.RUNS


def side_limit(site: Site, point: Point) -> float:
    """How far the pull may point aside, sideways over forward."""
    rolls = point.leg.motion is Motion.ROLLING
    prefs = site.preferences
    return prefs.side_pull_rolling if rolls else prefs.side_pull_sliding


def _on(force: Array, way: Array) -> Array:
    """The part of forces (P, V, 3) along a way at each point (P, 3)."""
    return np.asarray((force * way[:, None]).sum(axis=2))


def _each(values: Sequence[float]) -> Array:
    """One value a point, to go with arrays (P, V)."""
    return np.array(values, dtype=float)[:, None]


def _sideways(site: Site, course: Course) -> Array:
    """The limit of the side pull at each point, (P, 1)."""
    return _each([side_limit(site, point) for point in course.points])


def _astray(side: Array, forward: Array, most: Array) -> Mask:
    """Whether a pull points too far aside."""
    return np.asarray(np.abs(side) > most * forward * (1.0 + 1e-9) + 1e-12)


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

    @np.errstate(all="ignore")
    def needs(self, course: Course, pulled: Pulled) -> Needs:
        """The pull that moves the load."""
        legs = [point.leg for point in course.points]
        sine, cos = course.along[:, 2, None], course.normal[:, 2, None]
        c = _each([leg.resistance for leg in legs])
        forward, lift, side = (
            _on(pulled.onto, way) for way in (course.along, course.normal, course.across)
        )
        most_side = _sideways(self.site, course)
        steers = _nothing(forward)
        if self.guide is not None:
            needed = np.abs(side) > most_side * forward + 1e-12
            steers = _steered(self.site, course, self.guide, forward, side, most_side, needed)
            side = np.where(needed, np.sign(side) * most_side * forward, side)
        eased = lift - steers.onto
        saved = _each([leg.resistance if leg.saved is None else leg.saved for leg in legs])
        gives = forward - steers.less + np.where(eased > 0.0, np.minimum(c, saved), c) * eased
        weight = course.weight[:, None]
        pull = np.where(gives > 0.0, weight * (sine + c * cos) / gives, inf)
        if (course.step > 0.0).any():
            own = weight / _each([leg.moved for leg in legs])
            over = _over_step(self.site, course, own, forward - steers.less, eased, pull)
            pull = np.where(course.step[:, None] > 0.0, np.fmax(pull, over), pull)
        least = _each(
            [inf if leg.resistance_least is None else leg.resistance_least for leg in legs]
        )
        slack = self.kept & (sine + c * cos <= 0.0)
        runs_on = (not self.kept) & (sine + least * cos <= 0.0)
        stuck = ~slack & (~((pull > 0.0) & (pull < inf)) | runs_on)
        lost = np.isinf(steers.tension)
        pull = np.where(stuck | lost, inf, np.where(slack, 0.0, pull))
        lifted = lift + steers.off
        reaction = np.where(np.isinf(pull), 0.0, weight * cos - pull * lifted)
        aside = (forward - steers.less <= 0.0) | _astray(side, forward, most_side)
        why = (
            ("the steering line does not bring it back on line", lost),
            ("does not move, or runs by itself", stuck),
            ("the load would hang", reaction < -1e-6 * weight),
            ("the pull points too far to the side", aside & ~np.isinf(pull)),
            ("the hauling line leaves the puller's run by too much", pulled.limit <= 0.0),
        )
        leans = np.where((forward == 0.0) | np.isinf(pull), inf, side / forward)
        steer = np.where(np.isinf(pull), 0.0, steers.tension * pull)
        ideal = _on(pulled.ideal, course.along)
        return Needs(pull, reaction, leans, forward, ideal, pulled.limit, steer, why)


@dataclass(frozen=True)
class Holds:
    """A line that keeps the load from running back down its path. `limit`: what whoever holds it can
    hold in front of the turns, N; None where a puller does. Friction in the sheaves helps, by how much
    is not sure, and for each of them by itself: the line is looked at with them as rated, running free, and
    with some of them this way and some the other."""

    site: Site
    limit: float | None = None

    def looks(self, every: Sequence[Sequence[float]], *, edges: bool) -> list[Look]:
        """A sheave passes on what it gets over its efficiency, and what lies on an edge grips well; or each
        by itself just what it gets, and grips as little as it may. All of that at once comes last."""
        rated = [Look(tuple(1.0 / eta for eta in etas), slips=True) for etas in every]
        lowest, none = rated[0].passes, tuple(1.0 for _ in every[0])
        others: list[Passes] = [none]
        for n, passes in enumerate(lowest):
            others += [(*one[:n], passes, *one[n + 1 :]) for one in others]
        looks = [
            Look(passes, grips=grips, slips=True)
            for passes in others[::-1]
            for grips in ((True, False) if edges else (False,))
            if not (passes == lowest and (grips or not edges))
        ]
        return [*rated, *looks] if lowest else [*rated, Look(none, grips=False, slips=True)]

    @np.errstate(all="ignore")
    def needs(self, course: Course, pulled: Pulled) -> Needs:
        """The tension that keeps the load."""
        forward, lift, side = (
            _on(pulled.onto, way) for way in (course.along, course.normal, course.across)
        )
        limit = pulled.limit if self.limit is None else np.full_like(pulled.limit, self.limit)
        force = _each([runs(point, 1.0) for point in course.points])
        gives = forward - _each([point.sure for point in course.points]) * lift
        pull = np.where(force > 0.0, np.where(gives > 0.0, force / gives, inf), 0.0)
        resting = course.resting[:, None]
        if (course.step > 0.0).any():
            over = _over_step(self.site, course, resting, forward, lift, pull)
            pull = np.where(course.step[:, None] > 0.0, np.fmax(pull, over), pull)
        carried = np.where(pull < inf, pull * lift, 0.0)
        reaction = resting * course.normal[:, 2, None] - carried
        tight = (pull > 0.0) & (pull < inf)
        why = (
            ("it may run and nothing holds it", np.isinf(pull)),
            ("the rig lifts it off the ground", (pull < inf) & (reaction < -1e-6 * resting)),
            (
                "the pull points too far to the side",
                tight & _astray(side, forward, _sideways(self.site, course)),
            ),
            ("the line leaves the puller's run by too much", tight & (limit <= 0.0)),
        )
        sideways = np.where(forward > 0.0, np.abs(side) / forward, inf)
        ideal = _on(pulled.ideal, course.along)
        nothing = np.zeros_like(pull)
        return Needs(pull, reaction, sideways, forward, ideal, limit, nothing, why)


@dataclass(frozen=True)
class Steers:
    """A line that is tended with a known tension. `given`: N at each point, by (m along the path, leg
    of the path); `limit`: N in front of the turns."""

    given: Mapping[tuple[float, Vec], float]
    limit: float

    def looks(self, every: Sequence[Sequence[float]], *, edges: bool) -> list[Look]:
        """No sheave hangs in it, and it runs over no edge."""
        return [Look(tuple(etas)) for etas in every]

    @np.errstate(all="ignore")
    def needs(self, course: Course, pulled: Pulled) -> Needs:
        """The tension that the haul needs of it; `steer`: its part across the path, N."""
        forward, lift, side = (
            _on(pulled.onto, way) for way in (course.along, course.normal, course.across)
        )
        given = _each([self.given.get(key(point), inf) for point in course.points])
        pull = np.broadcast_to(given, forward.shape)
        reaction = course.resting[:, None] * course.normal[:, 2, None] - pull * lift
        sideways = np.where(forward > 0.0, np.abs(side) / forward, inf)
        limit = np.full_like(pulled.limit, self.limit)
        why = (("the haul was not looked at here", np.isinf(pull)),)
        return Needs(pull, reaction, sideways, forward, forward, limit, np.abs(side) * pull, why)


def key(point: Point) -> tuple[float, Vec]:
    """What distinguishes a point of the path from another: at a bend there are two."""
    return round(point.at, 7), point.leg.start


@dataclass(frozen=True, slots=True, eq=False)
class _Steering:
    """Per unit of pull, (P, V): tension of the steering line, what it holds back along the path, presses onto
    the ground, and lifts."""

    tension: Array
    less: Array
    onto: Array
    off: Array


def _nothing(like: Array) -> _Steering:
    nothing = np.zeros_like(like)
    return _Steering(nothing, nothing, nothing, nothing)


def _steered(
    site: Site, course: Course, guide: Guide, forward: Array, side: Array, most_side: Array,
    needed: Mask,
) -> _Steering:  # fmt: skip
    """What the steering line does where it is needed. The forces alone balance."""
    x, y, z = site.anchor(guide.place.name).position
    hook = course.carried(guide.hitch.ahead, guide.hitch.left, guide.hitch.height)
    way = np.array((x, y, z + guide.place.height)) - hook
    way = way / np.sqrt((way * way).sum(axis=1, keepdims=True))
    on, across, rise = (
        (way * axis).sum(axis=1)[:, None] for axis in (course.along, course.across, course.normal)
    )
    back = np.maximum(-on, 0.0)
    other_way = np.where(side > 0.0, -across, across)
    # |side| - tension * other_way = most_side * (forward - tension * back)
    gains = other_way - most_side * back
    able = gains > 1e-6
    tension = np.where(able, (np.abs(side) - most_side * forward) / gains, inf)
    tension = np.where(needed, tension, 0.0)
    sure = np.where(able, tension, 0.0)
    return _Steering(
        tension, sure * back, sure * np.maximum(-rise, 0.0), sure * np.maximum(rise, 0.0)
    )


def _over_step(
    site: Site, course: Course, weight: Array, forward: Array, lift: Array, plain: Array
) -> Array:
    """Moments about the edge for the axle on the step; the rest of the load rolls."""
    radius, share = site.load.wheel_radius, site.load.axle_share
    if radius is None:
        return np.full_like(forward, inf)
    step = course.step[:, None]
    arm = radius - step
    foot = np.sqrt(np.maximum(radius * radius - arm * arm, 0.0))
    gives = forward * arm + lift * foot
    needs = share * weight * (course.along[:, 2, None] * arm + course.normal[:, 2, None] * foot)
    return np.where((step < radius) & (gives > 0.0), needs / gives + plain * (1.0 - share), inf)
