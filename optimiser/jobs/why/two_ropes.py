"""Checks one tackle on tackle: the rig with its gear, or what stops it and what would cure it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from optimiser.jobs.hold.kept import SecondLines
from optimiser.jobs.hold.not_held import not_held
from optimiser.jobs.question import WHY, WhyQuestion
from optimiser.jobs.why.cures.of_two import Walks, cures
from optimiser.jobs.why.cures.searching import PATIENCE
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.placed import only_places, with_places
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.forces.courses import Course
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.assign import CAP, Filled
from optimiser.rig.gear.fill import loose_margin
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene, for_two_ropes
from optimiser.rig.ground.stations import Stations
from optimiser.rig.order import Order
from optimiser.rig.setup import Change, Setup
from optimiser.rig.two_ropes.pairs import grips_on
from optimiser.rig.two_ropes.variants import variants
from optimiser.rig.walk import Walk
from optimiser.search.clock import Clock
from optimiser.site.counts import Count
from optimiser.site.model import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class ExplainedPair:
    """The best filling of the two walks, or what stops them (in words, each once) and the smallest changes
    each of which cures it by itself."""

    setup: Setup | None
    stops: tuple[str, ...]
    cures: tuple[Change, ...] = ()

    @property
    def works(self) -> bool:
        return self.setup is not None


def explain(
    site: Site,
    walks: tuple[Walk, Walk],
    question: WhyQuestion = WHY,
    *,
    kit: Kit | None = None,
    stations: Stations | None = None,
    clock: Clock | None = None,
) -> ExplainedPair:
    """Put a first and a second walk to every check. The second's parts at the grip lead to one
    place at an anchor (`optimiser.rig.notation`). `stations`: a stretch of the path instead of the whole;
    `clock`: how long cures are looked for, PATIENCE if left out."""
    placed = with_places(site, (*walks[0], *walks[1]))
    job = Job.of(placed, question.rules(site), kit=kit, stations=stations)
    job = replace(job, kept=question.hold)
    best, stops, runs = _tried(job, walks)
    if best is not None:
        setup = build_setup(best, rank=1)
        if question.hold:
            return _kept_in_hand(job, setup, clock or Clock(None, None).within(PATIENCE))
        verify(placed, setup, extra=job.kit.pieces)
        return ExplainedPair(setup=setup, stops=())
    distinct = dict.fromkeys(stops) or {"there are not enough sheaves for it": None}
    clock = clock or Clock(None, None).within(PATIENCE)
    found = cures(job, walks, lambda some, them: _tried(some, them)[0], clock, placed=runs)
    return ExplainedPair(setup=None, stops=tuple(distinct), cures=found)


def _kept_in_hand(job: Job, setup: Setup, clock: Clock) -> ExplainedPair:
    """The setup with its holding lines, or why what it leaves gives none. No steering line is looked for."""
    kept = SecondLines(job.site, clock).kept(setup, extra=job.kit.pieces)
    if kept is not None:
        return ExplainedPair(setup=kept, stops=())
    bare = not_held(job.site, setup, clock)
    return ExplainedPair(
        setup=None,
        stops=tuple(dict.fromkeys(reason for one in bare for reason in one.reasons)),
        cures=tuple(Change(text=text, amount=0.0, unit="") for one in bare for text in one.cures),
    )


def _tried(job: Job, walks: Walks) -> tuple[Filled | None, list[str], bool]:
    """The filling of the greatest margin that the two walks have, what stops them, and whether it is only
    gear that does: nothing is in the lines' way, and they pull as they may."""
    order, kit, best = Order.of(job.site.preferences), job.kit, None
    stops: list[str] = []
    runs = False
    there = only_places(job.site, (*walks[0], *walks[1]))
    every = replace(job, site=there).every_scene()
    for scene in for_two_ropes(replace(scene, guides=()) for scene in every):
        if scene.puller.name != walks[1][-1].name:
            continue
        for ev in _evaluated(scene, kit, walks):
            stops += [failure.text for failure in ev.verdict.failures(0)]
            if not ev.works.all():
                continue
            runs = True
            found, why = _filled(ev, kit, order, job.floor)
            stops += why
            if found is not None and (best is None or found.margin > best.margin):
                best = found
    return best, stops, runs


def _number(scene: Scene, place: object) -> int | None:
    if getattr(place, "kind", "") == "grip":
        return GRIP_NUMBER
    return scene.number.get(place)  # type: ignore[call-overload]


def _evaluated(scene: Scene, kit: Kit, walks: Walks) -> Iterator[Evaluation]:
    both = np.array([[_number(scene, place) for walk in walks for place in walk]], dtype=np.int64)
    course = Course.of(both)
    for etas in eta_patterns(kit, len(course.turning)):
        yield evaluate(scene, both, course.spread(np.array([etas])))


def _filled(
    ev: Evaluation, kit: Kit, order: Order, floor: float
) -> tuple[Filled | None, list[str]]:
    """The filling of the greatest margin, or why there is none."""
    if not any(grips_on(kit, rope) for rope in kit.ropes):
        return None, [
            "nothing at hand grips a rope: no friction hitch, rope grip or knot in the bight"
        ]
    row = RigRow(ev, 0)
    if not row.works_throughout:
        return None, ["it fails where its sheaves run more freely, within their range"]
    able = list(variants(row, kit))
    if not able:
        return None, ["no two ropes are long enough, or the grip has no half metre to go"]
    best = Filler(replace(order, names=(Count.MARGIN,), enough=CAP), floor).best(able)
    if best is not None:
        return best, []
    reach = max(loose_margin(variant) for variant in able)
    if reach >= floor:
        return None, ["there are not enough pieces that fit and are strong enough together"]
    return None, [f"the margin is {reach:.2f} at most, and {floor:g} is wanted"]
