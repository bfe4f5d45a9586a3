"""Sets the words of a page on paper, for a file that no browser makes: two columns, filled in order."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from optimiser.sheet.drawing.labels import measure, wrapped
from optimiser.sheet.drawing.panel import Panel, blank, drawing
from optimiser.sheet.drawing.style import THIN
from optimiser.sheet.page import Page

if TYPE_CHECKING:
    from matplotlib.figure import Figure

SIZES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""mm."""

_MARGIN, _TOP, _GAP, _SIZE, _TABLE, _HEAD = 11.0, 15.0, 5.0, 7.6, 7.0, 9.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line: cells at distances (mm) from the column's left edge. `together`: with the next line."""

    cells: tuple[tuple[float, str], ...]
    size: float = _SIZE
    bold: bool = False
    rule: bool = False
    together: bool = False
    boxed: bool = False
    after: float = 0.0

    @property
    def height(self) -> float:
        return measure("X", self.size, self.bold)[1] + self.after


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A table, or a text, under a title ("" for none). `right`: whether the cells of a column are numbers."""

    title: str
    heads: tuple[str, ...] = ()
    right: tuple[bool, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    text: str = ""


def pages(page: Page, size: str) -> list["Figure"]:
    """As many pages as the words of a sheet's page need."""
    return _filled(page.title, page.heading, partial(_rows, page), size)


def of_blocks(title: str, heading: str, blocks: Sequence[Block], size: str) -> list["Figure"]:
    """As many pages as tables and texts need."""
    return _filled(title, heading, partial(_block_rows, blocks), size)


def _filled(
    title: str, heading: str, rows_in: Callable[[float], Iterable[Row]], size: str
) -> list["Figure"]:
    """Two columns on each page. `rows_in`: the lines, in a column of a width (mm)."""
    wide, high = SIZES[size]
    column = (wide - 2 * _MARGIN - _GAP) / 2
    with drawing():
        rows = list(rows_in(column))
        columns = _in_columns(rows, high - _TOP - _MARGIN)
        out: list[Figure] = []
        for number, listed in enumerate(columns):
            if number % 2 == 0:
                out.append(blank(wide, high))
                panel = Panel(out[-1], (0.0, 0.0), wide, high)
                line = wrapped(f"{title} – {heading}", wide - 2 * _MARGIN, _HEAD, True)[0]
                panel.fixed(line, (_MARGIN, high - 9.0), size=_HEAD, bold=True)
            left, y = _MARGIN + number % 2 * (column + _GAP), high - _TOP
            for row in listed:
                _set(panel, row, left, y, column)
                y -= row.height
    return out


def _in_columns(rows: Sequence[Row], room: float) -> list[list[Row]]:
    """The rows of each column, no deeper than `room` mm: on as few pages as hold them, all columns as
    short as these allow, so that no page is left mostly empty."""
    found = _broken(rows, room)
    pages, low, high = _pages(found), 0.0, room
    while high - low > 1.0:
        middle = (low + high) / 2
        tried = _broken(rows, middle)
        if _pages(tried) <= pages and max(map(_deep, tried)) <= room:
            found, high = tried, middle
        else:
            low = middle
    return found


def _broken(rows: Sequence[Row], room: float) -> list[list[Row]]:
    """The rows filled into columns of a depth, mm."""
    out: list[list[Row]] = []
    left = 0.0
    for i, row in enumerate(rows):
        if not out or left - row.height - _deep(_followers(rows, i)) < 0.0:
            out.append([])
            left = room
        out[-1].append(row)
        left -= row.height
    return out


def _pages(columns: Sequence[object]) -> int:
    return (len(columns) + 1) // 2


def _deep(rows: Iterable[Row]) -> float:
    """mm."""
    return sum(row.height for row in rows)


def _followers(rows: Sequence[Row], i: int) -> Iterator[Row]:
    """The lines that must not be parted from line i."""
    while rows[i].together and i + 1 < len(rows):
        i += 1
        yield rows[i]


def _set(panel: Panel, row: Row, left: float, top: float, width: float) -> None:
    middle = top - (row.height - row.after) / 2
    if row.boxed:
        box = [
            (left, middle - 1.1),
            (left + 2.2, middle - 1.1),
            (left + 2.2, middle + 1.1),
            (left, middle + 1.1),
        ]
        panel.shape(box, THIN, avoid=0.0)
    for at, text in row.cells:
        if text:
            panel.fixed(text, (left + at, middle), size=row.size, bold=row.bold, halo=False)
    if row.rule:
        y = top - row.height + row.after * 0.6
        panel.line([(left, y), (left + width, y)], THIN, avoid=0.0)


