"""Writes the sheet to a file: one HTML document, or its drawings as PDF, SVG or PNG."""

import io
import re
from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optimiser.sheet.drawing import paper, pictures
from optimiser.sheet.drawing.labels import fitted, measure
from optimiser.sheet.drawing.panel import drawing
from optimiser.sheet.page import Page, Sheet
from optimiser.site.names import own_names
from shared.files import write_atomically
from shared.reworded import reworded

if TYPE_CHECKING:
    from markupsafe import Markup
    from matplotlib.figure import Figure

_DOTS = 220
"""Dots per inch of a PNG."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One drawing as the template takes it."""

    title: str
    svg: "Markup"
    note: str


Progress = Callable[[str], None]
"""Gets what is being drawn."""


def _nobody(_text: str) -> None:
    """Nobody listens."""


def write(
    sheet: Sheet, path: Path, size: str = "a4", progress: Progress = _nobody
) -> tuple[Path, ...]:
    """Write a sheet to a file of the kind its name ends in; returns the files written.

    SVG and PNG have one page each: further pages get `-2`, `-3` ... before the ending. `size`: "a4" or
    "letter", of a PDF; `progress` gets what is being drawn. KeyError for another ending; OSError where the
    file cannot be written.
    """
    kind = path.suffix.lower()
    if kind == ".html":
        write_atomically(path, html(sheet, progress))
        return (path,)
    if kind == ".pdf":
        write_atomically(path, pdf(sheet, size, progress))
        return (path,)
    draw = PICTURES[kind]
    written = targets(sheet, path)
    for i, target in enumerate(written):
        progress(f"drawing page {i + 1} of {len(written)}")
        write_atomically(target, draw(sheet, i))
    return written


def targets(sheet: Sheet, path: Path) -> tuple[Path, ...]:
    """The files that `write` writes."""
    if path.suffix.lower() not in PICTURES:
        return (path,)
    further = (path.with_stem(f"{path.stem}-{i}") for i in range(2, len(sheet.pages) + 1))
    return (path, *further)


def html(sheet: Sheet, progress: Progress = _nobody) -> str:
    """One document that needs nothing else. All that comes from the site file is escaped."""
    from jinja2 import Environment, StrictUndefined

    text = files("optimiser.sheet").joinpath("template.html").read_text(encoding="utf-8")
    site = sheet.pages[0].drawn.site
    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=partial(_in_units, system=site.preferences.units, own=own_names(site)),
    )
    shown = [_shown(sheet, i, progress) for i in range(len(sheet.pages))]
    return environment.from_string(text).render(sheet=sheet, pictures=shown) + "\n"


def _in_units(value: Any, system: str, own: Collection[str]) -> Any:
    """A text as the site's units have it; what is drawn, or no text, as it is."""
    return reworded(value, system, own) if type(value) is str else value


def pdf(sheet: Sheet, size: str = "a4", progress: Progress = _nobody) -> bytes:
    """Each stage's drawings on one page, and its words on the next."""
    from matplotlib.backends.backend_pdf import PdfPages

    stream = io.BytesIO()
    facts = {"Title": sheet.title, "CreationDate": None, "Creator": None, "Producer": None}
    with drawing(), PdfPages(stream, metadata=facts) as pages:
        for page, compared in zip(sheet.pages, sheet.compared, strict=True):
            progress(f"drawing {page.heading}")
            for figure, _ in pictures.on_paper(compared, _heading(page), paper.SIZES[size]):
                progress(f"drawing {page.heading}: pictures")
                pages.savefig(figure)
            for text in paper.pages(page, size):
                progress(f"drawing {page.heading}: words")
                pages.savefig(text)
    return stream.getvalue()


def _svg_file(sheet: Sheet, number: int) -> bytes:
    figure, _ = pictures.together(sheet.compared[number], _heading(sheet.pages[number]))
    return _svg(figure, "sheet").encode("utf-8")


def _png_file(sheet: Sheet, number: int) -> bytes:
    figure, _ = pictures.together(sheet.compared[number], _heading(sheet.pages[number]))
    stream = io.BytesIO()
    with drawing():
        figure.savefig(stream, format="png", dpi=_DOTS, metadata={"Software": None})
    return stream.getvalue()


PICTURES: dict[str, Callable[[Sheet, int], bytes]] = {".svg": _svg_file, ".png": _png_file}
"""How a picture of one page is drawn, by the ending of the file."""


def _shown(sheet: Sheet, number: int, progress: Progress) -> list[Shown]:
    from markupsafe import Markup, escape

    compared = sheet.compared[number]
    text = pictures.notes(compared)
    out = []
    for i, picture in enumerate(pictures.pictures(compared)):
        progress(f"drawing {picture.title}, page {number + 1} of {len(sheet.pages)}")
        figure, panel = pictures.alone(picture)
        svg = _svg(figure, f"p{number + 1}d{i + 1}")
        start = svg.index("<svg")
        named = f'<svg role="img" aria-label="{escape(picture.title)}"'
        note = " ".join(filter(None, (text.get(picture.title), pictures.left_out(panel))))
        # The drawing library wrote the rest: letters are outlines there, no text of the file is left.
        out.append(Shown(title=picture.title, svg=Markup(named + svg[start + 4 :]), note=note))
    return out


def _svg(figure: "Figure", mark: str) -> str:
    """A figure as SVG without comments (they repeat the texts); `mark` makes its names its own."""
    import matplotlib

    stream = io.StringIO()
    with drawing(), matplotlib.rc_context({"svg.hashsalt": mark}):
        figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None})
    text = re.sub(r"<!--.*?-->", "", stream.getvalue(), flags=re.DOTALL)
    text = re.sub(r"<metadata>.*?</metadata>", "", text, flags=re.DOTALL)
    text = re.sub(r'\bid="', f'id="{mark}-', text)
    text = re.sub(r'href="#', f'href="#{mark}-', text)
    return re.sub(r"url\(#", f"url(#{mark}-", text)


def _heading(page: Page) -> str:
    """Title and stage in one line; of a title too long for that only the beginning."""
    room = pictures.WIDE - measure(f" – {page.heading}", pictures.HEADING, True)[0] - 2.0
    return f"{fitted(page.title, max(room, 0.0), pictures.HEADING, True)} – {page.heading}"
