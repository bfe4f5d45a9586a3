"""Defines what buying for several jobs together answers, as frozen values."""

from dataclasses import dataclass, field

from optimiser.jobs.buy.results import AnyOption, Purchase
from optimiser.rig.setup import Miss
from optimiser.rig.status import Status
from optimiser.search.buying.tackled import Tackles
from optimiser.site.model import Trip


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """So many pieces of an item, by its id in the price list, without which a job cannot be done."""

    item: str
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """What a purchase makes of one of the jobs. `option`: how the job is then done; `needs`: what of the
    purchase it cannot be done without, None where that was not looked at to the end."""

    option: AnyOption
    needs: tuple[Need, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ForAll(Purchase):
    """One purchase with which every job is done, one after the other; the shares are in the order of the
    jobs."""

    shares: tuple[Share, ...]

    @property
    def margin(self) -> float:
        """Of the worst of the jobs."""
        return min(share.option.margin for share in self.shares)

    @property
    def stages(self) -> int:
        """Of all jobs together."""
        return sum(share.option.stages for share in self.shares)

    @property
    def resets(self) -> int:
        """Of all jobs together."""
        return sum(share.option.resets for share in self.shares)


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """The least money for some of the jobs; `cost` None: nothing was found. `proven`: it is the least, or
    nothing does. `placeholder`: some of its prices are nobody's."""

    cost: float | None
    proven: bool
    placeholder: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class JobOf:
    """One of the jobs. `name`: what it is called, the name of its file; `owned`: it is done with the gear
    owned; `alone`: what is bought for it by itself; `others`: for all the others; `misses`: what stops it
    where even the whole price list does not do, of a way down `reasons`, in sentences. `trip`: whether it is
    hauled or let down; `place`: the number of its site among those in question, from 0."""

    name: str
    title: str
    owned: bool
    alone: Price
    others: Price
    misses: tuple[Miss, ...] = field(default=())
    reasons: tuple[str, ...] = ()
    trip: Trip = Trip.UP
    place: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """The purchases that serve all of several jobs, cheapest first.

    `offered`: items that were looked at; `proven`: the first option is the least, or, beside no option, no
    purchase serves all of the jobs; `further`: further steps were looked for to the end; `apart`: gear that
    the sites list differently, a sentence each; `resting`: jobs whose load is to be let down and rests by
    itself all along its path: no rope has to hold it, so nothing is bought for them, and they are not among
    `jobs`.
    """

    options: tuple[ForAll, ...]
    jobs: tuple[JobOf, ...]
    currency: str
    offered: int
    placeholders: bool
    proven: bool
    further: bool
    tackles: Tackles
    rules: tuple[str, ...]
    most_stages: int
    apart: tuple[str, ...] = ()
    resting: tuple[str, ...] = ()

    @property
    def status(self) -> Status:
        return Status.of(found=bool(self.options) or not self.jobs, settled=self.proven)

    @property
    def needed(self) -> bool:
        """Whether anything has to be bought."""
        return not all(job.owned for job in self.jobs)

    def saved_without(self, job: JobOf) -> float | None:
        """What leaving a job out saves; None where that is not known."""
        least = min((option.cost for option in self.options), default=None)
        return (
            None if least is None or job.others.cost is None else round(least - job.others.cost, 2)
        )

    def __len__(self) -> int:
        return len(self.options)
