"""Answers what to add to the gear owned: least money, fewest pieces, and what further money brings."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf
from typing import overload

from catalogue.currency import in_one_currency, read_rate
from catalogue.prices import PricedItem, load_prices
from optimiser.jobs.buy.anchors_besides import driven, tied
from optimiser.jobs.buy.for_all import Together
from optimiser.jobs.buy.goals import (
    FEW_SO_FAR,
    FEWEST_PIECES,
    IN_ONE_STAGE,
    LEAST_MONEY,
    NOTHING,
    PATIENCE,
    PLAINER,
    PLAINEST,
    SO_FAR,
    STAGING,
)
from optimiser.jobs.buy.named_options import plainest_first, worth_printing
from optimiser.jobs.buy.plain import Plainest, limited_to
from optimiser.jobs.buy.results import Option, Purchases
from optimiser.jobs.buy.stall import for_haul, stopped_by
from optimiser.jobs.buy.together import buy_together, of_one_job
from optimiser.jobs.question import BUY, BuyQuestion
from optimiser.rig.conditions import as_if_rated
from optimiser.rig.setup import Miss
from optimiser.rig.status import Unsearched
from optimiser.search.buying.basket import Basket, Bought
from optimiser.search.buying.least import OutOfTime, cheapest, fewest, money_above
from optimiser.search.buying.staged import Answer, Job, Stages
from optimiser.search.buying.tackled import Question, Tackled, Tackles
from optimiser.search.buying.worth import worth
from optimiser.search.clock import Clock, Progress
from optimiser.search.stock.offers import offers
from optimiser.site.model import Site


@overload
def buy(
    site: Site,
    question: BuyQuestion = BUY,
    *,
    items: Mapping[str, PricedItem] | None = None,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> Purchases: ...


@overload
def buy(
    site: Sequence[Site],
    question: BuyQuestion = BUY,
    *,
    items: Mapping[str, PricedItem] | None = None,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> Together: ...


def buy(
    site: Site | Sequence[Site],
    question: BuyQuestion = BUY,
    *,
    items: Mapping[str, PricedItem] | None = None,
    progress: Progress | None = None,
    clock: Clock | None = None,
) -> Purchases | Together:
    """What to buy so that the whole path is hauled with the margin wanted, by rated gear only; of several
    sites, so that each of them is, one after the other with the same gear (`buy_together`). For a way down
    (`question.down`, `question.both`) `site` is a list, of one site or of several.

    `items`: the price list (placeholder prices if left out); `progress`: a sign of life; `clock`: in place of
    the question's limit and of `progress`, a part of another job's. Tackle on tackle that nobody requests
    is looked at as far as a few seconds go.

    Without a limit no answer depends on how fast the machine is: what may stay undecided is given so much
    effort, not so many seconds.
    """
    listed = load_prices() if items is None else items
    clock = clock or Clock(question.time_limit, progress)
    if isinstance(site, Site) and (question.down or question.both):
        raise ValueError("a way down is bought for as a job of a list: buy([site], question)")
    if not isinstance(site, Site):
        return buy_together(site, question, items=listed, clock=clock)
    if question.hold:
        found = buy_together([site], question, items=listed, clock=clock)
        return of_one_job(found, site, joining=question.join_ropes is not False)
    return _buy_for_one(site, question, listed, clock)


def _buy_for_one(
    site: Site, question: BuyQuestion, listed: Mapping[str, PricedItem], clock: Clock
) -> Purchases:
    items, currency = in_one_currency(
        listed.values(), site.preferences.currency, [read_rate(rate) for rate in question.rates]
    )
    shop, options, proven = _shopped(site, question, items, clock)
    # What is proven is the least in one stage, or that nothing does in any number of them.
    in_one = any(option.plan is None or option.proven for option in options)
    nothing = shop.staged or question.most_stages == 1
    proven = proven and (in_one if options else nothing)
    hopeless = proven and shop.staged and not options
    least = min((option.cost for option in options), default=inf)
    looked = question.explain and least > 0.0 and shop.own_known and not shop.impassable
    return Purchases(
        options=tuple(options),
        needed=shop.own is None,
        wanted=site.preferences.margin_wanted,
        currency=currency,
        offered=len(shop.market.offers),
        placeholders=any(item.placeholder for item in items if item.for_sale),
        proven=proven,
        further=not shop.cut_short,
        tackles=shop.tackles,
        most_stages=question.most_stages,
        staged=shop.staged,
        plainest=shop.plainest,
        within=shop.within,
        joining=question.join_ropes is not False,
        unsearched=None if proven else shop.unsearched,
        rules=shop.rules.names,
        name=site.name,
        driven=driven(site, question, items, clock, least) if looked else None,
        tied=tied(site, question, items, clock, least) if looked else None,
        misses=shop.stopped_by() if hopeless and question.explain else (),
    )


def _shopped(
    site: Site, question: BuyQuestion, items: tuple[PricedItem, ...], clock: Clock
) -> "tuple[_Shop, list[Option], bool]":
    """The options, whether the least is proven, and the shop that the rest is read from. Where what is rated
    does not do, or costs something, also what would do if what is not rated held."""
    shop = _Shop(site, question, items, clock, loose=False)
    options, proven = shop.options()
    least = min((option.cost for option in options), default=inf)
    if least == 0.0 or not proven or as_if_rated(site) == site:
        return shop, options, proven
    loosely = _Shop(site, question, items, clock, loose=True)
    more, shown = loosely.options()
    conditional = [option for option in more if option.if_stands and option.cost < least]
    if not conditional and options:
        return shop, options, proven
    return (loosely if least == inf else shop), [*conditional, *options], shown


class _Shop:
    def __init__(
        self,
        site: Site,
        question: BuyQuestion,
        items: tuple[PricedItem, ...],
        clock: Clock,
        *,
        loose: bool,
    ) -> None:
        """`loose`: what has no rating is taken to hold; what is shown states what it would have to stand."""
        self.site, self.question, self.items, self.clock = site, question, items, clock
        self.loose = loose
        self.cut_short, self.staged, self.tackles = False, True, Tackles.COUNTED
        self.two_ropes = bool(question.compound)  # they count for further steps
        self.plainest = True
        self.unsearched: Unsearched | None = None
        self.within: float | None = None
        self.rules = question.rules(site)
        stall = for_haul(site, offers(site, self.items), question, clock, loose=loose)
        self.taken, self.market = stall.job.site, stall.job.market
        self.impassable = stall.impassable
        self.grain = question.grain
        self.shown = stall.shown
        self.own, known = self.shown.best((), clock=clock.anew(), compound=question.compound)
        self.own_known = known or self.own is not None

    def job(self, clock: Clock | None = None) -> Job:
        """What a purchase for this site serves; with a clock in place of its own."""
        whole = Job(self.taken, self.market)
        return whole if clock is None else whole.by(clock)

    def options(self) -> tuple[list[Option], bool]:
        """The options, cheapest first, and whether the least in one stage is proven to be."""
        most_stages, steps = self.question.most_stages, self.question.steps
        found: list[Option] = []
        if not self.own_known:
            return found, False
        if self.impassable:  # no piece gets a wheel over that
            return found, True
        proven = True
        if self.own is not None:
            found.append(Option(goals=(NOTHING,), items=(), setup=self.own, proven=True))
        else:
            try:
                for option in self._least(most_stages):
                    found.append(option)
            except OutOfTime:
                proven = False
            if proven:
                found += self._plainer(found, most_stages)
        whole = [option for option in found if option.plan is None]
        if whole:
            start = plainest_first(whole)[0]
            patience = PATIENCE if self.own is not None else PATIENCE / 2.0
            for further, share in ((self._margins, 0.7), (self._resets, 0.3)):
                found += self._in_time(further(start, steps), share * patience)
        return plainest_first(worth_printing(found)), proven

    def _plainer(self, found: Sequence[Option], most_stages: int) -> Iterator[Option]:
        """The plainest purchase for not much more than the least money; none where nothing is bought."""
        least = next((option for option in found if LEAST_MONEY in option.goals), None)
        if least is None or any(not option.items for option in found):
            return
        self.within = worth().limit(least.cost)
        market = replace(self.market, clock=self.clock.patient(STAGING["plainer"]), two_ropes=False)
        plain = Plainest(self.taken, self.items, market, self.grain).search(
            self.within, least, most_stages
        )
        self.plainest = plain.proven
        goal = PLAINEST if plain.proven else PLAINER
        basket = plain.basket
        if basket is None:
            return
        items = {(offer.item.id, many) for offer, many in basket.items}
        for option in found:
            if items == {(item.id, item.count) for item in option.items}:
                if plain.proven:
                    yield replace(option, goals=(goal,))
                return
        if isinstance(basket, Bought):
            option = self.shown.in_one(
                basket,
                goal,
                ("resets", "margin", "rope"),
                least=lambda setup: setup.resets <= basket.filled.variant.resets,
            )
        else:
            option = self.shown.in_stages(basket, goal, plain.stages)
        near = min(
            (some for some in found if some.cost <= self.within + 1e-9),
            key=lambda some: some.plainness,
        )
        if option.plainness < near.plainness:
            yield option
        elif plain.proven:
            yield replace(near, goals=(goal,))

    def _in_time(self, further: Iterator[Option], patience: float) -> Iterator[Option]:
        """Further steps as far as time allows, in one stage and with ropes of one piece: a ranking puts
        none together where such do, whatever more margin that would bring."""
        whole = self.market.clock
        patient = whole.within(patience)
        joining = self.market.joining
        self.market = replace(self.market, clock=patient, joining=False)
        try:
            yield from further
        except OutOfTime:
            self.cut_short = True
        self.market = replace(self.market, clock=whole, joining=joining)

    def _least(self, most_stages: int) -> Iterator[Option]:
        """The least in up to so many stages, and in fewer of them."""
        try:
            line = cheapest(replace(self.market, clock=self.clock.patient(IN_ONE_STAGE)))
        except OutOfTime as out:
            if out.failed is not None:
                self.unsearched = Unsearched(cost=money_above(out.failed))
            if out.found is not None:
                yield self.shown.in_one(out.found, SO_FAR, proven=False)
            if (
                self.clock.runs() and most_stages > 1
            ):  # perhaps nothing has to be bought for several
                owned = self._owned_in_stages(most_stages)
                if owned is not None:
                    yield owned
            raise
        if line is not None:
            self.unsearched = Unsearched(cost=line.cost)
        if line is not None and not line.items:  # with ropes joined
            yield self.shown.in_one(line, NOTHING)
            return
        tackled = Tackled(self.question.compound, [self.job()], line)
        try:
            yield from self._beyond_owned(most_stages, line, tackled)
        finally:
            self.tackles = tackled.found
            self.two_ropes = tackled.found is Tackles.COUNTED

    def _beyond_owned(
        self, most_stages: int, line: Bought | None, tackled: Tackled
    ) -> Iterator[Option]:
        """`line`: the least in one stage with a single line."""
        one = tackled.cheapest(line)
        if most_stages == 1:
            if one is not None:
                yield self.shown.in_one(one, LEAST_MONEY)
                yield from self._fewest(one, line, tackled)
            return
        clock = self.clock.anew()
        stages = Stages([self.job(clock)], self.grain)

        def answer(question: Question, start: Basket | None) -> Answer:
            return tackled.in_stages(self.grain, question, question(stages, start))

        staged = 1
        owned = self._owned_in_stages(most_stages)
        if owned is not None:
            staged = owned.stages
            yield owned
        else:
            clock.allow(STAGING["money"])
            money = answer(lambda some, start: some.cheapest(most_stages, start), one)
            self.staged = self.staged and money.proven
            if money.basket is None:
                return
            option = self._in_stages(money, one, LEAST_MONEY, most_stages)
            staged = option.stages
            yield option
            clock.allow(STAGING["pieces"])
            pieces = answer(lambda some, start: some.fewest(most_stages, start), money.basket)
            self.staged = self.staged and pieces.proven
            assert pieces.basket is not None
            if pieces.basket.items_by_name != money.basket.items_by_name:
                goal = FEWEST_PIECES if pieces.proven else FEW_SO_FAR
                yield self._in_stages(pieces, one, goal, most_stages)
            elif pieces.proven:
                yield replace(option, goals=(FEWEST_PIECES,))
        clock.allow(STAGING["fewer"])
        for fewer in range(staged - 1, 1, -1):
            less = answer(lambda some, start, n=fewer: some.cheapest(n, start), one)  # type: ignore[misc]
            self.cut_short = self.cut_short or not less.proven
            if (
                less.proven
                and less.basket is not None
                and (one is None or less.basket.cost < one.cost)
            ):
                yield self.shown.in_stages(less.basket, f"{LEAST_MONEY} in {fewer} stages", fewer)
        if one is not None and staged > 1:
            yield self.shown.in_one(one, f"{LEAST_MONEY} in one stage")

    def _fewest(self, one: Bought, line: Bought | None, tackled: Tackled) -> Iterator[Option]:
        """The fewest pieces in one stage; none where that took too long. `one`: the least money; `line`: that
        with a single line."""
        market = replace(self.market, clock=self.clock.patient(IN_ONE_STAGE))
        try:
            few = [one] if line is None else [one, fewest(market, line)]
        except OutOfTime:
            self.cut_short = True
            return
        start = min(few, key=lambda bought: (bought.pieces, bought.cost))
        yield self.shown.in_one(tackled.fewest(start), FEWEST_PIECES)

    def _owned_in_stages(self, most_stages: int) -> Option | None:
        """The stages that the gear owned makes possible; None where there are none."""
        option, settled = self.shown.owned_in_stages(NOTHING, most_stages, self.question.compound)
        self.staged = self.staged and settled
        return option

    def _in_stages(self, answer: Answer, one: Bought | None, goal: str, most_stages: int) -> Option:
        assert answer.basket is not None
        if one is not None and answer.basket.items_by_name == one.items_by_name:
            return self.shown.in_one(one, goal, proven=answer.proven)
        option = self.shown.in_stages(answer.basket, goal, most_stages)
        return replace(option, proven=answer.proven)

    def _margins(self, start: Option, steps: int) -> Iterator[Option]:
        """The least money for a margin that is worth so much more, up to enough."""
        enough, reached = self.site.preferences.enough, start.setup.margin
        for _ in range(steps):
            wanted = worth().next_margin(reached, enough)
            if wanted is None:
                return
            bought = self._step(start, floor=wanted)
            if bought is None:
                return
            option = self.shown.in_one(
                bought,
                f"margin {wanted:g} or more",
                ("margin", "resets", "rope"),
                least=lambda setup, wanted=wanted: setup.margin >= wanted - 1e-9,  # type: ignore[misc]
            )
            yield option
            reached = max(option.setup.margin, wanted)

    def _resets(self, start: Option, steps: int) -> Iterator[Option]:
        """The least money for so many fewer resets that it is worth it."""
        resets = start.setup.resets
        for _ in range(steps):
            most = worth().next_resets(resets)
            if most is None:
                return
            bought = self._step(start, most_resets=most)
            if bought is None:
                return
            resets = most
            if bought.items:
                yield self.shown.in_one(
                    bought,
                    f"{most} {'reset' if most == 1 else 'resets'} or fewer",
                    ("resets", "margin", "rope"),
                    least=lambda setup, most=most: setup.resets <= most,  # type: ignore[misc]
                )

    def _step(self, start: Option, **limits: float) -> Bought | None:
        """The least money within limits, with nothing unusual that the start does without if that may be."""
        plain = limited_to(self.market, self.site, self.items, start.unusual)
        second = start.setup.second is not None
        usual = cheapest(replace(plain, joining=False, two_ropes=second, **limits))  # type: ignore[arg-type]
        line = usual or cheapest(replace(self.market, **limits))  # type: ignore[arg-type]
        # Tackle on tackle takes a second rope, so it counts only where no line does, or the start has it.
        if line is not None or not self.two_ropes:
            return line
        return cheapest(replace(self.market, two_ropes=True, **limits))  # type: ignore[arg-type]

    def stopped_by(self) -> tuple[Miss, ...]:
        """Returns what stops it with the whole price list."""
        return stopped_by(self.site, self.items, self.question, self.clock, loose=self.loose)
