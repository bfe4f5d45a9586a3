"""Works out what a purchase makes possible: the setup, or the stages, that an option shows."""

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace

from catalogue.gear import Protector
from optimiser.jobs.buy.held import plan_held, with_pieces_owned
from optimiser.jobs.buy.results import Item, Made, Option
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.stages.results import Plan
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.gear.made import with_made
from optimiser.rig.setup import LoweringSetup, Role, Setup
from optimiser.search.buying.basket import Basket, Bought
from optimiser.search.buying.least import OutOfTime
from optimiser.search.buying.worth import unusual_of
from optimiser.search.clock import Clock
from optimiser.site.model import Owned, Site
from shared.effort import spent

SHOWING = 5.0
"""Effort for finding the best that each purchase makes possible, all options together; each takes at most
half of what is left."""
LEAST_SHOWING = 0.3
"""Effort, or s, that every option has."""
PATIENCE = 30.0
"""Effort for stages with tackle on tackle that are known to do."""


class Shown:
    """Options with what they make possible. `loose`: pieces without a rating count too, on condition."""

    def __init__(
        self,
        site: Site,
        question: BuyQuestion,
        clock: Clock,
        *,
        loose: bool = False,
        lays: bool = False,
    ) -> None:
        """`lays`: lines may run over something laid on an edge, which may be made on the spot."""
        self.lays = lays
        self.site, self.question, self.clock, self.loose = site, question, clock, loose
        self.left = SHOWING

    def at(self, site: Site) -> "Shown":
        """The same for the site with another margin wanted."""
        return Shown(site, self.question, self.clock, loose=self.loose, lays=self.lays)

    def in_one(
        self,
        bought: Bought,
        goal: str,
        order: tuple[str, ...] | None = None,
        *,
        proven: bool = True,
        least: Callable[[Setup], bool] = lambda _: True,
    ) -> Option:
        """A purchase with the best setup for the whole path; `proven`: of its kind it is the least; `least`:
        what the setup must bring, as the one does that it was bought for."""
        began = spent()
        two = bought.two_ropes
        more = self._more(bought)
        setup, best_known = self.best(more, order, self._share(), compound=two)
        self.left -= spent() - began
        if self.loose and (setup is None or not least(setup)):  # it would be printed as rated
            raise OutOfTime
        if setup is None or not least(setup):  # the time was up before the ranking had one
            setup, best_known = build_setup(bought.filled, rank=1), False
            ropes = (p for line in setup.lines for p in (line.rope, *line.rope.parts))
            verify(self.site, setup, extra=(*self._kit(more).pieces, *ropes))
        return self._option(bought, goal, setup, best=best_known, proven=proven)

    def owned_in_stages(
        self, goal: str, most_stages: int, compound: bool | None
    ) -> tuple[Option | None, bool]:
        """The stages that `stages` finds for what is owned, None where there are none, and whether that is
        proven: it is, unless somebody set a time limit."""
        began = spent()
        clock = self.clock.share(0.5) if self.clock.limited else self.clock.anew()
        patience = max(self.left / 2.0, LEAST_SHOWING)
        plan = self._plan(Basket(()), most_stages, clock, compound, patience, made=False)
        if not plan.stages and plan.proven and self.lays:  # then with what is made on the spot
            plan = self._plan(Basket(()), most_stages, clock.anew(), compound, patience)
        self.left -= spent() - began
        if not plan.stages or not self._counts(plan.stages):
            return None, plan.proven
        weakest = min(plan.stages, key=lambda setup: setup.margin)
        return self._option(Basket(()), goal, weakest, plan=plan, best=plan.proven), True

    def in_stages(self, basket: Basket, goal: str, most_stages: int) -> Option:
        """A purchase with which the path is hauled in up to so many stages. OutOfTime where two ropes are
        not shown to do in PATIENCE."""
        began = spent()
        two = basket.two_ropes if basket.items else None
        plan = self._plan(basket, most_stages, self._share(), two)
        if not plan.stages:  # the time was up before there was one
            whole = Clock(None, self.clock.progress)
            clock = whole.within(PATIENCE) if two else whole
            plan = self._plan(basket, most_stages, clock, two)
        if not plan.stages:
            raise OutOfTime
        self.left -= spent() - began
        weakest = min(plan.stages, key=lambda setup: setup.margin)
        return self._option(basket, goal, weakest, plan=plan, best=plan.proven)

    def _option(
        self, basket: Basket, goal: str, setup: Setup, *, plan: Plan | None = None, best: bool,
        proven: bool = True,
    ) -> Option:  # fmt: skip
        option = _option(basket, goal, setup, plan=plan, best=best, proven=proven)
        made = made_for(self.site, option.setups, option.pieces_bought)
        return replace(option, made=made)

    def of_owned(self, goal: str, setup: Setup) -> Option:
        """An option for which nothing is bought."""
        return self._option(Basket(()), goal, setup, best=True)

    def _share(self) -> Clock:
        if self.clock.limited:
            return self.clock.share(0.5, least=LEAST_SHOWING)
        return self.clock.within(max(self.left / 2.0, LEAST_SHOWING))

    def _plan(
        self,
        basket: Basket,
        most_stages: int,
        clock: Clock,
        compound: bool | None,
        patience: float | None = None,
        *,
        made: bool = True,
    ) -> Plan:
        """`made`: what can be made on the spot is there too."""
        if self.question.hold:
            site, kit = with_pieces_owned(self.site, extra_of(basket))
            kept = kit if self.loose else kit.rated_only
            return plan_held(site, kept, self.question, most_stages, clock)
        return plan_stages(
            self.site,
            self.question.of_stages(most_stages, compound=compound),
            kit=self._kit(self._more(basket) if made else extra_of(basket)),
            known=basket.ends,
            clock=clock,
            patience=patience,
        )

    def best(
        self,
        extra: Iterable[Owned],
        order: tuple[str, ...] | None = None,
        clock: Clock | None = None,
        *,
        compound: bool | None = False,
    ) -> tuple[Setup | None, bool]:
        """The best setup with what is owned and some more pieces, and whether it is proven to be."""
        question = RankQuestion(
            top=1,
            by=order,
            without=self.question.without,
            compound=compound,
            join_ropes=self.question.join_ropes,
            explain=False,
        )
        found = rank_hauls(self.site, question, kit=self._kit(extra), clock=clock)
        count = (setup for setup in found.setups if self._counts((setup,)))
        return next(count, None), found.proven

    def _more(self, basket: Basket) -> list[Owned]:
        """What is bought, and what can be made on the spot as far as that may be needed."""
        if not self.lays:
            return extra_of(basket)
        there = {piece.name: piece for piece in self.site.gear}
        made = [p for p in with_made(self.site.gear) if there.get(p.name) is not p]
        if isinstance(basket, Bought):
            laid = {piece.name for piece, _ in basket.filled.variant.laid}
            made = [piece for piece in made if piece.name in laid]
        return [*extra_of(basket), *made]

    def _kit(self, extra: Iterable[Owned]) -> Kit:
        more = {piece.name: piece for piece in extra}  # of some there is more than is owned
        own = tuple(piece for piece in self.site.gear if piece.name not in more)
        whole = kit_of(replace(self.site, gear=own), more.values())
        return whole if self.loose else whole.rated_only

    def _counts(self, setups: Iterable[Setup]) -> bool:
        return self.loose or not any(setup.unrated for setup in setups)


