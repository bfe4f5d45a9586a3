"""Answers what to buy so that each of several jobs can be done, one after the other with the same gear."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from catalogue.currency import in_one_currency, read_rate
from catalogue.prices import PricedItem, load_prices
from optimiser.jobs.buy import descents
from optimiser.jobs.buy.descents import ShownDown
from optimiser.jobs.buy.for_all import ForAll, JobOf, Need, Price, Share, Together
from optimiser.jobs.buy.gear_apart import gear_apart
from optimiser.jobs.buy.goals import FEWEST_PIECES, LEAST_MONEY, NOTHING, PATIENCE, SO_FAR, STAGING
from optimiser.jobs.buy.results import AnyOption, Option, Purchases
from optimiser.jobs.buy.shown import Shown, items_of
from optimiser.jobs.buy.stall import Stall, for_haul, for_way_down, stopped_by
from optimiser.jobs.buy.tasks import Task, tasks
from optimiser.jobs.question import BUY, BuyQuestion
from optimiser.rig.conditions import as_if_rated
from optimiser.rig.setup import Miss
from optimiser.search.buying.basket import Basket
from optimiser.search.buying.least import OutOfTime
from optimiser.search.buying.staged import Answer, Job, Stages
from optimiser.search.buying.tackled import Tackled, Tackles
from optimiser.search.buying.worth import worth
from optimiser.search.clock import Clock, Progress
from optimiser.search.stock.offers import offers_for
from optimiser.site.model import Site, Trip

HELD_TAKES = 8.0
"""Times the effort that a question takes where every haul has to be kept in hand."""
IN_ONE = f"{LEAST_MONEY} in one stage each"


def buy_together(
    sites: Sequence[Site],
    question: BuyQuestion = BUY,
    *,
    names: Sequence[str] = (),
    items: Mapping[str, PricedItem] | None = None,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> Together:
    """What to buy so that every job is done with its own margin wanted, by rated gear only. What is bought
    is there for every job; what is owned counts for the jobs whose site lists it. A load that goes both ways
    (`question.both`) is two jobs of one site.

    `names`: what the jobs are called (files, or titles, if left out); `items`, `progress`, `clock` as of
    `buy`. Raises ValueError for no job, two of one name, prices in different currencies, or a load that goes
    both ways on a path that leads downhill.
    """
    listed = load_prices() if items is None else items
    names = tuple(names) or _names(sites)
    _check(sites, names)
    clock = clock or Clock(question.time_limit, progress)
    stated = next((c for site in sites if (c := site.preferences.currency)), "")
    rates = [read_rate(rate) for rate in question.rates]
    all_items, currency = in_one_currency(listed.values(), stated, rates)
    every = list(tasks(sites, names, question))
    wanted = [task for task in every if not task.rests]
    resting = tuple(task.name for task in every if task.rests)
    if not wanted:
        return _nothing_to_hold(sites[0], question, currency, resting)
    search = _Search(wanted, question, all_items, clock, loose=False)
    options = list(search.options())
    least = min((option.cost for option in options), default=inf)
    if least > 0.0 and search.proven and any(as_if_rated(site) != site for site in sites):
        loosely = _Search(wanted, question, all_items, clock, loose=True)
        cheaper = [
            option
            for option in loosely.options()
            if option.cost < least and any(share.option.if_stands for share in option.shares)
        ]
        if cheaper or not options:
            search = loosely if least == inf else search
            options = [*cheaper, *options]
            search.proven = search.proven and loosely.proven
    return Together(
        options=tuple(options),
        jobs=tuple(search.jobs(none=not options)),
        currency=currency,
        offered=len(search.stages.money[0].market.offers),
        placeholders=any(item.placeholder for item in all_items if item.for_sale),
        proven=search.proven,
        further=search.further,
        tackles=search.tackles,
        rules=question.rules(sites[0]).names,
        most_stages=question.most_stages,
        apart=gear_apart(sites, names),
        resting=resting,
    )


def _nothing_to_hold(
    site: Site, question: BuyQuestion, currency: str, resting: tuple[str, ...]
) -> Together:
    """The answer where every load rests by itself all along its way down."""
    return Together(
        options=(),
        jobs=(),
        currency=currency,
        offered=0,
        placeholders=False,
        proven=True,
        further=True,
        tackles=Tackles.NONE,
        rules=question.rules(site).names,
        most_stages=question.most_stages,
        resting=resting,
    )


def of_one_job(found: Together, site: Site, *, joining: bool) -> Purchases:
    """What was found for a single job, as an answer for that job. The plainest purchase is not looked for."""
    options = (
        replace(done, goals=option.goals, proven=option.proven)
        for option in found.options
        if isinstance(done := option.shares[0].option, Option)
    )
    return Purchases(
        options=tuple(options),
        needed=found.needed,
        wanted=site.preferences.margin_wanted,
        currency=found.currency,
        offered=found.offered,
        placeholders=found.placeholders,
        proven=found.proven,
        further=found.further,
        tackles=found.tackles,
        rules=found.rules,
        most_stages=found.most_stages,
        staged=found.proven,
        joining=joining,
        misses=found.jobs[0].misses,
        name=found.jobs[0].name,
    )


def _names(sites: Sequence[Site]) -> tuple[str, ...]:
    """The files, or titles, numbered where several titles are alike."""
    titles = [site.title for site in sites if not site.file]
    return tuple(
        f"{site.title} ({number})" if not site.file and titles.count(site.title) > 1 else site.name
        for number, site in enumerate(sites, start=1)
    )


def _check(sites: Sequence[Site], names: Sequence[str]) -> None:
    if not sites:
        raise ValueError("no job to buy for")
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise ValueError(f"'{twice}' is there twice: each job counts once")
    money = {
        c: name for site, name in zip(sites, names, strict=True) if (c := site.preferences.currency)
    }
    if len(money) > 1:
        (one, first), (two, second) = list(money.items())[:2]
        raise ValueError(
            f"prices are in {one} in {first} and in {two} in {second}: one purchase has one currency"
        )


class _Search:
    """One search for all of the jobs. `proven`: the least is the least; `further`: all steps were looked
    at."""

    def __init__(
        self,
        wanted: Sequence[Task],
        question: BuyQuestion,
        items: tuple[PricedItem, ...],
        clock: Clock,
        *,
        loose: bool,
    ) -> None:
        """`loose`: what has no rating is taken to hold; what is shown states what it would have to stand."""
        self.question, self.items, self.clock, self.loose = question, items, clock.anew(), loose
        self.tasks = wanted
        offered = offers_for(
            [task.site for task in wanted], items, eased=question.down or question.both
        )
        self.stalls = [
            (for_haul if task.trip is Trip.UP else for_way_down)(
                task.site, offered, question, self.clock, loose=loose
            )
            for task in wanted
        ]
        self._work = clock.anew()
        self.stages = Stages([self._job(stall) for stall in self.stalls], question.grain)
        self.owned: list[AnyOption | None] = []
        self.alone: list[Answer] = []
        self.others: list[Price] = []
        self.proven, self.further, self.tackles = True, True, Tackles.COUNTED

    def _job(self, stall: Stall[Shown | ShownDown]) -> Job:
        return stall.job.by(self._work)

    def _allow(self, effort: float) -> None:
        """Effort for the next question; with second lines each look takes longer."""
        self._work.allow(effort * (HELD_TAKES if self.question.hold else 1.0))

    @property
    def _many(self) -> range:
        return range(len(self.stalls))

    def options(self) -> Iterator[ForAll]:
        """The purchases worth naming, cheapest first."""
        try:
            found = list(self._found())
        except OutOfTime:
            self.proven, found = False, []
        return _worth_printing(found)

    def _found(self) -> Iterator[ForAll]:
        most = self.question.most_stages
        for stall in self.stalls:
            own: AnyOption | None = None
            settled = True
            if not stall.impassable:
                own, settled = stall.shown.owned_in_stages(NOTHING, most, self.question.compound)
            self.owned.append(own)
            self.proven = self.proven and settled
            if own is None and settled:
                self.stages.deny_owned(len(self.owned) - 1, most)
        if any(stall.impassable for stall in self.stalls):
            return
        if all(self.owned):
            shares = [Share(option=own, needs=()) for own in self.owned if own is not None]
            yield ForAll(goals=(NOTHING,), items=(), shares=tuple(shares), proven=True)
            return
        self.alone = [self._by_itself(number) for number in self._many]
        if not all(answer.baskets for answer in self.alone):
            self.proven = any(a.proven and not a.baskets for a in self.alone)
            return
        least = self._least(most)
        self.proven = self.proven and least.proven
        # What does for all does for each: where the search for one was cut short that may be less.
        self.alone = [_less(alone, least) for alone in self.alone]
        goal = LEAST_MONEY if least.proven else SO_FAR
        option = self._option(least, goal, most)
        yield option
        self._leave_out(least)
        self._allow(len(self.stalls) * STAGING["pieces"])
        few = self.stages.fewest(most, least.basket)
        if few.baskets:
            yield self._option(few, FEWEST_PIECES, most)
        yield from self._more(option)

    # ---- the least ----------------------------------------------------------------------------------

    def _by_itself(self, number: int) -> Answer:
        if self.owned[number] is not None:
            return Answer((Basket(()),), proven=True)
        self._allow(STAGING["money"])
        return self.stages.cheapest(self.question.most_stages, None, [number])

    @property
    def _lacking(self) -> list[int]:
        return [number for number in self._many if self.owned[number] is None]

    def _least(self, most: int) -> Answer:
        """The least for all jobs, beginning with what each needs by itself."""
        jobs = self._lacking
        start = _all_of(self.alone)
        if len(jobs) == 1:
            plain = self.alone[jobs[0]]
        elif all(a.proven for a in self.alone) and start.cost <= self._floor + 1e-9:
            plain = self.stages.cheapest(
                most, start, jobs
            )  # nothing less does for the dearest of them
        else:
            self._allow(len(jobs) * STAGING["money"])
            plain = self.stages.cheapest(most, start, jobs)
        # A second line beside a tackle on tackle takes a third rope: nobody looks for that.
        compound = False if self.question.hold else self.question.compound
        tackled = Tackled(compound, [self._job(self.stalls[n]) for n in jobs], plain.basket)
        found = tackled.in_stages(
            self.question.grain, lambda some, start: some.cheapest(most, start), plain
        )
        self.tackles = tackled.found
        return found

    @property
    def _floor(self) -> float:
        """What every purchase costs at least: as much as the dearest job by itself."""
        return max((a.basket.cost for a in self.alone if a.basket is not None), default=0.0)

    def _leave_out(self, least: Answer) -> None:
        """What all jobs but one cost."""
        jobs = self._lacking
        for number in self._many:
            rest = [n for n in jobs if n != number]
            if not rest:
                self.others.append(Price(cost=0.0, proven=True))
            elif len(rest) == 1:
                self.others.append(_price(self.alone[rest[0]]))
            elif len(rest) == len(jobs):
                self.others.append(_price(least))
            else:
                self._allow(len(rest) * STAGING["fewer"])
                start = _all_of([self.alone[n] for n in rest])
                found = self.stages.cheapest(self.question.most_stages, start, rest)
                self.others.append(_price(_less(found, least)))

    # ---- further purchases -----------------------------------------------------------------------------

    def _more(self, first: ForAll) -> Iterator[ForAll]:
        """Each job in fewer stages, and more margin for the worst of them."""
        for fewer in range(max(share.option.stages for share in first.shares) - 1, 0, -1):
            self._allow(len(self.stalls) * STAGING["fewer"])
            found = self.stages.cheapest(fewer, None)
            self.further = self.further and found.proven
            if found.baskets:
                goal = IN_ONE if fewer == 1 else f"{LEAST_MONEY} in up to {fewer} stages each"
                with_all = self._shown_or_none(found, goal, fewer)
                if with_all is not None:
                    yield with_all
        reached = first.margin
        enough = max(stall.site.preferences.enough for stall in self.stalls)
        clock = self.clock.patient(PATIENCE)
        for _ in range(self.question.steps):
            wanted = worth().next_margin(reached, enough)
            if wanted is None:
                return
            step = self._step(wanted, clock)
            if step is None:
                return
            yield step
            reached = max(step.margin, wanted)

    def _step(self, wanted: float, clock: Clock) -> ForAll | None:
        """The least money for which every job has so much margin, or as much as is enough for it."""
        jobs, shown = [], []
        for stall in self.stalls:
            wishes = stall.site.preferences
            floor = max(wishes.margin_wanted, min(wanted, wishes.enough))
            demanding = replace(stall.site, preferences=replace(wishes, margin_wanted=floor))
            jobs.append(
                replace(stall.job, market=replace(stall.job.market, floor=floor, clock=clock))
            )
            shown.append(stall.shown.at(demanding))
        most = self.question.most_stages
        found = Stages(jobs, self.question.grain).cheapest(most, None)
        self.further = self.further and found.proven
        if not found.proven or not found.baskets:
            return None
        each = " in every job" if len(self.stalls) > 1 else ""
        return self._shown_or_none(found, f"margin {wanted:g} or more{each}", most, shown)

    # ---- what is shown ---------------------------------------------------------------------------------

    def _shown_or_none(
        self, found: Answer, goal: str, most: int, shown: Sequence[Shown | ShownDown] = ()
    ) -> ForAll | None:
        try:
            return self._option(found, goal, most, shown)
        except OutOfTime:
            self.further = False
            return None

    def _option(
        self, found: Answer, goal: str, most: int, shown: Sequence[Shown | ShownDown] = ()
    ) -> ForAll:
        """A purchase with what it makes of every job."""
        basket = found.basket
        assert basket is not None
        shown = shown or [stall.shown for stall in self.stalls]
        ends = self._ends(found, most)
        parts = [
            one.in_stages(replace(basket, ends=end), goal, most)
            for one, end in zip(shown, ends, strict=True)
        ]
        needs = [self._needs(number, basket, most) for number in self._many]
        shares = tuple(Share(option=o, needs=n) for o, n in zip(parts, needs, strict=True))
        return ForAll(goals=(goal,), items=items_of(basket), shares=shares, proven=found.proven)

    def _ends(self, found: Answer, most: int) -> list[tuple[int, ...]]:
        """Of each job the chain known to do, where the search has one."""
        if len(found.baskets) == len(self.stalls):
            return [basket.ends for basket in found.baskets]
        known = dict(zip(self._lacking, found.baskets, strict=False))
        return [known[n].ends if n in known else () for n in self._many]

    def _needs(self, number: int, basket: Basket, most: int) -> tuple[Need, ...] | None:
        """What of a purchase a job cannot be done without, each kind by itself."""
        if self.owned[number] is not None:
            return ()
        if basket.two_ropes:
            return None
        self._allow(STAGING["fewer"])
        out = []
        try:
            for i, (offer, many) in enumerate(basket.items):
                few = 0
                while few < many:
                    rest = [(o, few if j == i else n) for j, (o, n) in enumerate(basket.items)]
                    less = replace(basket, items=tuple((o, n) for o, n in rest if n))
                    if self.stages.suffice(number, less, most):
                        break
                    few += 1
                if few:
                    out.append(Need(item=offer.item.id, count=few))
        except OutOfTime:
            return None
        return tuple(out)

    def jobs(self, *, none: bool) -> Iterator[JobOf]:
        """The jobs, with what each costs by itself; `none`: with what stops it too."""
        for number, (stall, task) in enumerate(zip(self.stalls, self.tasks, strict=True)):
            owned = number < len(self.owned) and self.owned[number] is not None
            alone = self.alone[number] if number < len(self.alone) else None
            denied = stall.impassable or (alone is not None and alone.proven and not alone.baskets)
            price = _FREE if owned else _UNKNOWN if alone is None else _price(alone)
            others = self.others[number] if number < len(self.others) else _UNKNOWN
            misses: tuple[Miss, ...] = ()
            reasons: tuple[str, ...] = ()
            explained = none and denied and self.question.explain
            if explained and task.trip is Trip.UP:
                misses = stopped_by(
                    stall.site, self.items, self.question, self.clock, loose=self.loose
                )
            elif explained:
                reasons, misses = descents.stopped_by(
                    task.site, self.items, self.question, self.clock
                )
            yield JobOf(
                name=task.name,
                title=stall.site.title,
                owned=owned,
                alone=price,
                others=_FREE if self.owned and all(self.owned) else others,
                misses=misses,
                reasons=reasons,
                trip=task.trip,
                place=task.place,
            )


_UNKNOWN, _FREE = Price(cost=None, proven=False), Price(cost=0.0, proven=True)


def _less(one: Answer, other: Answer) -> Answer:
    """The purchase that costs less; the first if they cost the same."""
    if one.basket is None or other.basket is None or one.basket.cost <= other.basket.cost:
        return one
    return replace(one, baskets=(other.basket,))


def _price(answer: Answer) -> Price:
    basket = answer.basket
    if basket is None:
        return Price(cost=None, proven=answer.proven)
    nobodys = any(offer.item.placeholder for offer, _ in basket.items)
    return Price(cost=basket.cost, proven=answer.proven, placeholder=nobodys)


def _all_of(answers: Iterable[Answer]) -> Basket:
    """What each of some purchases has, at least as much as the one that has most of it."""
    many: dict[str, int] = {}
    offers = {}
    for answer in answers:
        for offer, count in answer.basket.items if answer.basket is not None else ():
            offers[offer.name] = offer
            many[offer.name] = max(count, many.get(offer.name, 0))
    return Basket(tuple((offers[name], count) for name, count in sorted(many.items())))


def _worth_printing(options: Iterable[ForAll]) -> Iterator[ForAll]:
    """Options by cost, equal purchases as one, without those that a cheaper one beats or equals in all."""
    merged: dict[tuple[tuple[str, int], ...], ForAll] = {}
    for option in options:
        known = merged.get(option.counts)
        if known is not None:
            option = replace(
                known,
                goals=tuple(dict.fromkeys((*known.goals, *option.goals))),
                proven=known.proven and option.proven,
            )
        merged[option.counts] = option
    kept: list[ForAll] = []
    for option in sorted(merged.values(), key=lambda o: (o.cost, o.pieces)):
        better = any(
            other.margin >= option.margin
            and other.stages <= option.stages
            and other.resets <= option.resets
            and other.pieces <= option.pieces
            for other in kept
        )
        if not better or FEWEST_PIECES in option.goals:
            kept.append(option)
    yield from kept
