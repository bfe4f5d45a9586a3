"""Writes the sheet to a file: one HTML document, or its drawings as PDF, SVG or PNG."""

from functools import partial
from pathlib import Path

from optimiser.sheet.booklet import (
    Booklet,
    Leaf,
    Progress,
    html_of,
    nobody,
    pdf_of,
    write_booklet,
)
from optimiser.sheet.drawing import paper, pictures
from optimiser.sheet.page import Sheet


def write(
    sheet: Sheet, path: Path, size: str = "a4", progress: Progress = nobody
) -> tuple[Path, ...]:
    """Write a sheet to a file of the kind its name ends in; see `optimiser.sheet.booklet.write_booklet`."""
    return write_booklet(booklet(sheet), path, size, progress)


def html(sheet: Sheet, progress: Progress = nobody) -> str:
    """One document that needs nothing else. All that comes from the site file is escaped."""
    return html_of(booklet(sheet), progress)


def pdf(sheet: Sheet, size: str = "a4", progress: Progress = nobody) -> bytes:
    """Each stage's drawings on one page, and its words on the next."""
    return pdf_of(booklet(sheet), size, progress)


def booklet(sheet: Sheet) -> Booklet:
    """A sheet as it is written."""
    return Booklet(
        title=sheet.title,
        site=sheet.pages[0].drawn.site,
        leaves=tuple(
            Leaf(
                title=page.title,
                heading=page.heading,
                pictures=pictures.pictures(compared),
                notes=pictures.notes(compared),
                words=partial(paper.pages, page),
            )
            for page, compared in zip(sheet.pages, sheet.compared, strict=True)
        ),
        template="template.html",
        context={"sheet": sheet},
    )
