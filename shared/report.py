"""Reports: titled listings and texts, one after the other, in the form requested."""

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

from shared.columns import Column, Read
from shared.listing import READABLE, WIDTH, Listing, as_json, wrapped
from shared.reworded import reworded

Block = tuple[str, Listing | str]
"""A title ("" for none) and what stands under it."""

Report = Sequence[Block]

_TAG = re.compile(r"<(?=[A-Za-z/!?])")
"""Where HTML would begin in Markdown: a name in a site file may look like that, and is read, never run."""

FORMS = ("table", "markdown", "csv", "json")
"""The forms every listing can be printed in."""


def printed(
    report: Report,
    form: str,
    system: str = "metric",
    data: Any = None,
    own: Collection[str] = (),
    width: int = WIDTH,
    table: str | None = None,
) -> str:
    """The report as text that ends with a line end.

    Tables and their texts have lines of at most `width` characters. Tables and Markdown are in the units
    of `system`, names and prose too, but for names that somebody gave to things (`own`).

    `form` is one of `FORMS`. JSON prints `data`, or else the listings' records under their titles.
    CSV is one table: the listing that is named `table`, the first if left out, or the texts where there is
    none.
    """
    if form == "json":
        return as_json(records(report) if data is None else data)
    if form == "csv":
        return _csv(report, table)
    blocks = [
        _markdown(block, system) if form == "markdown" else _plain(block, system, width)
        for block in (_in_units(block, system, own) for block in report)
    ]
    text = "\n\n".join(blocks) + "\n"
    return _TAG.sub("&lt;", text) if form == "markdown" else text


def _in_units(block: Block, system: str, own: Collection[str]) -> Block:
    """The block with its texts in the units of `system`."""
    if system == "metric":
        return block
    title, body = block
    if isinstance(body, str):
        return reworded(title, system, own), reworded(body, system, own)
    rows = tuple({key: _reworded(v, system, own) for key, v in row.items()} for row in body.rows)
    empty = reworded(body.empty, system, own)
    return reworded(title, system, own), replace(body, rows=rows, empty=empty)


def _reworded(cell: Any, system: str, own: Collection[str]) -> Any:
    """A cell with its words, if it has any, in the units of `system`."""
    if isinstance(cell, Read) and cell.words is not None:
        return Read(cell.value, reworded(cell.words, system, own))
    return reworded(cell, system, own) if isinstance(cell, str) else cell


def records(report: Report) -> Any:
    """The records of the listings under their titles; of a single listing without a title around it."""
    listings = {title: body.records() for title, body in report if isinstance(body, Listing)}
    return listings if len(listings) != 1 else next(iter(listings.values()))


def tables(report: Report) -> dict[str, Listing]:
    """The listings of a report by name; of several alike the later ones have a number."""
    out: dict[str, Listing] = {}
    for _, body in report:
        if isinstance(body, Listing):
            alike = sum(known.name == body.name for known in out.values())
            out[f"{body.name}-{alike + 1}" if alike else body.name] = body
    return out


def _csv(report: Report, table: str | None) -> str:
    listings = tables(report)
    if not listings:  # an answer in words only is a table of them
        texts = [{"answer": " ".join(str(body).split())} for _, body in report if str(body).strip()]
        return Listing(columns=(Column("answer", heading="answer"),), rows=tuple(texts)).csv()
    return listings[next(iter(listings)) if table is None else table].csv()


def _plain(block: Block, system: str, width: int) -> str:
    title, body = block
    prose = min(width, READABLE)
    text = body.table(system, width) if isinstance(body, Listing) else _folded(body, prose)
    if not title:
        return text
    head = wrapped(title, width)
    return "\n".join([*head, "=" * max(map(len, head)), text])


def _markdown(block: Block, system: str) -> str:
    title, body = block
    text = body.markdown(system) if isinstance(body, Listing) else _paragraphs(body)
    return f"## {title}\n\n{text}" if title else text


def _paragraphs(text: str) -> str:
    """Lines as paragraphs of their own, points as a list."""
    lines = text.split("\n")
    return "\n".join(line if line.startswith("- ") else f"{line}\n" for line in lines).rstrip()


def _folded(text: str, width: int) -> str:
    """Paragraphs and points ("- ") folded to the width."""
    return "\n".join(
        line
        for paragraph in text.split("\n")
        for line in wrapped(paragraph, width, "  " if paragraph.startswith("- ") else "")
    )
