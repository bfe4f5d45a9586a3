"""Answers `lever`: shares of the weight, the order of corners, the hand's force."""

from dataclasses import replace
from math import ceil, degrees

from optimiser.jobs.lever.cautions import cautions
from optimiser.jobs.lever.corner_order import best_order, limits
from optimiser.jobs.lever.layers import LIFTED, Move, Yard
from optimiser.jobs.lever.results import CornerShare, Levering, Step
from optimiser.jobs.question import LEVER, LeverQuestion
from optimiser.mechanics.ground.bars import centre_from_weighed, share_bounds, spring_shares
from optimiser.mechanics.published import number
from optimiser.site.lever import LeverJob
from optimiser.site.model import Site
from shared.errors import Fault, InputError


def lever(site: Site, question: LeverQuestion = LEVER) -> Levering:
    """Answers how to raise the load of a site corner by corner.

    The frame counts as stiff, which needs the most of the bar. Raises InputError where the site has
    no table for raising, or where the load does not stand to begin with.
    """
    job = site.lever
    if job is None:
        message = (
            "missing: the [lever] table (corners, centre of gravity, bar, blocks); "
            "`bankhaul schema` has its keys"
        )
        raise InputError(site.title or "site", [Fault("lever", message)])
    return raise_load(job, weight=site.load.weight, hand=question.hand, title=site.title)


def raise_load(
    job: LeverJob, *, weight: float, hand: float | None = None, title: str = "site"
) -> Levering:
    """`lever` for a job by itself; `weight` [N] counts where the corners are not weighed."""
    points = [(c.ahead, c.left) for c in job.corners]
    weighed = [c.weighed for c in job.corners if c.weighed is not None]
    centre = job.centre
    if len(weighed) == len(points):
        centre, weight = centre_from_weighed(corners=points, weighed=weighed), sum(weighed)
    assert centre is not None
    yard = Yard(job, weight, centre)
    standing = yard.standing((0,) * len(points))
    if not standing:
        message = "the load tips over as it stands: its centre of gravity is not over its corners"
        raise InputError(title, [Fault("lever", message)])
    foot = standing[0].foot
    bounds = share_bounds(corners=points, at=foot)
    even = spring_shares(corners=points, at=foot)
    shares = tuple(
        CornerShare(
            name=corner.name,
            least=low * weight,
            even=share * weight,
            most=high * weight,
            weighed=corner.weighed,
            raise_force=_first_lift(yard, i) * weight,
        )
        for i, (corner, (low, high), share) in enumerate(
            zip(job.corners, bounds, even, strict=True)
        )
    )
    published = number("hold", "start_or_stop")
    most, source = published.value, published.source
    if hand is not None or job.hand is not None:
        most, source = (hand if hand is not None else job.hand or 0.0), "site"
    layers = ceil(job.wanted / job.block - 1e-9)
    answer = Levering(
        weight=weight,
        centre=centre,
        corners=shares,
        steps=(),
        layers=layers,
        block=job.block,
        raised=layers * job.block,
        hand_limit=most,
        hand_source=source,
        bar_ratio=(job.bar - job.nose) / job.nose,
        bar_rating=job.bar_rating,
        spare_wanted=job.spare_tilt,
        orders=0,
    )
    plan = best_order(yard, layers, least_spare=job.spare_tilt, most_force=yard.weight_limit(most))
    if plan is None:
        return replace(answer, reasons=tuple(_why(yard, layers, most)))
    steps = tuple(_step(job, i, move) for i, move in enumerate(plan.moves, start=1))
    answer = replace(answer, steps=steps, orders=plan.states)
    return replace(answer, cautions=cautions(job, answer))


def _first_lift(yard: Yard, corner: int) -> float:
    """Share of the weight that the bar takes as a corner just comes off, the frame stiff."""
    lifted = yard.raised((0,) * len(yard.job.corners), corner, LIFTED)
    return max((stance.shares[corner] for stance in lifted), default=0.0)


def _step(job: LeverJob, index: int, move: Move) -> Step:
    names = [corner.name for corner in job.corners]
    return Step(
        number=index,
        corner=names[move.corner],
        layer=move.to[move.corner],
        force=move.force,
        hand=move.hand,
        bites=move.bites,
        fulcrum=move.fulcrum,
        stack=move.to[move.corner] * job.block,
        rests_on=tuple(names[i] for i in move.on),
        spare_tilt=move.spare,
        over=(names[move.over[0]], names[move.over[1]]),
    )


def _why(yard: Yard, layers: int, hand: float) -> list[str]:
    """What stops every order, and by how much."""
    job = yard.job
    spare, force = limits(yard, layers)
    if spare < -1.0:
        return ["in every order of corners the load tips over before it is up"]
    out = []
    if spare < job.spare_tilt - 1e-9:
        out.append(
            f"it never stands more than {degrees(spare):.1f} degrees from tipping over at worst; "
            f"{degrees(job.spare_tilt):.1f} are wanted: thinner blocks, or level the ground first"
        )
    needed = yard.hand_for(force)
    if needed > hand + 1e-9:
        least = job.nose * (1.0 + force / hand)
        out.append(
            f"the hand would need {needed:.0f} N and may have {hand:.0f} N: a bar of {least:.2f} m "
            f"with the fulcrum {job.nose:.2f} m from its tip would do, or more hands"
        )
    if job.bar_rating is not None and force > job.bar_rating + 1e-9:
        out.append(f"the bar's tip would carry {force:.0f} N, it stands {job.bar_rating:.0f} N")
    return out or [
        "the order that tips least asks too much of the hand or the bar, and the others tip"
    ]
