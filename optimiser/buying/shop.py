"""What to add to the owned gear: least money, fewest pieces, and what further money brings."""

import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from math import floor

from catalogue.prices import PricedItem, load_prices
from optimiser.buying.least import Bought, Market, OutOfTime, cheapest, fewest
from optimiser.buying.offers import offers, owned_with
from optimiser.buying.results import Item, Option, Purchases
from optimiser.explain.nearest import nearest_misses
from optimiser.explain.others import impassable
from optimiser.gear.kit import kit_of
from optimiser.keys import BAND
from optimiser.ranking import build_setup, rank
from optimiser.results import Miss, Setup
from optimiser.scene import scenes
from optimiser.search.prove import Clock
from optimiser.search.rules import Rules
from optimiser.site.model import Owned, Site
from optimiser.stations import lay_stations

STEPS = 3
"""Further steps of money that are told, for margin and for resets each."""
PATIENCE = 5.0
"""s for looking at further steps, of margin and of resets each, where no time limit is given."""
SHOWING = 5.0
"""s for finding the best setup with a purchase, which is shown with it."""
LEAST_MONEY, FEWEST_PIECES, NOTHING = "least money", "fewest pieces", "buy nothing"


def buy(
    site: Site,
    *,
    items: Mapping[str, PricedItem] | None = None,
    most_stages: int = 1,
    steps: int = STEPS,
    time_limit: float | None = None,
    rules: frozenset[str] | None = None,
    progress: Callable[[str], None] | None = None,
    explain: bool = True,
) -> Purchases:
    """What to buy so that the whole path is hauled with the margin wanted, by rated gear only.

    `items`: the price list (placeholder prices if left out); `most_stages`: where more than one, hauling
    in stages with what is owned is told too; `steps`: further steps of money; `time_limit` [s]: after it
    what was found comes back, not proven; `explain`: look for the nearest misses where nothing does.
    """
    listed = load_prices() if items is None else items
    whole = _Shop(site, tuple(listed.values()), rules, Clock(time_limit, progress))
    options, proven = whole.options(most_stages, steps)
    misses: tuple[Miss, ...] = ()
    if explain and proven and not options:
        misses = whole.stopped_by()
    return Purchases(
        options=tuple(options),
        needed=whole.own is None,
        wanted=site.preferences.margin_wanted,
        currency=site.preferences.currency,
        offered=len(whole.market.offers),
        placeholders=any(item.placeholder for item in listed.values() if item.for_sale),
        proven=proven,
        further=not whole.cut_short,
        rules=whole.rules.names,
        misses=misses,
    )


