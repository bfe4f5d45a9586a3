"""Prints what the pulls that were read leave of the guesses, and whether it is worth going on."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from optimiser.site.model import Site
from optimiser.site.pulled.contradictions import pulled
from optimiser.site.pulled.narrowing import Ends
from optimiser.site.pulled.outcome import Change, Pulls, Read, ends_shown
from optimiser.telling.fields.common import COUNT, DOWN, FORCE, LENGTH, MEASURE, RATIO, TEXT, UP
from shared.columns import UNITS, Column, Many, Record
from shared.listing import Listing
from shared.report import Block
from shared.units import show

if TYPE_CHECKING:
    from optimiser.jobs.ranges.before_pulls import BeforePulls

TITLE = "Before and after the pulls that were read"
NARROWED, READ = "What the pulls leave of the guesses", "Pulls that were read"
SAME = 0.005
"""Margins nearer to each other are the same."""
OPEN = (
    "A pull tells of weight and resistance together: a light load on rough ground and a heavy one on smooth "
    "ground read alike. So each may still be anywhere in its range, but both at their worse ends is more "
    "than was pulled, and a haul is planned for no more than that. What holds the load, and what lets it "
    "down, is planned for the heaviest load on the smoothest ground left. A leg on which nothing was read "
    "keeps its resistance; another reading on another slope parts weight and resistance. Slopes are taken as "
    "the file has them."
)
Left = tuple[str, str, str]
"""What the pulls leave of something: its name, before, after."""

NARROW: Record[Left] = Record("narrowed", "what the pulls leave of a guess", (
    Column("key", lambda n: n[0], TEXT, "its place in the site file", "in the site file"),
    Column("before", lambda n: n[1], TEXT, "as the file has it", "by the file"),
    Column("after", lambda n: n[2], TEXT, "as the pulls leave it", "with the pulls"),
))  # fmt: skip

Within = tuple[Pulls, Read]
READ_PULL: Record[Within] = Record("pull", "a pull that was read", (
    Column("at", lambda w: w[1].at, LENGTH, "where the load was"),
    Column("leg", lambda w: w[1].pull.leg + 1, COUNT, "the leg of the path"),
    Column("force", lambda w: _pair(w[1].pull.force), Many(FORCE), "between which the pull was"),
    Column("by_the_file", lambda w: _pair(_expected(w)), Many(FORCE), "between which the file would have it"),
))  # fmt: skip

AS_READ: Record[tuple[Within, str]] = Record("pulls", "a pull that was read, in words", (
    Column("at", lambda r: show(r[0][1].at, LENGTH, r[1]), TEXT, "where the load was", "load at"),
    Column("leg", lambda r: r[0][1].pull.leg + 1, COUNT, "the leg of the path", "leg"),
    Column("read", lambda r: r[0][1].written, TEXT, "as the file has it", "read"),
    Column("true", lambda r: ends_shown(r[0][1].pull.force, FORCE, r[1]), TEXT, "between which the pull was",
           "with what the scale may be off"),
    Column("expected", lambda r: ends_shown(_expected(r[0]), FORCE, r[1]), TEXT,
           "between which the file would have it", "the file would have it"),
))  # fmt: skip

GUESS: Record[Change] = Record("guess", "a guess before and after the pulls", (
    Column("key", lambda c: c.key, TEXT, "its place in the site file"),
    Column("before", lambda c: _pair(c.before), Many(MEASURE), "its ends as the file has them"),
    Column("after", lambda c: _pair(c.after), Many(MEASURE), "its ends as the pulls leave them"),
    Column("unit", lambda c: UNITS[c.dimension], TEXT, "unit of both; empty for a plain number"),
))  # fmt: skip

ALONG: Record[tuple[Pulls, int]] = Record("along", "what moves the load along a leg", (
    Column("leg", lambda a: a[1] + 1, COUNT, "the leg of the path"),
    Column("before", lambda a: _pair(a[0].needs(a[1], before=True).moving), Many(FORCE),
           "as the file has it"),
    Column("after", lambda a: _pair(a[0].needs(a[1]).moving), Many(FORCE), "as the pulls leave it"),
))  # fmt: skip

PULLED: Record[Pulls] = Record("pulled", "before and after the pulls that were read", (
    Column("readings", lambda p: [(p, read) for read in p.readings], Many(READ_PULL), "the pulls"),
    Column("narrowed", lambda p: p.changes(), Many(GUESS), "the guesses"),
    Column("along_the_ground", lambda p: [(p, leg) for leg in p.legs], Many(ALONG), "each leg with a pull"),
))  # fmt: skip


def pulls_of(site: Site) -> Pulls | None:
    """What the pulls of a site came to; None: none was read."""
    return None if site.origin is None else site.origin.pulls


def was_pulled(site: Site) -> bool:
    """Whether a pull was read."""
    return pulls_of(site) is not None


def as_read(site: Site) -> list[tuple[Within, str]]:
    """Each pull that was read, with the units of the site."""
    pulls = pulls_of(site)
    reads = () if pulls is None else pulls.readings
    return [((pulls, read), site.preferences.units) for read in reads if pulls is not None]


def pulled_blocks(site: Site) -> list[Block]:
    """Before and after; none where no pull was read."""
    if not was_pulled(site):
        return []
    return [
        (READ, Listing.of(AS_READ, as_read(site))),
        (NARROWED, Listing.of(NARROW, narrowed(site))),
        ("", OPEN),
    ]


def worth_going_on(site: Site, margin: float, before: "BeforePulls") -> str:
    """A setup's margin before and after the pulls, and what that means."""
    now, was = (show(m, RATIO, rounding=DOWN) for m in (margin, before.margin))
    wanted = max(site.preferences.margin_wanted, 1.0)
    first = (
        f"By the file alone this setup would not work: {before.why}."
        if before.margin <= 0.0
        else f"By the file alone this setup has margin {was}."
    )
    goal = show(wanted, RATIO)
    if margin < wanted:
        end = f"That is less than the {goal} wanted: not worth going on like this."
    elif abs(margin - before.margin) < SAME:
        end = "What is weakest is so with the load where no pull was read: read one there."
    elif before.margin < wanted:
        end = f"That is the {goal} wanted, which it had not: worth going on."
    elif margin < before.margin:
        end = f"It goes harder than was taken, and still has the {goal} wanted: worth going on."
    else:
        end = f"It had the {goal} wanted before: worth going on, and surer now."
    return f"{first} With the pulls that were read: margin {now}. {end}"


