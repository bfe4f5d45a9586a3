"""Puts the pages of a haul and of a way down of one load into one sheet."""

from dataclasses import replace

from optimiser.jobs.stages.words import between_trips
from optimiser.sheet.page import Page, Sheet
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.wording.gear_list import for_all

HAUL, DOWN = "haul", "way down"


def both_ways(haul: Sheet, down: Sheet, *, down_first: bool = False) -> Sheet:
    """One sheet with the pages of both, in the order in which they are done: on the first page the gear for
    both, between the two what is re-rigged. Both are about one site, whose path rises."""
    first, second = (down, haul) if down_first else (haul, down)
    lists = [(_called(page), page.gear) for page in (*first.pages, *second.pages)]
    opening = [_headed("FIRST", page) for page in first.pages]
    opening[0] = replace(opening[0], take_along=for_all(lists))
    ending = [_headed("THEN", page) for page in second.pages]
    ending[0] = replace(
        ending[0],
        before=_rerigged(first.pages[-1], second.pages[0]),
        before_title=f"From the {_called(first.pages[-1])} to the {_called(second.pages[0])}",
    )
    return Sheet(
        title=first.title,
        pages=(*opening, *ending),
        compared=tuple(
            (page.drawn, *others[1:])
            for page, others in zip(
                (*opening, *ending), (*first.compared, *second.compared), strict=True
            )
        ),
    )


def _called(page: Page) -> str:
    return DOWN if isinstance(page.drawn, Lowered) else HAUL


def _headed(when: str, page: Page) -> Page:
    what = "" if isinstance(page.drawn, Lowered) else "HAULING. "
    return replace(page, heading=f"{when}: {what}{page.heading}")


def _rerigged(before: Page, after: Page) -> tuple[str, ...]:
    site = after.drawn.site
    return between_trips(site, before.drawn.setup, after.drawn.setup, site.preferences.units)
