"""Answers `lower`: setups for the whole way down, or the stages it takes."""

from dataclasses import replace

from optimiser.jobs.lower.build import build
from optimiser.jobs.lower.downhill import notes, upward
from optimiser.jobs.lower.hold_job import MOST_SHEAVES, ORDER, HoldJob
from optimiser.jobs.lower.results import Lowering
from optimiser.jobs.lower.stages import plan_stages
from optimiser.jobs.lower.zones import held_stretch, zones
from optimiser.jobs.question import LOWER, LowerQuestion
from optimiser.proof.way_down import verify_way_down
from optimiser.proof.whole_way import verify_course
from optimiser.rig.forces.holders import HandLimit, hand_limit, holding_scenes
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.search.clock import Clock, Progress
from optimiser.search.count import walks_in_space
from optimiser.search.line import Line, letting_down
from optimiser.search.listing import Wanted, best_listed, settled
from optimiser.site.model import Site
from optimiser.site.origin import as_changed


def lower(
    site: Site,
    question: LowerQuestion = LOWER,
    *,
    staged: bool = True,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> Lowering:
    """The best ways to let the load down the whole path, or the plan with the fewest stages. `staged`: look
    for stages too where no one hold does.

    Whichever end of the path is higher, the load is let down to the other.
    The ground's resistance counts with the share of its lowest figure that is counted on, the weight as it
    rests. `progress`: a sign of life; `clock`: in place of the question's limit and of `progress`, a part
    of another job's.
    """
    rising = upward(site)
    limit = hand_limit(rising.preferences, question.hold)
    job = _job(rising, question, limit, clock or Clock(question.time_limit, progress))
    answer = _searched(job, site, limit, question, staged=staged)
    verify_course(rising, answer)
    if not site.uncertain:
        return answer
    from optimiser.jobs.lower.guessed import with_ends  # not needed where all is certain

    return with_ends(as_changed(site), answer, hand=question.hold)


def _job(site: Site, question: LowerQuestion, limit: HandLimit, clock: Clock) -> HoldJob:
    """The search that a question wants; `site` rises along its path."""
    return HoldJob(
        site=site,
        kit=kit_of(site),
        hand=limit,
        order=Order(ORDER, site.preferences.enough, comfort=limit.comfort),
        rules=question.rules(site),
        sheaves=_usual(site) if question.most_sheaves is None else question.most_sheaves,
        clock=clock,
    )


def _searched(
    job: HoldJob, given: Site, limit: HandLimit, question: LowerQuestion, *, staged: bool
) -> Lowering:
    """What is found, each way down re-checked by itself."""
    site = job.site
    whole = list(holding_scenes(site, lay_stations(site), kit_of(site)))
    stretch = held_stretch(whole[0])
    empty = _answer(job, whole[0], limit, given)
    if stretch is None:
        return replace(empty, proven=True)
    scenes = [scene.with_stations(scene.stations.pick(stretch)) for scene in whole]
    wanted = Wanted(
        top=question.top,
        order=job.order,
        floor=job.floor,
        everything=True,
        join_ropes=False,  # a knot between two ropes cannot be eased round a trunk
        line=job.line,
    )
    listing = best_listed(site, scenes, job.kit, job.rules, wanted, job.clock)
    setups = tuple(
        build(filled, rank=i + 1, hand_source=limit.source)
        for i, (filled, _) in enumerate(settled(listing, wanted, job.clock))
    )
    for setup in setups:
        verify_way_down(site, setup, hand=question.hold)
    found = replace(
        empty,
        setups=setups,
        space=sum(walks_in_space(scene, job.kit, job.rules, job.line) for scene in scenes),
        looked_at=listing.looked_at,
        confirmed=listing.confirmed,
        proven=listing.proven,
        unsearched=listing.unsearched,
    )
    if setups or job.clock.stopped or not staged:
        return found
    ends = scenes[0].stations.at
    plan = plan_stages(job, whole, (float(ends[0]), float(ends[-1])))
    built = tuple(
        build(filled, rank=i + 1, hand_source=limit.source) for i, filled in enumerate(plan.filled)
    )
    for setup in built:
        verify_way_down(site, setup, hand=question.hold)
    return replace(
        found,
        stages=built,
        stuck_at=plan.stuck_at,
        reasons=plan.reasons,
        misses=plan.misses,
        proven=not job.clock.stopped,
    )


def _usual(site: Site) -> int:
    return min(MOST_SHEAVES, site.preferences.most_sheaves)


def usual_line(site: Site) -> Line:
    """A rope that lets the load down with what is usually asked of a hand, and so many sheaves at most."""
    return letting_down(hand_limit(site.preferences, None), _usual(site))


def _answer(job: HoldJob, scene: Scene, limit: HandLimit, given: Site) -> Lowering:
    """The answer before anything is searched."""
    st, found = scene.stations, zones(scene)
    return Lowering(
        site=job.site,
        turned=job.site is not given,
        notes=notes(given, scene, found),
        setups=(),
        stages=(),
        zones=found,
        from_m=float(st.at[-1]),
        to_m=float(st.at[0]),
        hand_limit=limit.most,
        hand_source=limit.source,
        hand_comfort=limit.comfort,
        order=job.order.names,
        rules=job.rules.names,
        most_sheaves=min(job.sheaves, job.kit.sheave_count),
        proven=False,
        space=0,
        looked_at=0,
        confirmed=0,
    )
