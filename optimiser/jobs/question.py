"""The questions that the jobs answer, in the words of the command line's options.

A question is a frozen value whose defaults are the usual question: `RankQuestion(top=3, by=("rope",))` asks
what `bankhaul rank --top 3 --by rope` asks. What a job is given to answer with (a kit, a price list, a
clock, a sign of life) is no part of it. Every class raises ValueError for a value that no question can
have.
"""

from dataclasses import dataclass
from math import inf

from catalogue.currency import read_rate
from optimiser.search.rules import Rules
from optimiser.search.stages.track import GRAIN
from optimiser.site.counts import counts_of, plan_counts_of
from optimiser.site.document.quantity import Corner
from optimiser.site.model import Site, Trip
from optimiser.site.rules import RULES
from shared.words import did_you_mean, listed


@dataclass(frozen=True, kw_only=True)
class Question:
    """What every job that knows the rules of the search takes. `without`: names of rules to switch
    off."""

    without: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in self.without:
            if name not in RULES:
                near = did_you_mean(name, RULES) or f": expected {listed(list(RULES))}"
                raise ValueError(f"'{name}' is no rule of the search{near}")

    def rules(self, site: Site) -> Rules:
        """The rules that are on: those of the site's preferences but the ones switched off."""
        return Rules.of(site.preferences.rules - frozenset(self.without))


@dataclass(frozen=True, kw_only=True)
class WhyQuestion(Question):
    """Why a reeving works, or why not. `hold`: with a second line wherever the load runs by itself or would
    slew. `down`: a reeving that lets the load down."""

    hold: bool = False
    down: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.hold and self.down:
            raise ValueError("a way down is a line that holds: it has no second one ('hold')")


@dataclass(frozen=True, kw_only=True)
class SearchQuestion(Question):
    """What every search takes besides. `time_limit` [s]: after it the answer so far comes back, not
    proven."""

    time_limit: float | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.time_limit is not None and not self.time_limit >= 0.0:
            raise ValueError(f"time limit {self.time_limit} s: must not be below 0")


@dataclass(frozen=True, kw_only=True)
class HaulQuestion(SearchQuestion):
    """What every search for hauls takes besides. `compound`: count tackle on tackle; None: where
    there is not too much of it (`optimiser.search.two_ropes.scope`), or nothing simpler is found.
    `join_ropes`: count ropes that are put together (`optimiser.rig.gear.joined`); None: where none of one
    piece does, or a stage is saved. `explain`: look for the nearest
    misses where nothing works, which takes longer than finding that out."""

    compound: bool | None = None
    join_ropes: bool | None = None
    explain: bool = True


@dataclass(frozen=True, kw_only=True)
class RankQuestion(HaulQuestion):
    """The `top` best setups. `by`: counts of `optimiser.site.counts`, the first weighs most; None: the
    order of the site's preferences. `everything` (option `--all`): also setups that another one beats on
    every count. `hold`: only setups that leave the gear for a second line wherever the load runs by itself
    or would slew."""

    top: int = 10
    by: tuple[str, ...] | None = None
    everything: bool = False
    hold: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        counts_of(self.by or ())
        _at_least(self.top, 1, "top")


@dataclass(frozen=True, kw_only=True)
class StagesQuestion(HaulQuestion):
    """The best chain of setups. `by`: counts of `optimiser.site.counts`; "stages" comes
    before all unless it is named. `grain` [m]: distance of the marks at which a stage may end; `hold`: only
    stages that leave the gear for a second line wherever the load runs by itself or would slew."""

    by: tuple[str, ...] | None = None
    most_stages: int = 4
    grain: float = GRAIN
    hold: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        plan_counts_of(self.by or ())
        _at_least(self.most_stages, 1, "most stages")
        if not self.grain > 0.0:
            raise ValueError(f"grain {self.grain} m: must be above 0")


FURTHER_STEPS = 3
"""Further steps of money that are listed, for margin and for resets each."""


