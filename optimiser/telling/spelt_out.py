"""Describes the fields of one setup, or one way down, spelt out, with what else is known of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from optimiser.jobs.hold.results import Held
from optimiser.jobs.ranges.before_pulls import BeforePulls
from optimiser.jobs.ranges.breakeven import BreakEven, Worth
from optimiser.jobs.remarks import used
from optimiser.rig.setup import LoweringSetup, Ranking, Setup
from optimiser.rig.status import Status
from optimiser.site.doubts.data_ends import data_ends
from optimiser.site.doubts.unlikely import Remark
from optimiser.site.model import Site
from optimiser.site.pulled.outcome import Pulls
from optimiser.telling.fields.common import FLAG, LENGTH, RATIO
from optimiser.telling.fields.several import PROVEN, REMARK, STATUS
from optimiser.telling.lower import HOLD_IN_FULL
from optimiser.telling.ranges import BREAK_EVEN, WORTH
from optimiser.telling.readings.pulled import PULLED, pulls_of
from optimiser.telling.tables import HOLDING, SETUP_IN_FULL
from shared.columns import Column, Many, Record


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A setup among those of a ranking. `spare`: what the rest of the gear would hold the load with;
    `limits`, `worth`: how wrong its guesses may be, and which to measure; `before`: the pulls."""

    site: Site
    setup: Setup
    among: Ranking
    spare: Held | None
    limits: Sequence[BreakEven]
    worth: Sequence[Worth]
    before: BeforePulls | None

    @property
    def beyond_data(self) -> tuple[Remark, ...]:
        """What the data on its trees do not cover."""
        walks = [line.walk for line in self.setup.lines]
        return tuple(data_ends(self.site, used(walks, self.setup.puller)))

    @property
    def wanted(self) -> float:
        """The margin wanted."""
        return max(self.site.preferences.margin_wanted, 1.0)


def _setup(shown: Shown) -> Setup:
    return shown.setup


def _pulls(shown: Shown) -> Pulls:
    pulls = pulls_of(shown.site)
    assert pulls is not None
    return pulls


def _margin_before(shown: Shown) -> float:
    assert shown.before is not None
    return shown.before.margin


BREAK_EVENS: Column[Any] = Column(
    "break_even", lambda s: s.limits, Many(BREAK_EVEN), "how wrong each guess may be"
)
WORTH_MEASURING: Column[Any] = Column(
    "worth_measuring", lambda s: s.worth, Many(WORTH), "the guesses worth measuring"
)

PULLED_SHOWN: Record[Shown] = Record("pulled_shown", "a setup before and after the pulls that were read", (
    *PULLED.through(_pulls),
    Column("margin_before_pulls", _margin_before, RATIO, "margin by the file alone; 0: it would not work"),
    Column("margin_with_pulls", lambda s: s.setup.margin, RATIO, "margin with the pulls"),
    Column("margin_wanted", lambda s: s.wanted, RATIO, "the margin wanted"),
    Column("worth_going_on", lambda s: s.setup.margin >= s.wanted, FLAG, "whether it has the margin wanted"),
))  # fmt: skip

SHOWN: Record[Shown] = Record("setup_shown", "one setup spelt out, with what else is known of it", (
    *SETUP_IN_FULL.through(_setup),
    Column("status", lambda s: s.among.status, Status, STATUS),
    Column("proven", lambda s: s.among.proven, FLAG, PROVEN),
    Column("spare_holding", lambda s: s.spare.lines if s.spare else (), Many(HOLDING),
           "what the gear that the haul leaves would hold the load with"),
    Column("not_held", lambda s: [[m.from_m, m.to_m] for m in s.spare.missing] if s.spare else [],
           Many(Many(LENGTH)), "stretches for which the gear that is left gives no such line"),
    BREAK_EVENS,
    WORTH_MEASURING,
    Column("beyond_data", lambda s: s.beyond_data, Many(REMARK), "what the data on its trees do not cover"),
    Column("pulled", lambda s: s, PULLED_SHOWN, "before and after the pulls that were read",
           when=lambda s: s.before is not None),
))  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class LetDown:
    """A way down, with how wrong its guesses may be (`limits`), and which to measure (`worth`)."""

    setup: LoweringSetup
    limits: Sequence[BreakEven]
    worth: Sequence[Worth]


def _way_down(shown: LetDown) -> LoweringSetup:
    return shown.setup


LET_DOWN: Record[LetDown] = Record("hold_shown", "one way to let the load down spelt out", (
    *HOLD_IN_FULL.through(_way_down), BREAK_EVENS, WORTH_MEASURING,
))  # fmt: skip
