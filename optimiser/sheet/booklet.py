"""Writes drawings with their words to a file: one HTML document, or the drawings as PDF, SVG or PNG."""

import io
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from optimiser.sheet.drawing import paper, pictures
from optimiser.sheet.drawing.labels import fitted, measure
from optimiser.sheet.drawing.panel import drawing
from optimiser.sheet.drawing.pictures import Picture
from optimiser.site.model import Site
from optimiser.site.names import own_names
from shared.files import write_atomically
from shared.reworded import reworded

if TYPE_CHECKING:
    from markupsafe import Markup
    from matplotlib.figure import Figure

_DOTS = 220
"""Dots per inch of a PNG."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """One page. `notes`: what stands below a drawing, by its title; `words`: its words on sheets of paper of
    a size ("a4", "letter")."""

    title: str
    heading: str
    pictures: tuple[Picture, ...]
    notes: Mapping[str, str]
    words: Callable[[str], list["Figure"]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Booklet:
    """All pages about a site. `template`: the name of the one for HTML; `context`: what it prints beside the
    drawings."""

    title: str
    site: Site
    leaves: tuple[Leaf, ...]
    template: str
    context: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One drawing as the template takes it."""

    title: str
    svg: "Markup"
    note: str


Progress = Callable[[str], None]
"""Gets what is being drawn."""


def nobody(_text: str) -> None:
    """Nobody listens."""


def write_booklet(
    booklet: Booklet, path: Path, size: str = "a4", progress: Progress = nobody
) -> tuple[Path, ...]:
    """Write pages to a file of the kind its name ends in; returns the files written.

    SVG and PNG have one page each: further pages get `-2`, `-3` ... before the ending. `size`: "a4" or
    "letter", of a PDF; `progress` gets what is being drawn. KeyError for another ending; OSError where the
    file cannot be written.
    """
    kind = path.suffix.lower()
    if kind == ".html":
        write_atomically(path, html_of(booklet, progress))
        return (path,)
    if kind == ".pdf":
        write_atomically(path, pdf_of(booklet, size, progress))
        return (path,)
    draw = PICTURES[kind]
    written = targets(booklet, path)
    for i, (leaf, target) in enumerate(zip(booklet.leaves, written, strict=True)):
        progress(f"drawing page {i + 1} of {len(written)}")
        write_atomically(target, draw(leaf))
    return written


def targets(booklet: Booklet, path: Path) -> tuple[Path, ...]:
    """The files that are written."""
    if path.suffix.lower() not in PICTURES:
        return (path,)
    further = (path.with_stem(f"{path.stem}-{i}") for i in range(2, len(booklet.leaves) + 1))
    return (path, *further)


def html_of(booklet: Booklet, progress: Progress = nobody) -> str:
    """One document that needs nothing else. All that comes from the site file is escaped."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    site = booklet.site
    environment = Environment(
        loader=FunctionLoader(_template),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=partial(_in_units, system=site.preferences.units, own=own_names(site)),
    )
    shown = [drawings_of(booklet, i, progress) for i in range(len(booklet.leaves))]
    found = environment.get_template(booklet.template)
    return found.render(title=booklet.title, pictures=shown, **booklet.context) + "\n"


def _template(name: str) -> str:
    return files("optimiser.sheet").joinpath(name).read_text(encoding="utf-8")


def _in_units(value: Any, system: str, own: Collection[str]) -> Any:
    """A text as the site's units have it; what is drawn, or no text, as it is."""
    return reworded(value, system, own) if type(value) is str else value


def pdf_of(booklet: Booklet, size: str = "a4", progress: Progress = nobody) -> bytes:
    """Each page's drawings, and its words on the next."""
    from matplotlib.backends.backend_pdf import PdfPages

    stream = io.BytesIO()
    facts = {"Title": booklet.title, "CreationDate": None, "Creator": None, "Producer": None}
    with drawing(), PdfPages(stream, metadata=facts) as pages:
        for leaf in booklet.leaves:
            progress(f"drawing {leaf.heading}")
            for figure, _ in pictures.on_paper(
                leaf.pictures, in_one_line(leaf.title, leaf.heading), paper.SIZES[size]
            ):
                progress(f"drawing {leaf.heading}: pictures")
                pages.savefig(figure)
            for text in leaf.words(size):
                progress(f"drawing {leaf.heading}: words")
                pages.savefig(text)
    return stream.getvalue()


def _svg_file(leaf: Leaf) -> bytes:
    figure, _ = pictures.together(leaf.pictures, in_one_line(leaf.title, leaf.heading))
    return _svg(figure, "sheet").encode("utf-8")


def _png_file(leaf: Leaf) -> bytes:
    figure, _ = pictures.together(leaf.pictures, in_one_line(leaf.title, leaf.heading))
    stream = io.BytesIO()
    with drawing():
        figure.savefig(stream, format="png", dpi=_DOTS, metadata={"Software": None})
    return stream.getvalue()


PICTURES: dict[str, Callable[[Leaf], bytes]] = {".svg": _svg_file, ".png": _png_file}
"""How a picture of one page is drawn, by the ending of the file."""


def drawings_of(booklet: Booklet, number: int, progress: Progress = nobody) -> list[Shown]:
    """The drawings of a page (from 0), each as SVG by itself."""
    from markupsafe import Markup, escape

    leaf = booklet.leaves[number]
    out = []
    for i, picture in enumerate(leaf.pictures):
        progress(f"drawing {picture.title}, page {number + 1} of {len(booklet.leaves)}")
        figure, panel = pictures.alone(picture)
        svg = _svg(figure, f"p{number + 1}d{i + 1}")
        start = svg.index("<svg")
        named = f'<svg role="img" aria-label="{escape(picture.title)}"'
        note = " ".join(filter(None, (leaf.notes.get(picture.title), pictures.left_out(panel))))
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


def in_one_line(title: str, heading: str) -> str:
    """Title and heading of a page; of a title too long for that only the beginning."""
    room = pictures.WIDE - measure(f" – {heading}", pictures.HEADING, True)[0] - 2.0
    return f"{fitted(title, max(room, 0.0), pictures.HEADING, True)} – {heading}"