class _Shop:
    def __init__(
        self, site: Site, items: Iterable[PricedItem], rules: frozenset[str] | None, clock: Clock
    ) -> None:
        self.site, self.items, self.clock = site, tuple(items), clock
        self.cut_short = False
        self.rules = Rules.of(site.preferences.rules if rules is None else rules)
        laid = lay_stations(site)
        self.market = Market(
            scenes=[scene for scene in scenes(site, laid) if scene.rated],
            owned=owned_with(site, ()),
            offers=offers(site, self.items),
            rules=self.rules,
            floor=site.preferences.margin_wanted,
            clock=clock,
        )
        left = None if clock.end is None else max(clock.end - time.monotonic(), 0.1)
        self.own, known = self._best((), time_limit=left)
        self.own_known = known or self.own is not None
        self.impassable = impassable(site, laid)

    def options(self, most_stages: int, steps: int) -> tuple[list[Option], bool]:
        """The options, cheapest first, and whether every search came to its end."""
        found: list[Option] = []
        if not self.own_known:
            return found, False
        if self.impassable:  # no piece gets a wheel over that
            return found, True
        if self.own is not None:
            found.append(Option(goals=(NOTHING,), items=(), setup=self.own, proven=True))
        elif most_stages > 1 and (staged := self._staged(most_stages)) is not None:
            found.append(staged)
        proven = True
        if self.own is None:
            try:
                for option in self._least():
                    found.append(option)
            except OutOfTime:
                proven = False
        whole = [option for option in found if option.plan is None]
        if whole:
            start = min(whole, key=lambda option: option.cost)
            for further in (self._margins, self._resets):
                found += self._in_time(further(start, steps))
        return list(_worth_telling(found)), proven

    def _in_time(self, further: Iterator[Option]) -> Iterator[Option]:
        """Further steps as far as time allows."""
        whole = self.market.clock
        patient = Clock(PATIENCE, whole.progress)
        if whole.end is not None and patient.end is not None:
            patient.end = min(patient.end, whole.end)
        self.market = replace(self.market, clock=patient)
        try:
            yield from further
        except OutOfTime:
            self.cut_short = True
        self.market = replace(self.market, clock=whole)

    def _least(self) -> Iterator[Option]:
        money = cheapest(self.market)
        if money is None:
            return
        yield self._option(money, LEAST_MONEY)
        yield self._option(fewest(self.market, money), FEWEST_PIECES)

    def _margins(self, start: Option, steps: int) -> Iterator[Option]:
        """The least money for the next bands of margin, up to enough."""
        enough, reached = self.site.preferences.enough, start.setup.margin
        for _ in range(steps):
            band = floor(reached / BAND + 1e-6) + 1
            wanted = min(round(band * BAND, 6), enough)
            if reached >= enough - 1e-9:
                return
            bought = cheapest(replace(self.market, floor=wanted))
            if bought is None:
                return
            option = self._option(
                bought, f"margin {wanted:g} or more", ("margin", "resets", "rope")
            )
            yield option
            reached = max(option.setup.margin, wanted)

    def _resets(self, start: Option, steps: int) -> Iterator[Option]:
        """The least money for fewer resets."""
        resets = start.setup.resets
        for _ in range(steps):
            if resets < 1:
                return
            bought = cheapest(replace(self.market, most_resets=resets - 1))
            if bought is None:
                return
            told = f"{resets - 1} {'reset' if resets == 2 else 'resets'} or fewer"
            resets -= 1
            if bought.items:
                option = self._option(bought, told, ("resets", "margin", "rope"))
                yield option
                resets = min(option.setup.resets, resets)

    def _staged(self, most_stages: int) -> Option | None:
        """Hauling in stages with what is owned."""
        from optimiser.staging.plan import plan_stages

        left = None if self.clock.end is None else max(self.clock.end - time.monotonic(), 0.1)
        plan = plan_stages(
            self.site,
            most_stages=most_stages,
            kit=kit_of(self.site).rated_only,  # with knots that only tackle on tackle has a use for
            rules=frozenset(self.rules.names),
            time_limit=left,
            explain=False,
        )
        if not plan.stages or any(setup.unrated for setup in plan.stages):
            return None
        weakest = min(plan.stages, key=lambda s: s.margin)
        if weakest.margin < self.site.preferences.margin_wanted:
            return None
        return Option(goals=(NOTHING,), items=(), setup=weakest, proven=plan.proven, plan=plan)

    # ---- what a purchase makes possible -----------------------------------------------------------

    def _option(self, bought: Bought, goal: str, order: tuple[str, ...] | None = None) -> Option:
        extra = [replace(o.piece, count=many, price=o.item.price) for o, many in bought.items]
        setup, best_known = self._best(extra, order, SHOWING)
        if setup is None:  # the time was up before the ranking had one
            setup = build_setup(bought.filled, rank=1)
        return Option(
            goals=(goal,),
            items=tuple(
                Item(
                    id=o.item.id,
                    name=o.piece.gear.name,
                    count=many,
                    price=o.item.price,
                    placeholder=o.item.placeholder,
                )
                for o, many in bought.items
            ),
            setup=setup,
            proven=True,
            best=best_known,
        )

    def _best(
        self,
        extra: Iterable[Owned],
        order: tuple[str, ...] | None = None,
        time_limit: float | None = None,
    ) -> tuple[Setup | None, bool]:
        """The best setup with what is owned and some more pieces, and whether it is proven to be."""
        gear = kit_of(self.site, extra).rated_only
        found = rank(
            self.site,
            top=1,
            order=order,
            kit=gear,
            rules=frozenset(self.rules.names),
            time_limit=time_limit,
            explain=False,
            compound=None,
        )
        rated = (setup for setup in found.setups if not setup.unrated)
        return next(rated, None), found.proven

    def stopped_by(self) -> tuple[Miss, ...]:
        """What stops it with the whole price list."""
        # Prices do not matter here: what a better piece makes pointless at any price is left out.
        free = [replace(item, price=0.0) for item in self.items]
        everything = owned_with(self.site, [(o, o.most) for o in offers(self.site, free)])
        left = None if self.clock.end is None else max(self.clock.end - time.monotonic(), 0.1)
        rules = frozenset(self.rules.names)
        return nearest_misses(
            self.site, kit=everything, rules=rules, rated_only=True, time_limit=left
        )


def _worth_telling(options: Iterable[Option]) -> Iterator[Option]:
    """Options by cost, equal purchases as one; without those that a no dearer one beats or equals in
    margin, resets, stages and pieces alike."""
    merged: dict[tuple[object, ...], Option] = {}
    for option in options:
        items = tuple(sorted((item.id, item.count) for item in option.items))
        mark = (items, option.setup.reeving, option.stages)
        if mark in merged:
            option = replace(merged[mark], goals=(*merged[mark].goals, *option.goals))
        merged[mark] = option
    kept: list[Option] = []
    for option in sorted(merged.values(), key=lambda o: (o.cost, o.pieces, o.stages)):
        better = any(
            other.margin >= option.margin
            and other.resets <= option.resets
            and other.stages <= option.stages
            and other.pieces <= option.pieces
            for other in kept
        )
        if not better or FEWEST_PIECES in option.goals:
            kept.append(option)
    yield from kept
