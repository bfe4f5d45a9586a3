"""Finds the least purchase with which a job works, and proves that no smaller one does.

Budgets rise until something works within one; then the budget falls below what was found until nothing
works any more: that is the proof. Within a budget the search knows no more gear than it buys, so its
bounds are as sharp as for owned gear; what a rig costs is decided by the constraint solver.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import floor, inf

from optimiser.rig.forces.duty import Duty
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.search.board import Board
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.bounds.grow import Grower
from optimiser.search.bounds.partial import SLACK
from optimiser.search.buying.basket import Bought, bought
from optimiser.search.buying.confirm import WithinPurse
from optimiser.search.buying.for_letting_down import within
from optimiser.search.clock import Clock
from optimiser.search.leaves import Confirmer, rigs_of
from optimiser.search.line import HAULING, Line
from optimiser.search.prove import Stop, Worker, Workers, search
from optimiser.search.rules import Rules
from optimiser.search.sought import Sought, Tally
from optimiser.search.stock.by_size import purses
from optimiser.search.stock.offers import Offer
from optimiser.search.stock.purse import ANY_NUMBER, STEP, Purse
from optimiser.search.two_ropes.search import tackle_workers
from optimiser.site.counts import Count

RISE = 1.4
"""Factor from one budget to the next. A larger one needs fewer budgets, but those that are too high cost
more time than those that are too low."""


PIECE = 1e6
"""Price of a piece where pieces come before money: more than any purchase costs."""


class OutOfTime(Exception):  # noqa: N818 - not an error: what was found so far is reported
    """The time limit came before the answer, or it could not be decided whether a rig works. `found`: the
    best purchase until then; `failed`: so much of what the offers' prices count is proven not to do."""

    found: "Bought | None" = None
    failed: float | None = None


@dataclass(frozen=True, slots=True)
class Purses:
    """What a budget buys: for a single line, one purse for each size of rope; for tackle on tackle."""

    of_one: tuple[Purse, ...]
    of_two: Purse | None


@dataclass
class Market:
    """One job with a price list. `floor`: least margin; `most_resets`: more than that does not count;
    `joining`: ropes may be joined (see `search.stock.purse`); `one_rope`, `two_ropes`: setups of one
    line, and tackle on tackle, are looked at; `line`: what the rope is for. A rope that lets down is in one
    piece, and no tackle on a tackle. `says`: a budget in words, for whoever waits."""

    scenes: list[Scene]
    owned: Kit
    offers: tuple[Offer, ...]
    rules: Rules
    floor: float
    clock: Clock
    most_resets: float = inf
    most_pieces: int = ANY_NUMBER
    joining: bool = False
    one_rope: bool = True
    two_ropes: bool = False
    line: Line = HAULING
    says: Callable[[float], str] | None = None
    tally: Tally = field(default_factory=Tally)

    # ---- one budget -------------------------------------------------------------------------------

    def within(self, budget: float) -> Bought | None:
        """A purchase within the budget that works, or None where there is none. Raises OutOfTime."""
        return self.paid_by(self.purses(budget))

    def purses(self, budget: float) -> Purses:
        """Returns the purses that a budget fills; they cache what follows from that, so many scenes may
        share them."""
        every = purses(
            self.owned,
            self.offers,
            budget,
            self.most_pieces,
            joining=self.joining and self._hauls,
            sharing=self.shares,
        )
        return Purses(
            tuple(every) if self.one_rope else (),
            Purse(self.owned, self.offers, budget, self.most_pieces)
            if self.two_ropes and self._hauls
            else None,
        )

    def paid_by(self, purses: Purses) -> Bought | None:
        """As `within`, with what a budget buys."""
        for purse in purses.of_one:
            found = self._search(purse, self._of_one(purse))
            if found is not None:
                return found
        purse_of_two = purses.of_two
        if purse_of_two is None:
            return None
        unsettled: list[bool] = []
        workers = self._of_two(purse_of_two, lambda: unsettled.append(True))
        found = self._search(purse_of_two, workers)
        if found is None and unsettled:
            raise OutOfTime
        return found

    def _of_one(self, purse: Purse) -> Workers:
        def workers(board: Board, tally: Tally) -> Iterator[Worker]:
            for scene in scenes_for(self.scenes, purse.kit):
                tables = Tables(
                    scene, purse.kit, self.rules, self.floor, line=self.line, purse=purse
                )
                if tables.hitch_margin * (1.0 + SLACK) < self.floor:
                    continue  # no walk has more, whatever is bought
                sought = Sought(tables, board, self._order, tally)
                yield Grower(tables), Confirmer(rigs_of(sought), within(sought))

        return workers

    def _of_two(self, purse: Purse, unsettled: Callable[[], None]) -> Workers:
        kit = replace(purse.kit, spend=purse.budget)

        def tables_of(scene: Scene) -> Tables:
            return Tables(scene, kit, self.rules, self.floor, purse=purse)

        def giving(sought: Sought) -> WithinPurse:
            return WithinPurse(sought, unsettled)

        def workers(board: Board, tally: Tally) -> Iterator[Worker]:
            return tackle_workers(self.scenes, tables_of, self._order, board, tally, giving)

        return workers

    @property
    def _hauls(self) -> bool:
        return self.line.duty is Duty.HAUL

    @property
    def shares(self) -> bool:
        """Whether any trees may share a pull by a sling."""
        return any(scene.site.has_shared for scene in self.scenes)

    @property
    def _order(self) -> Order:
        return Order((Count.MARGIN,), self.floor, most_resets=self.most_resets)

    def _search(self, purse: Purse, workers: Workers) -> Bought | None:
        if not purse.kit.ropes:
            return None
        if not self.clock.runs():
            raise OutOfTime
        outcome = search(
            self.scenes, purse.kit, self._order, self.rules, top=1, floor=self.floor,
            everything=True, clock=self._reporting(purse), stop=Stop.FIRST, workers=workers,
        )  # fmt: skip
        self.tally.looked_at += outcome.tally.looked_at
        for _, entry in outcome.board.leaders():
            found = bought(entry.filled, self.offers)
            if found.spent > purse.budget + STEP:
                raise RuntimeError(f"{found.spent} was spent of {purse.budget}")
            return found
        if not outcome.proven:
            raise OutOfTime
        return None

    def _reporting(self, purse: Purse) -> Clock:
        report = self.clock.progress
        if report is None or self.says is None or purse.budget == inf:
            return self.clock.anew()
        within = self.says(purse.budget)
        return self.clock.anew(lambda text: report(f"{within}: {text}"))

    # ---- the least --------------------------------------------------------------------------------

    @property
    def _first_budget(self) -> float:
        """The least that anything costs that costs something; what is lent for nothing counts a STEP or so by
        piece, and to begin with that would take many rises."""
        prices = [o.price for o in self.offers if o.price > 0]
        return min((p for p in prices if p >= 1.0), default=max(prices, default=0.0))

    def least(self, start: Bought | None = None) -> Bought | None:
        """The purchase that costs least by the offers' prices; None where even the whole list does not
        do. `start`: one that works. Raises OutOfTime."""
        found, failed, out_of = start, -STEP, None
        try:
            if start is not None and self.two_ropes:
                # Mostly nothing cheaper does; that is soon known.
                found = self.within(start.spent - STEP)
                if found is None:
                    return start
            if found is None:
                # Where there is much to choose from, little money is decided sooner.
                try:
                    found = replace(self, clock=self.clock.share(0.5)).within(inf)
                    if found is None:
                        return None
                except OutOfTime as out:
                    out_of = out
            if (found is None or found.spent > 0) and (free := self.within(0.0)) is not None:
                return free
            budget = self._first_budget
            everything = sum(o.price * o.most for o in self.offers)
            while budget < (everything if found is None else found.spent):
                some = self.within(budget)
                if some is not None:
                    found = some
                    break
                failed, budget = budget, RISE * budget
            if found is None:
                raise out_of or OutOfTime
            while found.spent - STEP > failed + STEP / 2:
                better = self.within(found.spent - STEP)
                if better is None:
                    break
                found = better
        except OutOfTime as out:
            out.found = found or start
            out.failed = failed if failed > 0.0 else None
            raise
        return found


