"""Works out what the page shows of a site: the site as it was read, the list of setups, one of them drawn.

Every answer is what `bankhaul rank` gives, described by the same records, with the cells and sentences that
its tables have.
"""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranges.elsewhere import Elsewhere
from optimiser.jobs.ranges.readings_off import LeftOpen, left_open
from optimiser.jobs.rank import Kept, rank
from optimiser.jobs.remarks import line
from optimiser.rig.setup import Ranking, Setup
from optimiser.sheet.page import page
from optimiser.sheet.shown.rigged import Rigged
from optimiser.site.doubts.unlikely import unlikely
from optimiser.site.model import Site
from optimiser.site.names import own_names
from optimiser.site.reading import read_document, site_from_document
from optimiser.telling import words
from optimiser.telling.detail import detail
from optimiser.telling.onward import after_rank
from optimiser.telling.page.geometry import line_styles, rig_seen, site_seen
from optimiser.telling.page.missed import missed
from optimiser.telling.page.outlines import outlines
from optimiser.telling.page.unfinished import drawable
from optimiser.telling.tables import misses_listing, ranking_json, ranking_listing
from optimiser.telling.worst_ends import LEFT_OPEN, with_verdicts
from shared.columns import Where
from shared.errors import Fault, InputError, WithheldError
from shared.interrupt import requested
from shared.listing import Listing
from shared.report import Block, printed
from shared.reworded import reworded

Part = dict[str, Any]
"""One part of an answer; `part` says which."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the page wants of a text. `name`: that of the file, for the commands that are named; `top`: how
    many setups; `hold`: with second lines; `chosen`: the number of the setup that is drawn, from 1;
    `moving`: something is being dragged, and the next text soon there: nothing is spelt out; `version`: of
    the text, so that one that is put back is answered as a whole."""

    text: str
    name: str
    top: int = 10
    hold: bool = False
    chosen: int = 1
    moving: bool = False
    version: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The answer to one question, kept for what is asked of it next."""

    wanted: Wanted
    site: Site
    ranking: Ranking


class Answers:
    """Answers one question after the other; keeps the last list of setups, so that another of them is drawn
    at once."""

    def __init__(self) -> None:
        self._known: Known | None = None
        self._kept = Kept()

    def of(self, wanted: Wanted) -> Iterator[Part]:
        """The parts of the answer, what is known first. It ends early where an interrupt is noted."""
        known = self._known
        if known is not None and replace(known.wanted, chosen=wanted.chosen) == wanted:
            yield from _chosen(known.site, known.ranking, wanted)
            return
        self._known = None
        try:
            document = read_document(wanted.text)
            site = site_from_document(document)
        except InputError as problem:
            yield {"part": "faults", "faults": [_fault(fault) for fault in problem.faults]}
            found_anyway = drawable(wanted.text, problem.faults)
            if found_anyway is not None:
                unfinished_site, lacks = found_anyway
                yield _site_part(unfinished_site, tomllib.loads(wanted.text)) | lacks
            return
        yield _site_part(site, document.raw) | {
            "unlikely": [line(remark) for remark in unlikely(site)]
        }
        if requested():
            return
        try:
            found = rank(site, RankQuestion(top=wanted.top, hold=wanted.hold), kept=self._kept)
        except WithheldError as problem:
            yield {"part": "withheld", "text": problem.worded()}
            return
        if requested():
            return
        self._known = Known(wanted=wanted, site=site, ranking=found)
        yield _listed(site, found, wanted)
        yield from _chosen(site, found, wanted)
        yield from self._measured(site, found)

    def _measured(self, site: Site, found: Ranking) -> Iterator[Part]:
        """What the readings leave open of each setup."""
        if site.surveyed is None or not found.setups:
            return
        elsewhere = Elsewhere(site)
        out: list[tuple[tuple[str, LeftOpen], ...]] = []
        for setup in found.setups:
            if requested():
                return
            left = left_open(site, setup, elsewhere=elsewhere)
            if left is None:
                return
            out.append(((f"Setup {setup.rank}", left),))
        system = site.preferences.units
        listed = with_verdicts(ranking_listing(found, system), out, system)
        yield {
            "part": "measured",
            "rows": _rows(site, listed),
            "left_open": [LEFT_OPEN.json((site, *each)) for (each,) in out],
            "certain": [each.holds for ((_, each),) in out],
        }


def _fault(fault: Fault) -> Part:
    return {"place": fault.place, "message": fault.message, "line": fault.line}


def _site_part(site: Site, raw: Mapping[str, Any]) -> Part:
    """What stands there, with the sheet's lines to draw it with."""
    return {
        "part": "site",
        "units": site.preferences.units,
        "unlikely": [],
        "missing": [],
        "unfinished": [],
        "styles": line_styles(),
        "seen": {**site_seen(site), "outlines": outlines(raw, site)},
    }