def made_for(
    site: Site, setups: Iterable[Setup | LoweringSetup], bought: Iterable[Owned]
) -> tuple[Made, ...]:
    """What is laid on edges that is neither owned nor bought: in several stages as much as the one takes that
    takes the most, as it is taken along."""
    there = Counter({piece.name: piece.count for piece in (*site.gear, *bought)})
    needed: dict[str, int] = {}
    kinds: dict[str, Protector] = {}
    for setup in setups:
        holding = setup.holding if isinstance(setup, Setup) else ()
        lines = (setup.contacts, *(line.contacts for line in holding))
        kinds |= {c.owned.name: c.owned.gear for some in lines for c in some if c.owned is not None}
        gear = (setup.gear, *(line.gear for line in holding))
        laid = Counter(h.item for some in gear for h in some if h.role is Role.PROTECTOR)
        needed |= {name: max(many, needed.get(name, 0)) for name, many in laid.items()}
    return tuple(
        Made(id=kinds[name].id, name=kinds[name].name, count=many - there[name])
        for name, many in sorted(needed.items())
        if many > there[name]
    )


def items_of(basket: Basket) -> tuple[Item, ...]:
    """What a purchase is, piece by piece."""
    return tuple(
        Item(
            id=o.item.id,
            gear=o.item.gear.id,
            name=o.item.gear.name,
            length=o.item.length,
            count=many,
            price=o.item.price,
            placeholder=o.item.placeholder,
            lent=o.item.lent,
            shop=o.item.shop,
            written=o.item.written,
        )
        for o, many in basket.items
    )


def extra_of(basket: Basket) -> list[Owned]:
    """What is bought, as gear."""
    return [replace(o.piece, count=many, price=o.item.price) for o, many in basket.items]


def _option(
    basket: Basket,
    goal: str,
    setup: Setup,
    *,
    plan: Plan | None = None,
    best: bool,
    proven: bool = True,
) -> Option:
    items = items_of(basket)
    setups = (setup,) if plan is None else plan.stages
    unusual = unusual_of(
        (o.piece.gear for o, _ in basket.items),
        two_ropes=any(s.second is not None for s in setups),
        put_together=any(s.rope.joined is not None for s in setups),
    )
    return Option(
        goals=(goal,),
        items=items,
        setup=setup,
        proven=proven,
        plan=plan,
        best=best,
        unusual=unusual,
        pieces_bought=tuple(extra_of(basket)),
    )