@dataclass(frozen=True, kw_only=True)
class BuyQuestion(HaulQuestion):
    """What to add to the owned gear. `most_stages` (option `--stages`): how many setups one after the other
    may haul it; `steps`: further steps of money; `grain` and `hold` as of a plan in stages. `down`: the load
    is let down in place of hauled; `both`: it is hauled, and let down. `rates` (`--rate`): what one of a
    currency is worth in another, as "1 USD = 0.9 EUR"."""

    most_stages: int = 4
    steps: int = FURTHER_STEPS
    grain: float = GRAIN
    hold: bool = False
    down: bool = False
    both: bool = False
    rates: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        _at_least(self.most_stages, 1, "most stages")
        _at_least(self.steps, 0, "steps")
        if self.down and self.both:
            raise ValueError("'both' has the way down in it: either 'down' or 'both'")
        if self.down and self.hold:
            raise ValueError("a way down is a line that holds: it has no second one ('hold')")
        for rate in self.rates:
            read_rate(rate)

    def trips(self, site: Site) -> tuple[Trip, ...]:
        """What the load of a site is bought for, in the order of its trips where it names both."""
        if not self.both:
            return (Trip.DOWN if self.down else Trip.UP,)
        named = site.preferences.trips
        return named if len(named) > 1 else (Trip.UP, Trip.DOWN)

    def of_stages(
        self, most_stages: int, *, compound: bool | None, hold: bool = False
    ) -> StagesQuestion:
        """The question that is put where the gear for some stages is known."""
        return StagesQuestion(
            most_stages=most_stages,
            without=self.without,
            compound=compound,
            join_ropes=self.join_ropes,
            grain=self.grain,
            explain=False,
            hold=hold,
        )


@dataclass(frozen=True, kw_only=True)
class LowerQuestion(SearchQuestion):
    """The `top` best ways to let the load down. `hold` [N]: the most that the hand on the rope has to give;
    a published figure if left out. `most_sheaves`: of a hold; None:
    `optimiser.jobs.lower.hold_job.MOST_SHEAVES`."""

    top: int = 5
    hold: float | None = None
    most_sheaves: int | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        _at_least(self.top, 1, "top")
        if self.hold is not None and not 0.0 < self.hold < inf:
            raise ValueError(f"hold {self.hold} N: must be a positive number")
        if self.most_sheaves is not None:
            _at_least(self.most_sheaves, 0, "most sheaves")


@dataclass(frozen=True, kw_only=True)
class MissesQuestion(SearchQuestion):
    """The nearest misses, at most so `many`. `rated_only`: a setup with anything that has no rating does
    not count as one that works; `compound`: tackle on tackle counts."""

    many: int = 5
    rated_only: bool = False
    compound: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        _at_least(self.many, 1, "many")


@dataclass(frozen=True, kw_only=True)
class SweepQuestion(SearchQuestion):
    """The best setup over a grid. `steps`: values on each axis, both ends included, at least 2; None: 9 of
    one number, 7 of each of two; `guesses`: the end of every range in the site that is planned for; `by`,
    `compound`, `join_ropes` and `hold` as of a ranking, but tackle on tackle is left out unless requested;
    `down`: the best way down in place of the best haul, which has one order and one rope, and is a second
    line itself; `time_limit` [s]: for each cell."""

    steps: int | None = None
    guesses: Corner = "worst"
    by: tuple[str, ...] | None = None
    compound: bool = False
    join_ropes: bool | None = None
    hold: bool = False
    down: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        counts_of(self.by or ())
        joining = self.join_ropes is not None
        words = (
            ("by", self.by), ("compound", self.compound), ("join_ropes", joining), ("hold", self.hold)
        )  # fmt: skip
        of_hauls = [word for word, given in words if given]
        if self.down and of_hauls:
            raise ValueError(f"a way down has no '{of_hauls[0]}': that is a word of hauls")

    def of_ways_down(self, top: int) -> LowerQuestion:
        """The question that is put to each cell where ways down are looked for."""
        return LowerQuestion(top=top, without=self.without, time_limit=self.time_limit)


@dataclass(frozen=True, kw_only=True)
class LeverQuestion:
    """How to raise the load corner by corner. `hand` [N]: force on the bar's end that the hand
    may have to give; None: what the site gives, else a published figure."""

    hand: float | None = None

    def __post_init__(self) -> None:
        if self.hand is not None and not 0.0 < self.hand < inf:
            raise ValueError(f"hand {self.hand} N: must be a positive number")


def _at_least(number: int, least: int, what: str) -> None:
    if number < least:
        raise ValueError(f"{what} {number}: must be {least} or more")


RANK, STAGES, BUY = RankQuestion(), StagesQuestion(), BuyQuestion()
LOWER, MISSES, SWEEP = LowerQuestion(), MissesQuestion(), SweepQuestion()
WHY, LEVER = WhyQuestion(), LeverQuestion()
"""The usual questions: every word at its default."""