def taken_account_of(site: Site, *, lowered: bool = False) -> str:
    """That the ranges are as pulls leave them, in a sentence; "" where none was read. `lowered`: for letting
    down, where what it takes to move the load does not matter."""
    pulls = pulls_of(site)
    if pulls is None:
        return ""
    legs = [] if lowered else list(pulls.legs)
    most = ", ".join(
        f"{show(pulls.needs(leg).moving.high, FORCE, site.preferences.units, UP)} on leg {leg + 1}"
        for leg in legs
    )
    along = f"; to move the load along the ground it takes at most {most}" if most else ""
    return f" The pulls that were read are taken account of{along}."


def _expected(read: Within) -> Ends:
    return pulled(read[0].before, read[1].pull)


def narrowed(site: Site) -> Iterator[Left]:
    """What the pulls leave of each guess, and of what moves the load, in the units of the site."""
    pulls, system = pulls_of(site), site.preferences.units
    if pulls is None:
        return
    for c in pulls.changes():
        dimension = c.dimension
        yield c.key, ends_shown(c.before, dimension, system), ends_shown(c.after, dimension, system)
    for leg in pulls.legs:
        before, after = pulls.needs(leg, before=True), pulls.needs(leg)
        yield (
            f"what moves the load along leg {leg + 1}",
            ends_shown(before.moving, FORCE, system),
            ends_shown(after.moving, FORCE, system),
        )
        if not pulls.before.grounds[leg].breakout.certain:
            yield (
                f"what breaks it out at the start of leg {leg + 1}",
                ends_shown(before.starting, FORCE, system),
                ends_shown(after.starting, FORCE, system),
            )


def _pair(ends: Ends) -> list[float]:
    return [ends.low, ends.high]