def _rows(page: Page, width: float) -> Iterator[Row]:
    for name, text in page.facts:
        yield from _paragraph(f"{name}: {text}", width, bold=name == "UNRATED")
    yield from _listed("STOP WHEN", page.stops, width)
    yield from _listed("Where nobody stands", page.keep_out, width)
    yield from _listed(page.before_title, page.before, width, numbered=True)
    for title, items in page.gear_lists:
        yield _title(title)
        for item in items:
            wording = ", ".join(filter(None, (f"{item.count} × {item.name}", item.kind)))
            yield from _paragraph(
                f"{wording} ({item.where})" if item.where else wording, width, boxed=True
            )
    yield _title("With a tape")
    yield from _table(("from – to", "at start", "at end"), page.tape, (0.64, 0.18, 0.18), width)
    yield from _paragraph(page.tape_note, width)
    yield from _listed("Steps, in this order", page.steps, width, numbered=True)
    yield from _listed(page.resets_title, page.resets, width)
    yield _title("Parts of the rope")
    yield from _table(
        ("part", "from", "to", "share", "carries"), page.parts, (0.1, 0.32, 0.25, 0.17, 0.16), width
    )
    yield from _paragraph(page.counting, width)
    for loads in page.loads:
        yield _title(loads.title)
        heads = ("piece", "at", "carries", "stands", "used")
        yield from _table(heads, loads.rows, (0.45, 0.07, 0.18, 0.18, 0.12), width)
    yield from _listed("Cautions", (*page.cautions, *page.always), width)


def _block_rows(blocks: Sequence[Block], width: float) -> Iterator[Row]:
    for block in blocks:
        if block.title:
            yield _title(block.title)
        if block.rows:
            yield from _table(block.heads, block.rows, _shares(block, width), width)
        if block.text:
            yield from _paragraph(block.text, width)


def _shares(block: Block, width: float) -> list[float]:
    """How much of the width each column gets: as much as it takes, the widest giving way."""
    texts = [(head, *(row[i] for row in block.rows)) for i, head in enumerate(block.heads)]
    needs = [max(measure(t, _TABLE, n == 0)[0] for n, t in enumerate(each)) + 2.5 for each in texts]
    while sum(needs) > width + 1e-6:
        widest = max(range(len(needs)), key=needs.__getitem__)
        others = sum(needs) - needs[widest]
        next_ = sorted(needs)[-2] if len(needs) > 1 else 0.0
        kept = max(width - others, next_ - 1.0)
        needs[widest] = kept
    return [need / width for need in needs]


def _title(text: str) -> Row:
    return Row(cells=((0.0, text),), size=_HEAD, bold=True, rule=True, together=True, after=1.6)


def _listed(
    title: str, texts: Sequence[str], width: float, *, numbered: bool = False
) -> Iterator[Row]:
    if not texts:
        return
    yield _title(title)
    for number, text in enumerate(texts, start=1):
        yield from _paragraph(text, width, mark=f"{number}." if numbered else "–")


def _paragraph(
    text: str, width: float, *, mark: str = "", bold: bool = False, boxed: bool = False
) -> Iterator[Row]:
    indent = 5.5 if mark.endswith(".") else 3.5 if mark or boxed else 0.0
    lines = wrapped(text, width - indent, _SIZE, bold)
    for i, line in enumerate(lines):
        last = i == len(lines) - 1
        cells = ((0.0, mark if i == 0 else ""), (indent, line))
        yield Row(
            cells=cells,
            bold=bold,
            together=not last,
            boxed=boxed and i == 0,
            after=0.7 if last else 0.0,
        )


def _table(
    heads: Sequence[str], rows: Sequence[Sequence[str]], shares: Sequence[float], width: float
) -> Iterator[Row]:
    starts = [sum(shares[:i]) * width for i in range(len(shares))]
    for i, row in enumerate((heads, *rows)):
        size, bold = _TABLE, i == 0
        cells = [
            wrapped(text, share * width - 2.0, size, bold)
            for text, share in zip(row, shares, strict=True)
        ]
        deep = max(len(cell) for cell in cells)
        for n in range(deep):
            last = n == deep - 1
            line = tuple(
                (start, cell[n]) for start, cell in zip(starts, cells, strict=True) if n < len(cell)
            )
            yield Row(
                cells=line,
                size=size,
                bold=bold,
                rule=last,
                together=not last or i == 0,
                after=0.6 if last else 0.0,
            )
