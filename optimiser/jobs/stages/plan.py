"""Plans a pull in stages: finds the best chain of setups, and lists what to do between them."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from math import inf

from optimiser.jobs.hold.kept import SecondLines, kept_scenes, may_need
from optimiser.jobs.hold.not_held import not_held
from optimiser.jobs.hold.results import NotHeld
from optimiser.jobs.put_together import may_bring_more, more_margin
from optimiser.jobs.question import STAGES, MissesQuestion, StagesQuestion
from optimiser.jobs.stages.changeover import change
from optimiser.jobs.stages.results import Change, Gap, Plan, Reach
from optimiser.jobs.stages.what_stops import Rig
from optimiser.jobs.why.misses.nearest import nearest_misses
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.rig.setup import PutTogether, Setup
from optimiser.rig.status import Status
from optimiser.search.clock import Clock, Progress
from optimiser.search.listing import anything_unrated
from optimiser.search.refine import refined
from optimiser.search.rules import Rules
from optimiser.search.stages import shortest_chain as chains
from optimiser.search.stages.choose import (
    Choice,
    Limits,
    choose,
    order_of,
    without_stages,
)
from optimiser.search.stages.finder import Caps, Finder, Task, TimeUp
from optimiser.search.stages.track import GRAIN, Track
from optimiser.search.two_ropes.scope import scope
from optimiser.site.counts import Count, OfPlan, PlanCount
from optimiser.site.model import Site

FAR = 40
"""Stages beyond which nobody counts how many a plan would need."""


def plan_stages(
    site: Site,
    question: StagesQuestion = STAGES,
    *,
    kit: Kit | None = None,
    known: Sequence[int] = (),
    patience: float | None = None,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> Plan:
    """The best chain of setups that covers the path, fully rated if there is one.

    Counts that `question.by` does not name come after those it names, in the order of the site's
    preferences. A plan of one stage is the setup that `rank` has first by the same counts.
    `kit`: gear in place of what the site owns; `progress`: a sign of life. As a part of another job: `known`:
    marks between which stages are known to do, so that there is a plan however soon the time is up;
    `patience`: effort for bettering a plan once there is one, if nobody set a time limit (whether there is
    one is settled; where there is none the reason is not looked for); `clock`: in place of a limit and a
    progress. Raises ValueError for an unknown count.
    """
    clock = clock or Clock(question.time_limit, progress)
    plans = _Plans(site, question, kit or kit_of(site), clock, known, patience)
    looked = scope(question.compound, plans.scenes, plans.kit, plans.rules)
    planner, plan = plans.under(replace(plans.rules, compound=looked.on))
    left = looked.left
    if left and plan.status is Status.NOTHING_WORKS:
        left = False
        planner, plan = plans.under(replace(plans.rules, compound=True))
    if plan.status is Status.NOTHING_WORKS and patience is None:
        plan = replace(planner.denied(explain=question.explain), compounds=plan.compounds)
    more = plans.put_together(plan) if question.explain and patience is None else None
    return replace(plan, compounds_left=left, put_together=more)


class _Plans:
    """The plans that a question lets be made: with rated gear, with any, with ropes put together."""

    def __init__(
        self,
        site: Site,
        question: StagesQuestion,
        kit: Kit,
        clock: Clock,
        known: Sequence[int],
        patience: float | None,
    ) -> None:
        self.site, self.question, self.kit, self.clock = site, question, kit, clock
        self.rules = question.rules(site)
        self.kept = question.hold and may_need(site)
        tabulated = kept_scenes if self.kept else scenes
        self.scenes = list(tabulated(site, lay_stations(site, gear=kit.pieces), kit))
        self._lines = SecondLines(site, clock) if self.kept else None
        self._rated = [scene for scene in self.scenes if scene.rated]
        self._loose = bool(self._rated) and anything_unrated(site, self.scenes, kit)
        self._order = order_of(question.by or (), site.preferences)
        self._known, self._patience = known, patience

    def under(self, rules: Rules) -> "tuple[_Planner, Plan]":
        """The best plan; pieces without a rating only where there is none without them."""
        planner, plan = self._attempt(rules, bool(self._rated))
        if plan.status is Status.NOTHING_WORKS and self._loose:
            planner, plan = self._attempt(rules, only_rated=False)
        return planner, replace(plan, compounds=rules.compound)

    def _attempt(self, rules: Rules, only_rated: bool) -> "tuple[_Planner, Plan]":
        """The best plan; ropes put together where that is requested or saves a stage."""
        most = self.question.most_stages
        task = self._task(rules, only_rated)
        longer = with_joined(task.kit)
        if self.question.join_ropes:
            task = replace(task, kit=longer)
        first = self._planner(task, self._known, self._patience)
        plan = first.plan()
        settled = not plan.proven or len(plan.stages) == 1
        if self.question.join_ropes is not None or settled:
            return first, plan
        more = self._patience if not plan.stages else None  # else what is left of it
        second = self._planner(replace(task, kit=longer), (), more)
        joined = second.plan(most_stages=len(plan.stages) - 1 if plan.stages else most)
        if joined.stages and (
            not plan.stages or _worth(joined, self.site) < _worth(plan, self.site)
        ):
            return second, replace(joined, most_stages=most)
        return second, replace(plan, proven=joined.proven)

    def put_together(self, plan: Plan) -> PutTogether | None:
        """What ropes that are put together bring in the weakest stage of a plan without any."""
        ropes = [line.rope for stage in plan.stages for line in stage.lines]
        least = min((stage.margin for stage in plan.stages), default=0.0)
        known = may_bring_more(self.site, self.kit, ropes, least, self.question.join_ropes)
        if known is None or self.question.hold:  # more margin may leave too little for second lines
            return known
        weakest = min(plan.stages, key=lambda stage: stage.margin)
        begin, end = weakest.from_m, weakest.to_m
        laid = lay_stations(self.site, (begin, end), self.kit.pieces)
        every = list(scenes(self.site, laid.pick(laid.between(begin, end)), self.kit))
        return more_margin(self.site, every, self.kit, self.rules, weakest.margin, self.clock)

    def _task(self, rules: Rules, only_rated: bool) -> Task:
        track = Track(self.site, self._rated if only_rated else self.scenes, self.question.grain)
        pieces = self.kit.rated_only if only_rated else self.kit
        admit = None if self._lines is None else self._lines.admit
        enough = self.site.preferences.enough
        never = None if self._lines is None else self._lines.never
        return Task(track, pieces, rules, only_rated, enough, self.clock, admit=admit, never=never)

    def _planner(self, task: Task, known: Sequence[int], patience: float | None) -> "_Planner":
        most = self.question.most_stages
        without = self.question.without
        finder = Finder[Caps](task)
        return _Planner(self.site, finder, self._order, most, without, known, patience, self._lines)


def _unlimited(choice: Choice, caps: Caps) -> Choice:
    """The choice of one stage, with no limits but those of the site: the order of a ranking then chooses
    the setup, which knows rules that limits of a whole chain do not (`optimiser.rig.ground.standing`)."""
    (link,) = choice.chain.links
    return Choice(
        chains.Chain((replace(link, resets=inf),)), replace(choice.limits, caps=caps, resets=inf)
    )


def _worth(plan: Plan, site: Site) -> list[float]:
    """What a plan is worth by its order: less is better."""
    bands = Order.of(site.preferences)
    counts = {
        OfPlan.STAGES: float(len(plan.stages)),
        Count.RESETS: float(plan.resets),
        Count.MARGIN: -float(bands.band_of(plan.margin or 0.0)),
        Count.ROPE: plan.rope_needed or 0.0,
    }
    return [counts[name] for name in plan.order if name in counts]


class _Planner:
    """One search for a plan."""

    def __init__(
        self,
        site: Site,
        finder: Finder[Caps],
        order: tuple[PlanCount, ...],
        most_stages: int,
        without: tuple[str, ...],
        known: Sequence[int] = (),
        patience: float | None = None,
        lines: SecondLines | None = None,
    ) -> None:
        self.site, self.finder, self.order = site, finder, order
        self._lines = lines
        self.most_stages, self._patience = most_stages, patience
        self._without = without
        self.track = finder.track
        self.caps = Caps(site.preferences.margin_wanted)
        self.chosen: Choice | None = None
        if known:
            links = tuple(chains.Link(a, b, inf) for a, b in pairwise(known))
            self._note(Choice(chains.Chain(links), Limits(self.caps, most_stages)))

    def plan(self, *, most_stages: int | None = None) -> Plan:
        """The best plan; without stages where there is none."""
        proven = True
        limits = Limits(self.caps, most_stages or self.most_stages)
        try:
            if self.track.scenes:
                self.chosen = choose(self.finder, self.order, limits, self._note)
            filled = self._fill(self.chosen)
        except TimeUp:
            proven = False
            filled = self._any_fill(self.chosen)
        return self._as_plan(filled, proven)

    def _note(self, choice: Choice) -> None:
        if self.chosen is None and self._patience is not None:
            self.finder.task.clock.allow(self._patience)
        self.chosen = choice

    def _fill(self, choice: Choice | None) -> list[Filled]:
        """The best setup of each stretch of the chain, by the order and within the limits."""
        if choice is None:
            return []
        names = without_stages(self.order)
        if len(choice.chain.links) == 1:
            choice = _unlimited(choice, self.caps)
        out = []
        for link in choice.chain.links:
            caps = replace(choice.limits.caps, resets=link.resets)
            entry = self.finder.best(link.begin, link.end, caps, names)
            assert entry is not None, "a stretch that had a setup has none"
            order = Order(names, self.site.preferences.enough, most_resets=link.resets)
            filler = Filler(order, self.site.preferences.margin_wanted)
            # Another filling than the one that has its second lines need not have them, nor another spot.
            if self._lines is not None:
                out.append(entry.filled)
            else:
                settled = filler.settled(entry.filled, entry.rivals)
                out.append(refined(settled, order, caps.margin))
        return out

    def _any_fill(self, choice: Choice | None) -> list[Filled]:
        """Some setup for each stretch, where the time is up; none where what was known took other gear."""
        if choice is None:
            return []
        out = []
        unhurried = Finder[Caps](replace(self.finder.task, clock=Clock(None, None, heedless=True)))
        for link in choice.chain.links:
            caps = replace(choice.limits.caps, resets=link.resets)
            entry = unhurried.some(link.begin, link.end, caps)
            if entry is None:
                return []
            out.append(entry.filled)
        return out

    def _as_plan(self, filled: list[Filled], proven: bool) -> Plan:
        setups = tuple(self._built(f, rank=i + 1) for i, f in enumerate(filled))
        rigs = [Rig(self.track, f, self.finder.task.rules, self._lines) for f in filled]
        links = self.chosen.chain.links if self.chosen is not None else ()
        reaches = tuple(
            rig.reach(link.begin, link.end, self.caps)
            for rig, link in zip(rigs, links, strict=False)
        )
        return Plan(
            stages=setups,
            changes=tuple(self._changes(setups, rigs, reaches)),
            reaches=reaches,
            proven=proven,
            order=self.order,
            rules=self.finder.task.rules.names,
            most_stages=self.most_stages,
            grain=float(self.track.marks[1]) if len(self.track.marks) > 1 else GRAIN,
            looked_at=self.finder.looked_at,
            searches=self.finder.searches,
            kept=self._lines is not None,
        )

    def _built(self, filled: Filled, *, rank: int) -> Setup:
        """The setup of a stage, with its second lines, re-checked."""
        setup, extra = build_setup(filled, rank=rank), self.finder.task.kit.pieces
        if self._lines is None:
            verify(self.site, setup, extra=extra)
            return setup
        kept = self._lines.kept(setup, extra=extra)
        if kept is None:
            raise RuntimeError(f"stage {rank} has lost a second line that it had")
        return kept

    def _changes(
        self, setups: tuple[Setup, ...], rigs: list[Rig], reaches: tuple[Reach, ...]
    ) -> list[Change]:
        out = []
        for i in range(len(setups) - 1):
            assert self.chosen is not None
            link = self.chosen.chain.links[i]
            limits = replace(self.chosen.limits.caps, resets=link.resets)
            why = rigs[i].stopped(link.begin, link.end + 1, limits)
            out.append(change(self.site, setups[i], setups[i + 1], why))
        return out

    # ---- why there is none -----------------------------------------------------------------------

    def _not_held(self, stuck: int, free: int) -> tuple[NotHeld, ...]:
        """Why what a haul leaves does not keep the load in hand from one mark to another, or at least just
        beyond the first; () where nothing hauls it there anyway."""
        if self._lines is None:
            return ()
        alone = Finder[Caps](replace(self.finder.task, admit=None, never=None))
        entry = alone.some(stuck, free, self.caps) or alone.some(stuck, stuck + 1, self.caps)
        if entry is None:
            return ()
        return not_held(self.site, build_setup(entry.filled, rank=1), self.finder.task.clock)

    def denied(self, *, explain: bool) -> Plan:
        """The empty plan, with where no setup gets on, or how many stages it would take."""
        empty = self._as_plan([], True)
        try:
            ends = chains.forward(self.finder, self.caps, FAR)
            if ends[-1] == self.track.end:
                return replace(empty, needs_stages=len(ends) - 1)
            stuck = ends[-1]
            starts = chains.backward(self.finder, self.caps, FAR)
            free = starts[-1] if starts[-1] > stuck else self.track.end
        except TimeUp:
            return replace(empty, proven=False)
        try:
            bare = self._not_held(stuck, free) if explain else ()
        except TimeUp:
            bare = ()  # that no plan exists is settled all the same
        if bare:
            gap = Gap(
                from_m=self.track.at(stuck), to_m=self.track.at(free), misses=(), not_held=bare
            )
            return replace(empty, gap=gap)
        kit = self.finder.task.kit
        single = Kit(tuple(p for p in kit.pieces if p.joined is None), kit.knots)
        misses = (
            nearest_misses(
                self.site,
                MissesQuestion(without=self._without),
                kit=single,
                stations=self.track.stations(stuck, free),
                clock=self.finder.task.clock.anew(),
            )
            if explain
            else ()
        )
        gap = Gap(from_m=self.track.at(stuck), to_m=self.track.at(free), misses=misses)
        return replace(empty, gap=gap)
