"""Prints purchases that serve several jobs, as listings and as JSON."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from catalogue.glossary import explained
from optimiser.jobs.buy.for_all import ForAll, JobOf, Need, Price, Share, Together
from optimiser.jobs.buy.results import OptionDown
from optimiser.jobs.lower.hold_job import MOST_SHEAVES
from optimiser.rig.setup import LoweringSetup, Setup, names
from optimiser.rig.status import Status
from optimiser.site.model import Site, Trip
from optimiser.telling import buy as one_job
from optimiser.telling.bought import descent_words
from optimiser.telling.bought.in_common import (
    BOUGHT,
    FURTHER_LEFT,
    LOOKED_AT,
    OFFERED,
    PAID,
    PROVEN_LEAST,
    TACKLES,
    TO_BUY,
    among,
    lent_note,
    placeholder_note,
    rating_note,
    up_to,
)
from optimiser.telling.bought.item_words import in_short, money
from optimiser.telling.bought.where_from import bought_for, shop_by_shop
from optimiser.telling.fields.common import (
    COUNT,
    FLAG,
    MARGIN,
    MONEY,
    RATIO,
    RESETS,
    TEXT,
    TEXTS,
)
from optimiser.telling.fields.several import IF_STANDS, PROVEN, STATUS
from optimiser.telling.lower import HOLD, MISS_DOWN
from optimiser.telling.tables import MISS, SETUP, misses_listing
from shared.columns import Column, Many, Record, Where
from shared.interrupt import cut_short
from shared.listing import Listing
from shared.report import Block
from shared.units import show
from shared.words import counted

NEED: Record[Need] = Record("need", "so many of an item, without which a job cannot be done", (
    Column("item", lambda n: n.item, TEXT, "id in the price list"),
    Column("count", lambda n: n.count, COUNT, "how many"),
))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Part:
    """What a purchase makes of one job."""

    job: JobOf
    share: Share

    @property
    def hauls(self) -> tuple[Setup, ...]:
        """The setup of each stage; none of a way down."""
        option = self.share.option
        return () if isinstance(option, OptionDown) else option.setups

    @property
    def holds(self) -> tuple[LoweringSetup, ...]:
        """The hold of each stage of a way down; none of a haul."""
        option = self.share.option
        return option.setups if isinstance(option, OptionDown) else ()


@dataclass(frozen=True, slots=True)
class Offer:
    """An option among those of an answer."""

    number: int
    option: ForAll
    among: Together

    @property
    def parts(self) -> tuple[Part, ...]:
        """The jobs, with what the option makes of each."""
        return tuple(map(Part, self.among.jobs, self.option.shares))

    @property
    def worst(self) -> Part:
        """The job of the least margin."""
        return min(self.parts, key=lambda part: part.share.option.margin)


TRIP: Column[Any] = Column(
    "trip",
    lambda row: row.job.trip,
    Trip,
    "whether the load is hauled along its path (up) or let down",
    where=Where.DATA,
)
PART: Record[Part] = Record("job_done", "what a purchase makes of one job", (
    Column("site", lambda p: p.job.name, TEXT, "file of the site"),
    Column("title", lambda p: p.job.title, TEXT, "title of the site"),
    TRIP,
    Column("stages", lambda p: p.share.option.stages, COUNT, "stages it is done in"),
    RESETS.of(lambda p: p.share.option.resets),
    MARGIN.of(lambda p: p.share.option.margin),
    Column("needs", lambda p: p.share.needs or (), Many(NEED), "what of it the job cannot be done without"),
    Column("needs_proven", lambda p: p.share.needs is not None, FLAG, "whether all of that was looked at"),
    Column("made", lambda p: p.share.option.made, Many(one_job.MADE), "what to make on the spot"),
    Column("if_stands", lambda p: p.share.option.if_stands, Many(IF_STANDS), "the conditions for it to hold"),
    Column("setups", lambda p: p.hauls, Many(SETUP), "the setup of each stage of a haul"),
    Column("holds", lambda p: p.holds, Many(HOLD), "the hold of each stage of a way down, from the top"),
))  # fmt: skip

OFFER: Record[Offer] = Record("purchases_for_all", "one purchase with which every job is done", (
    *BOUGHT,
    *PAID,
    Column("margin", lambda r: r.option.margin, RATIO, "margin of the worst job", "least margin",
           rounding=MARGIN.rounding),
    Column("worst", lambda r: r.worst.job.name, TEXT, "the job of the least margin", "of", yields=7),
    Column("stages", lambda r: r.option.stages, COUNT, "stages of all jobs together", "stages", yields=8),
    Column("resets", lambda r: r.option.resets, COUNT, "resets of all jobs together", "resets", yields=9),
    PROVEN_LEAST,
    TO_BUY,
    Column("jobs", say=lambda r, system: _jobs(r, system), heading="the jobs then", where=Where.NOTE),
    Column("sites", lambda r: r.parts, Many(PART), "what it makes of each job"),
))  # fmt: skip

PRICE: Record[Price] = Record("price", "the least money for some of the jobs", (
    Column("cost", lambda p: p.cost, MONEY, "money; nothing: none was found", none=True),
    Column("proven", lambda p: p.proven, FLAG, "whether nothing less does, or nothing at all"),
    Column("placeholder", lambda p: p.placeholder, FLAG, "whether some of its prices are nobody's"),
))  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Row:
    """A job among those of an answer."""

    job: JobOf
    among: Together

    @property
    def share(self) -> Share | None:
        """What the first option makes of it."""
        if not self.among.options:
            return None
        return self.among.options[0].shares[self.among.jobs.index(self.job)]

    @property
    def needs(self) -> str:
        """What of the first option it cannot be done without."""
        return _needs(self.share, self.among.options[0]) if self.among.options else ""


JOB: Record[_Row] = Record("jobs", "one of the jobs", (
    Column("site", lambda r: r.job.name, TEXT, "file of the site", "job"),
    Column("title", lambda r: r.job.title, TEXT, "title of the site", "title", where=Where.DATA),
    TRIP,
    Column("owned", lambda r: r.job.owned, FLAG, "whether the gear owned does"),
    Column("needs", lambda r: r.needs, TEXT, "what it needs of no. 1", "needs of no. 1",
           where=Where.LISTED),
    Column("alone", lambda r: r.job.alone, PRICE, "what is bought for it by itself"),
    Column("others", lambda r: r.job.others, PRICE, "what is bought for all the others"),
    Column("cost_alone", lambda r: r.job.alone.cost, MONEY, "what it costs by itself", "by itself", none=True,
           say=lambda r, _: _money(r.job.alone, r.among), where=Where.LISTED),
    Column("saved", lambda r: r.among.saved_without(r.job), MONEY, "what leaving it out saves",
           "leaving it out saves", none=True, say=lambda r, _: _saved(r)),
    Column("misses", lambda r: r.job.misses, Many(MISS), "what stops it with everything on the list"),
    Column("reasons", lambda r: r.job.reasons, TEXTS, "the same of a way down, in words"),
))  # fmt: skip

TOGETHER: Record[Together] = Record("together", "what to buy so that every one of several jobs can be done", (
    Column("options", lambda t: _offers(t), Many(OFFER), "the purchases worth naming, cheapest first"),
    Column("jobs", lambda t: _rows(t), Many(JOB), "the jobs, each by itself"),
    Column("resting", lambda t: t.resting, TEXTS, "ways down on which the load rests by itself"),
    Column("needed", lambda t: t.needed, FLAG, "whether the gear owned does not do for every job"),
    *OFFERED,
    Column("status", lambda t: t.status, Status, STATUS),
    Column("proven", lambda t: t.proven, FLAG, PROVEN),
    Column("most_stages", lambda t: t.most_stages, COUNT, "stages that each job may have"),
    *LOOKED_AT,
    Column("gear_apart", lambda t: t.apart, TEXTS, "gear that the sites list differently"),
))  # fmt: skip

together_json = TOGETHER.json


def report(sites: Sequence[Site], found: Together) -> list[Block]:
    """The options, the jobs, what is proven, and whose prices these are."""
    system = sites[0].preferences.units
    apart = _apart(found)
    resting: list[Block] = [("", _resting(found))] if found.resting else []
    if not found.jobs:
        return resting
    if not found.options:
        return [*_nothing(found, system), *resting, *([("", apart)] if apart else [])]
    notes = [
        explained(("margin", "reset")),
        _proof(found),
        apart,
        placeholder_note(found.placeholders),
        lent_note(found.options),
        "With `--show N` option N is spelt out, job by job.",
        rating_note(
            conditional=any(share.option.if_stands for o in found.options for share in o.shares)
        ),
    ]
    blocks: list[Block] = [
        ("", _needed(found)),
        *resting,
        (_title(sites, found), options_listing(found, system)),
        *shop_by_shop(found.options, found.currency, system),
    ]
    if found.needed and len(found.jobs) > 1:
        blocks.append(("Job by job", jobs_listing(found, system)))
    return [*blocks, ("", "\n".join(note for note in notes if note))]


def options_listing(found: Together, system: str = "metric") -> Listing:
    """One row an option, cheapest first."""
    return Listing.of(OFFER, _offers(found), system, empty="nothing on the list serves every job")


def jobs_listing(found: Together, system: str = "metric") -> Listing:
    """One row a job."""
    return Listing.of(JOB, _rows(found), system)


def shown(sites: Sequence[Site], found: Together, number: int) -> list[Block]:
    """One option spelt out: what is bought, then every job with all that is done there."""
    chosen = found.options[number - 1]
    blocks: list[Block] = [
        ("What to get", bought_for(chosen, found.currency, sites[0].preferences.units))
    ]
    for job, share in zip(found.jobs, chosen.shares, strict=True):
        site = sites[job.place]
        blocks.append((f"{job.name}: {job.title}", _needs_sentence(share, chosen)))
        option = share.option
        if isinstance(option, OptionDown):
            blocks += descent_words.shown(site, option)
        else:
            blocks += one_job.shown(site, option)[1:]
    return blocks


def of_offer(found: Together, number: int) -> Offer:
    """An option by its number."""
    return Offer(number, found.options[number - 1], found)


def _offers(found: Together) -> Iterator[Offer]:
    for number, option in enumerate(found.options, start=1):
        yield Offer(number, option, found)


def _rows(found: Together) -> Iterator[_Row]:
    return (_Row(job, found) for job in found.jobs)


def _needs(share: Share | None, option: ForAll) -> str:
    if share is None or share.needs is None:
        return "not known"
    counts = {need.item: need.count for need in share.needs}
    return in_short([replace(i, count=counts[i.id]) for i in option.items if i.id in counts])


def _needs_sentence(share: Share, option: ForAll) -> str:
    if share.needs is None:
        return "Which of it this job needs was not looked at to the end."
    if not share.needs:
        return "This job needs nothing of what is bought."
    return f"Of what is bought this job cannot be done without {_needs(share, option)}."


def _jobs(offer: Offer, system: str) -> str:
    return "\n".join(_job(part, system) for part in offer.parts)


def _job(part: Part, system: str) -> str:
    option = part.share.option
    stages = "one stage" if option.stages == 1 else f"{option.stages} stages"
    margin = show(option.margin, RATIO, rounding=MARGIN.rounding)
    if isinstance(option, OptionDown):
        stops, stands = counted(option.resets, "new grip"), ""
        run = descent_words.run_in_words(option, system)
    else:
        stops, stands = counted(option.resets, "reset"), one_job.stands(option, system)
        run = one_job.run_in_words(option, system)
    text = f"{part.job.name}: {stages}, {stops}, margin {margin}. {run}"
    condition = one_job.on_condition(option, system)
    made = one_job.to_make(option)
    return " ".join(
        some for some in (text, stands, made, f"{condition}." if condition else "") if some
    )


def _title(sites: Sequence[Site], found: Together) -> str:
    if len(sites) > 1:
        jobs = counted(len(found.jobs), "job")
        return f"What to buy for {jobs}, one after the other with the same gear"
    trips = {job.trip for job in found.jobs}
    what = {
        frozenset({Trip.UP}): "to haul it",
        frozenset({Trip.DOWN}): "to let it down",
    }.get(frozenset(trips), "to haul it and to let it down with the same gear")
    return f"What to buy for {sites[0].title}, {what}"


def _resting(found: Together) -> str:
    """What is printed of ways down that need no rope."""
    jobs = names(list(found.resting))
    return (
        f"{jobs}: wherever the way down falls the load rests by itself, so no rope has to hold it, and "
        "nothing is bought for that. It has to be pushed or hauled there; `bankhaul lower` says where, and "
        "what it counts on. Keep chocks at hand all the same, and nobody below it."
    )


def _money(price: Price, among: Together) -> str:
    if price.cost is None:
        return "nothing does" if price.proven else "not found"
    text = money(price.cost, among.currency, placeholder=price.placeholder)
    return text if price.proven else f"{text} (NOT proven)"


def _saved(row: _Row) -> str | None:
    saved = row.among.saved_without(row.job)
    if saved is None:
        return None
    sure = row.job.others.proven and row.among.proven
    nobodys = row.job.others.placeholder or row.among.options[0].placeholder
    text = money(saved, row.among.currency, placeholder=nobodys)
    return text + ("" if sure else " (NOT proven)")


def _needed(found: Together) -> str:
    owned = [job.name for job in found.jobs if job.owned]
    if not found.needed:
        whom = "every job" if len(found.jobs) > 1 else "it"
        return f"NOTHING NEEDS TO BE BOUGHT: the gear owned does for {whom}."
    free = next((option for option in found.options if not option.items), None)
    if free is not None:
        return "NOTHING NEEDS TO BE BOUGHT on the UNRATED conditions below: nobody knows yet."
    lacking = names([job.name for job in found.jobs if not job.owned])
    text = f"The gear owned does not do for {lacking}."
    if owned:
        text += f" It does for {names(owned)}."
    apart = sum(job.alone.cost or 0.0 for job in found.jobs)
    least = found.options[0].cost
    if found.proven and apart > least + 1e-9:
        nobodys = found.options[0].placeholder or any(job.alone.placeholder for job in found.jobs)
        spared = money(round(apart - least, 2), found.currency, placeholder=nobodys)
        text += f" Bought for together it costs {spared} less than for each job by itself."
    return text


def _proof(found: Together) -> str:
    over, stages = among(found.offered, found.rules), up_to(found.most_stages)
    lowered = any(job.trip is Trip.DOWN for job in found.jobs)
    if found.proven and len(found.jobs) == 1:
        does = "lets it down" if lowered else "hauls it"
        text = f"Proven: nothing less {does} {stages}, {over}."
    elif found.proven:
        text = f"Proven: nothing less serves every job, each {stages}, {over}."
    else:
        text = f"NOT proven ({cut_short()}): something cheaper may exist {over}."
    if found.needed and any(job.trip is Trip.UP for job in found.jobs):
        text += f" {TACKLES[found.tackles]}"
    if lowered:
        text += (
            " A load is let down by one rope in one piece, eased round a trunk or paid out by what pulls, "
            f"with {counted(MOST_SHEAVES, 'sheave')} at most."
        )
    if found.needed and len(found.jobs) > 1:
        text += (
            " The plainest purchase for a little more is looked for of one job only: what is plain for one "
            "of several may not be so for another."
        )
    if not found.further:
        text += FURTHER_LEFT
    return text


def _apart(found: Together) -> str:
    if not found.apart:
        return ""
    return (
        "Each job counts on the gear that its own file lists, and on what is bought. "
        f"{' '.join(found.apart)} What is there for every job has to be in every file; nothing is counted "
        "that a file does not list."
    )


def _nothing(found: Together, system: str) -> Iterator[Block]:
    each = up_to(found.most_stages)
    if found.status is Status.UNDECIDED:
        text = (
            f"NOT FINISHED: nothing to buy found yet with which every job can be done. NOT proven "
            f"({cut_short()}): something may exist."
        )
        yield "", text
        return
    stopped = [job for job in found.jobs if job.alone.cost is None]
    text = (
        f"NO SETUP WORKS for {names([job.name for job in stopped])} {each}, not even with everything on "
        f"the price list{', so nothing serves every job' if len(found.jobs) > 1 else ''}."
    )
    if any(job.trip is Trip.UP for job in found.jobs):
        text += f" {TACKLES[found.tackles]}"
    yield "", text
    if len(stopped) < len(found.jobs):
        yield "Job by job", jobs_listing(found, system)
    for job in stopped:
        if job.reasons:
            title = f"What stops {job.name} (options named are those of `bankhaul lower`)"
            yield title, "\n".join(f"- {reason}" for reason in job.reasons)
        if job.misses:
            title, record = f"What stops {job.name}", MISS
            if job.trip is Trip.DOWN:
                title, record = f"What nearly lets down {job.name}", MISS_DOWN
            yield title, misses_listing(job.misses, system, record)
