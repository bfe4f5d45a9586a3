"""Reports: titled listings and texts, one after the other, in the form requested."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Any

from shared.listing import READABLE, WIDTH, Column, Listing, as_json, wrapped
from shared.reworded import reworded

Block = tuple[str, Listing | str]
"""A title ("" for none) and what stands under it."""

Report = Sequence[Block]

FORMS = ("table", "markdown", "csv", "json")
"""The forms every listing can be printed in."""


def printed(
    report: Report,
    form: str,
    system: str = "metric",
    data: Any = None,
    own: Collection[str] = (),
    width: int = WIDTH,
) -> str:
    """The report as text that ends with a line end.

    Tables and their texts have lines of at most `width` characters. Tables and Markdown are in the units
    of `system`, names and prose too, but for names that somebody gave to things (`own`).

    `form` is one of `FORMS`. JSON prints `data`, or else the listings' records under their titles.
    CSV has listings only, or the texts as a table where there is none; of several listings, each has
    its title above it on a line with a "#".
    """
    if form == "json":
        return as_json(records(report) if data is None else data)
    if form == "csv":
        return _csv(report)
    blocks = [
        _markdown(block, system) if form == "markdown" else _plain(block, system, width)
        for block in (_in_units(block, system, own) for block in report)
    ]
    return "\n\n".join(blocks) + "\n"


def _in_units(block: Block, system: str, own: Collection[str]) -> Block:
    """The block with its texts in the units of `system`."""
    if system == "metric":
        return block
    title, body = block
    if isinstance(body, str):
        return reworded(title, system, own), reworded(body, system, own)
    rows = tuple(
        {key: reworded(v, system, own) if isinstance(v, str) else v for key, v in row.items()}
        for row in body.rows
    )
    empty = reworded(body.empty, system, own)
    return reworded(title, system, own), replace(body, rows=rows, empty=empty)


def records(report: Report) -> Any:
    """The records of the listings under their titles; of a single listing without a title around it."""
    listings = {title: body.records() for title, body in report if isinstance(body, Listing)}
    return listings if len(listings) != 1 else next(iter(listings.values()))


def _csv(report: Report) -> str:
    listings = [(title, body) for title, body in report if isinstance(body, Listing)]
    if not listings:  # an answer in words only is a table of them
        texts = [{"answer": " ".join(str(body).split())} for _, body in report if str(body).strip()]
        return Listing(columns=(Column(key="answer", heading="answer"),), rows=tuple(texts)).csv()
    if len(listings) == 1:
        return listings[0][1].csv()
    return "\n".join(f"# {title}\n{body.csv()}" for title, body in listings)


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
