"""Checks whether tackle on tackle does with less money, after every other question, starting from the
purchases found so far."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from enum import StrEnum
from math import inf

from optimiser.rig.forces.duty import Duty
from optimiser.rig.two_ropes.pairs import pairs
from optimiser.search.buying.basket import Basket, Bought
from optimiser.search.buying.least import Market, OutOfTime, by_money, fewest
from optimiser.search.buying.staged import Answer, Job, Stages
from optimiser.search.stock.purse import Purse
from optimiser.search.two_ropes.search import FEW, compounds_in_space


class Tackles(StrEnum):
    """How far tackle on tackle with something new was looked at."""

    COUNTED = "counted"  # to the end
    PARTLY = "partly"  # as far as the time, or the effort for it, went
    MANY = "many"  # there is more of it than is looked at without a request
    OFF = "off"  # nobody wants to know
    NONE = "none"  # nothing at hand holds on a rope


PATIENCE = 3.0
"""Effort for each question about tackle on tackle, where nobody requests it and no time limit is given."""
Question = Callable[[Stages, Basket | None], Answer]
_HINDRANCES = (Tackles.OFF, Tackles.MANY, Tackles.COUNTED, Tackles.NONE)
"""What holds of several jobs: the first that holds of any."""


class Tackled:
    """The questions, and how far they were answered. `requested`: whether somebody wants to know; None: not
    stated, so they are left where there is much to look at. `start`: the least of a single line, by money."""

    def __init__(self, requested: bool | None, jobs: Sequence[Job], start: Basket | None) -> None:
        self._patient = not requested
        self._clock = jobs[0].market.clock.anew()
        self._jobs = [
            replace(job, market=replace(job.market, two_ropes=True, clock=self._clock))
            for job in jobs
        ]
        self._stages: Stages | None = None
        each = {self._worth_a_search(requested, job.market, start) for job in jobs}
        self.found = next(some for some in _HINDRANCES if some in each)

    @property
    def _market(self) -> Market:
        return self._jobs[0].market  # only a single job is done in one stage without further stages

    @staticmethod
    def _worth_a_search(requested: bool | None, market: Market, start: Basket | None) -> Tackles:
        if requested is False:
            return Tackles.OFF
        if market.line.duty is not Duty.HAUL:
            return Tackles.NONE
        priced = by_money(market)
        purse = Purse(priced.owned, priced.offers, inf if start is None else start.spent)
        kit = replace(purse.kit, spend=purse.budget)
        if not any(pairs(kit, s.puller.fixture) for s in market.scenes):
            return Tackles.NONE
        much = (
            not requested and compounds_in_space(market.scenes, kit, market.rules, upto=FEW) > FEW
        )
        return Tackles.MANY if much else Tackles.COUNTED

    def cheapest(self, one: Bought | None) -> Bought | None:
        """The least in one stage, where `one` is that of a single line."""
        if not self._goes_on():
            return one
        try:
            return by_money(replace(self._market, one_rope=False)).least(one)
        except OutOfTime as out:
            self.found = Tackles.PARTLY
            return out.found or one

    def fewest(self, start: Bought) -> Bought:
        """The fewest pieces in one stage, where `start` is a purchase of few."""
        if not self._goes_on():
            return start
        try:
            return fewest(replace(self._market, one_rope=False), start)
        except OutOfTime:
            self.found = Tackles.PARTLY
            return start

    def in_stages(self, grain: float, question: Question, plain: Answer) -> Answer:
        """The answer to a question about stages, where `plain` is that for single lines."""
        if not self._goes_on():
            return plain
        self._stages = self._stages or Stages(self._jobs, grain)
        answer = question(self._stages, plain.basket)
        if not answer.proven:
            self.found = Tackles.PARTLY
        found, known = answer.basket, plain.basket
        if found is None or (known is not None and found.items_by_name == known.items_by_name):
            return plain
        return Answer(answer.baskets, plain.proven)

    def _goes_on(self) -> bool:
        """Whether the next question is taken up; from now on its effort counts."""
        if self._patient:
            self._clock.allow(PATIENCE)
        return self.found is Tackles.COUNTED