def scenes_for(scenes: Sequence[Scene], kit: Kit) -> Iterator[Scene]:
    """The scenes for which a kit has what is laid on edges, and a rope that rubs there as they take it."""
    there = {piece.name for piece in kit.protectors}
    for scene in scenes:
        piece = scene.edging.protector
        if (piece is None or piece.name in there) and scene.edging.kit(kit).ropes:
            yield scene


def cheapest(market: Market) -> Bought | None:
    """The purchase of least money, of those the one of fewest pieces; None where even the whole list does
    not do. Raises OutOfTime."""
    return by_money(market).least()


def money_above(failed: float) -> float:
    """Money that every purchase costs at least, where so much of what `by_money` counts does not do. Fewer
    than a hundred pieces are bought for a rig."""
    return max(floor(failed) - 100 * STEP, 0.0) / 100.0


def by_money(market: Market) -> Market:
    """The market where money is minimised, and pieces where the money is the same."""
    counted = tuple(o.counted(round(o.item.price * 100) + STEP) for o in market.offers)
    return replace(market, offers=counted, says=_money_in_words)


def _money_in_words(budget: float) -> str:
    """A budget as `by_money` counts it."""
    return f"for up to {floor(budget) / 100.0:,.2f}"


def by_pieces(market: Market) -> Market:
    """The market where pieces are minimised, and money where the pieces are as many."""
    counted = tuple(o.counted(PIECE + round(o.item.price, 2)) for o in market.offers)
    return replace(market, offers=counted)


def fewest(market: Market, start: Bought) -> Bought:
    """The purchase of fewest pieces, of those the one of least money. `start`: one that works. Raises
    OutOfTime."""
    one_each = replace(market, offers=tuple(o.counted(1.0) for o in market.offers))
    found = start
    for pieces in range(start.pieces):
        fewer = one_each.within(float(pieces))
        if fewer is not None:
            found = fewer
            break
    limited = by_money(replace(market, most_pieces=found.pieces))
    return limited.least(bought(found.filled, limited.offers)) or found
