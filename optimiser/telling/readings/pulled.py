"""Prints what the pulls that were read leave of the guesses, and whether it is worth going on."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from optimiser.site.model import Site
from optimiser.site.pulled.contradictions import pulled
from optimiser.site.pulled.narrowing import Ends
from optimiser.site.pulled.outcome import Pulls, ends_shown
from shared.listing import Column, Listing
from shared.report import Block
from shared.units import Dimension, Rounding, show

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
_NARROWED = (
    Column(key="key", heading="in the site file"),
    Column(key="before", heading="by the file"),
    Column(key="after", heading="with the pulls"),
)
_READ = (
    Column(key="at", heading="load at"),
    Column(key="leg", heading="leg"),
    Column(key="read", heading="read"),
    Column(key="true", heading="with what the scale may be off"),
    Column(key="expected", heading="the file would have it"),
)


def pulls_of(site: Site) -> Pulls | None:
    """What the pulls of a site came to; None: none was read."""
    return None if site.origin is None else site.origin.pulls


def pulled_blocks(site: Site) -> list[Block]:
    """Before and after; none where no pull was read."""
    pulls = pulls_of(site)
    if pulls is None:
        return []
    system = site.preferences.units
    return [
        (READ, Listing(columns=_READ, rows=tuple(_readings(pulls, system)))),
        (NARROWED, Listing(columns=_NARROWED, rows=tuple(_narrowed(pulls, system)))),
        ("", OPEN),
    ]


def worth_going_on(site: Site, margin: float, before: "BeforePulls") -> str:
    """A setup's margin before and after the pulls, and what that means."""
    now, was = (show(m, Dimension.RATIO, rounding=Rounding.DOWN) for m in (margin, before.margin))
    wanted = max(site.preferences.margin_wanted, 1.0)
    first = (
        f"By the file alone this setup would not work: {before.why}."
        if before.margin <= 0.0
        else f"By the file alone this setup has margin {was}."
    )
    goal = show(wanted, Dimension.RATIO)
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


def pulled_json(site: Site) -> dict[str, Any]:
    """Before and after in SI, ready for JSON; nothing where no pull was read."""
    pulls = pulls_of(site)
    if pulls is None:
        return {}
    return {
        "pulled": {
            "readings": [
                {
                    "at_m": read.at,
                    "leg": read.pull.leg + 1,
                    "force_N": _pair(read.pull.force),
                    "by_the_file_N": _pair(pulled(pulls.before, read.pull)),
                }
                for read in pulls.readings
            ],
            "narrowed": [
                {
                    "key": c.key, "before": _pair(c.before), "after": _pair(c.after),
                    "unit": _UNITS[c.dimension],
                }
                for c in pulls.changes()
            ],
            "along_the_ground": [
                {
                    "leg": leg + 1,
                    "before_N": _pair(pulls.needs(leg, before=True).moving),
                    "after_N": _pair(pulls.needs(leg).moving),
                }
                for leg in pulls.legs
            ],
        }
    }  # fmt: skip


def worth_json(margin: float, before: "BeforePulls", site: Site) -> dict[str, Any]:
    """The same of a setup's margin."""
    wanted = max(site.preferences.margin_wanted, 1.0)
    return {
        "margin_before_pulls": before.margin,
        "margin_with_pulls": margin,
        "margin_wanted": wanted,
        "worth_going_on": margin >= wanted,
    }


def taken_account_of(site: Site, *, lowered: bool = False) -> str:
    """That the ranges are as pulls leave them, in a sentence; "" where none was read. `lowered`: for letting
    down, where what it takes to move the load does not matter."""
    pulls = pulls_of(site)
    if pulls is None:
        return ""
    legs = [] if lowered else list(pulls.legs)
    most = ", ".join(
        f"{show(pulls.needs(leg).moving.high, Dimension.FORCE, site.preferences.units, Rounding.UP)} on leg "
        f"{leg + 1}"
        for leg in legs
    )
    along = f"; to move the load along the ground it takes at most {most}" if most else ""
    return f" The pulls that were read are taken account of{along}."


def _readings(pulls: Pulls, system: str) -> Iterator[dict[str, Any]]:
    for read in pulls.readings:
        yield {
            "at": show(read.at, Dimension.LENGTH, system),
            "leg": read.pull.leg + 1,
            "read": read.written,
            "true": ends_shown(read.pull.force, Dimension.FORCE, system),
            "expected": ends_shown(pulled(pulls.before, read.pull), Dimension.FORCE, system),
        }


def _narrowed(pulls: Pulls, system: str) -> Iterator[dict[str, Any]]:
    for c in pulls.changes():
        yield {
            "key": c.key,
            "before": ends_shown(c.before, c.dimension, system),
            "after": ends_shown(c.after, c.dimension, system),
        }
    for leg in pulls.legs:
        before, after = pulls.needs(leg, before=True), pulls.needs(leg)
        yield {
            "key": f"what moves the load along leg {leg + 1}",
            "before": ends_shown(before.moving, Dimension.FORCE, system),
            "after": ends_shown(after.moving, Dimension.FORCE, system),
        }
        if not pulls.before.grounds[leg].breakout.certain:
            yield {
                "key": f"what breaks it out at the start of leg {leg + 1}",
                "before": ends_shown(before.starting, Dimension.FORCE, system),
                "after": ends_shown(after.starting, Dimension.FORCE, system),
            }


def _pair(ends: Ends) -> list[float]:
    return [ends.low, ends.high]


_UNITS = {Dimension.WEIGHT: "N", Dimension.RATIO: ""}