def _listed(site: Site, found: Ranking, wanted: Wanted) -> Part:
    """The list of setups, or the nearest misses."""
    system = site.preferences.units
    first = found.setups[:1]
    notes = [
        words.settled(found, system),
        words.spots_note(site),
        words.TWO_ROPES_LEFT if found.compounds_left else "",
        f"Order: {words.order(found.order)}.",
        words.mark_note(found.setups),
        words.guesses(site, "worst"),
        words.not_held(found),
    ]
    return {
        "part": "list",
        "top": wanted.top,
        "heading": (
            f"Setups for {site.title}" if first else words.nothing(site.title, found.status)
        ),
        "ranking": ranking_json(found),
        "rows": _rows(site, ranking_listing(found, system)) if first else [],
        "look_out": [words.look_out(setup) for setup in found.setups],
        "notes": [_worded(site, note) for note in notes if note],
        "always_short": [c.short or c.text for s in first for c in s.cautions if c.always],
        "always": [_worded(site, c.text) for setup in first for c in setup.cautions if c.always],
        # what they leave open comes after the list, and may say that a setup is not certain
        "readings": bool(first) and site.surveyed is not None,
        "misses": [] if first else _misses(site, found),
        "next": "" if first else after_rank(wanted.name, found),
    }


def _misses(site: Site, found: Ranking) -> list[Part]:
    rows = _rows(site, misses_listing(found.misses, site.preferences.units))
    return [
        {"cells": row, **missed(site, miss)} for row, miss in zip(rows, found.misses, strict=True)
    ]


def _chosen(site: Site, found: Ranking, wanted: Wanted) -> Iterator[Part]:
    """The chosen setup, drawn and spelt out; the last where there are fewer."""
    if not found.setups or requested():
        return
    setup = found.setups[min(wanted.chosen, len(found.setups)) - 1]
    rigged = Rigged(site, setup)
    leaf = page(rigged)
    yield {
        "part": "drawing",
        "setup": setup.rank,
        "heading": leaf.heading,
        "seen": rig_seen(rigged),
        "keep_out": [_worded(site, text) for text in leaf.keep_out],
        "stops": [_worded(site, text) for text in leaf.stops],
        "cautions": [_worded(site, c.text) for c in setup.cautions if not c.always],
    }
    if not wanted.moving and not requested():
        blocks = _in_full(site, setup)
        yield {
            "part": "detail",
            "setup": setup.rank,
            "markdown": printed(blocks, "markdown", site.preferences.units, own=own_names(site)),
        }


def _in_full(site: Site, setup: Setup) -> Sequence[Block]:
    blocks = detail(site, setup)
    return [(title, body) for title, body in blocks if body]


def _rows(site: Site, listing: Listing) -> list[list[Part]]:
    """The cells of every row with their headings, as a table prints them."""
    shown = [column for column in listing.columns if Where.TABLE in column.forms]
    heads, *rows = listing.printed(site.preferences.units)
    return [
        [
            {"key": column.key, "heading": head, "text": _worded(site, cell)}
            for column, head, cell in zip(shown, heads, row, strict=True)
            if cell and cell != column.nothing
        ]
        for row in rows
    ]


def _worded(site: Site, text: str) -> str:
    return reworded(text, site.preferences.units, own_names(site))
