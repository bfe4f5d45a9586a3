"""Prints lists, rows under the columns that describe them, as a table, as Markdown, as CSV or as HTML."""

import csv
import io
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from math import ceil
from typing import Any, TypeVar

from shared.columns import NOTHING, Column, Kind, Measure, Read, Record, Where, plain
from shared.units import Dimension, show

WIDTH = 100
"""Characters a table may be wide where nothing else is known."""

READABLE = 120
"""Characters a line of prose has at most, however wide the terminal: longer ones are hard to follow."""

_GLUE = "\N{NO-BREAK SPACE}"

_LEAST_TEXT = 12
"""Characters below which a column of text is not squeezed."""

_TALL = 7
"""Lines of a cell from which a table is too narrow for its texts."""


_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""How a cell begins that spreadsheets run (common practice, no source)."""

T = TypeVar("T")

Row = Mapping[str, Any]
"""Cells by column key. None: nothing to print."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """Rows under columns. `name`: what it is called where a report has several. `empty` is what is printed
    where there is no row. `drops`: columns that give way are left out of a narrow table, and named below it,
    rather than put below their rows."""

    columns: tuple[Column[Any], ...]
    rows: tuple[Row, ...]
    empty: str = "none"
    drops: bool = False
    name: str = ""

    @classmethod
    def of(
        cls,
        record: Record[T],
        sources: Iterable[T],
        system: str = "metric",
        *,
        empty: str = "none",
        drops: bool = False,
    ) -> "Listing":
        """One row for each source, its words in the units of `system`."""
        columns = [c for c in record.columns if c.forms & (Where.TABLE | Where.CSV)]
        rows = tuple({c.key: c.cell(source, system) for c in columns} for source in sources)
        kept = (c for c in columns if not c.rare or any(_filled(c, row[c.key]) for row in rows))
        return cls(columns=tuple(kept), rows=rows, empty=empty, drops=drops, name=record.name)

    def table(self, system: str = "metric", width: int = WIDTH) -> str:
        """Plain text of at most `width` characters a line; long texts wrap.

        Where the columns do not fit, those that yield go below their rows or fall. Where the rest does not
        fit either, each row is a block of its own with one line a column.
        """
        if not self.rows:
            return f"({self.empty})"
        columns = self._beside()
        cells = [[_shown(c, row.get(c.key), system) for c in columns] for row in self.rows]
        kept = _kept(columns, cells, width)
        if not kept:
            below = self._below(["" for _ in self.rows], min(width, READABLE) - 4)
            return _in_blocks(columns, cells, below, width)
        moved = [i for i in range(len(columns)) if i not in kept]
        texts = [_clauses([(columns[i], row[i]) for i in moved]) for row in cells]
        below = self._below(["" for _ in texts] if self.drops else texts, min(width, READABLE) - 4)
        text = _laid_out(
            [columns[i] for i in kept], [[row[i] for i in kept] for row in cells], below, width
        )
        return (
            f"{text}\n\n{_fallen([columns[i] for i in moved], width)}"
            if moved and self.drops
            else text
        )

    def _below(self, first: Sequence[str], width: int) -> list[list[str]]:
        """The lines that belong below each row, a text of its own before the others."""
        under = [c for c in self._for_people() if Where.BELOW in c.forms]
        return [
            [
                line
                for words in (text, *(str(row[c.key]) for c in under if row.get(c.key)))
                if words
                for line in wrapped(words, width)
            ]
            for text, row in zip(first, self.rows, strict=True)
        ]

    def printed(self, system: str = "metric") -> tuple[tuple[str, ...], ...]:
        """The headings, then the cells of every row, as people read them."""
        columns = self._for_people()
        heads = tuple(column.heading for column in columns)
        return heads, *(
            tuple(_shown(column, row.get(column.key), system) for column in columns)
            for row in self.rows
        )

    def right(self) -> tuple[bool, ...]:
        """For each of these columns, whether its cells stand to the right."""
        return tuple(_side(column) == "right" for column in self._for_people())

    def _for_people(self) -> list[Column[Any]]:
        return [column for column in self.columns if Where.TABLE in column.forms]

    def _beside(self) -> list[Column[Any]]:
        """The columns of a table that stand beside each other."""
        return [column for column in self._for_people() if Where.BELOW not in column.forms]

    def markdown(self, system: str = "metric") -> str:
        """A Markdown table."""
        return self._tabulated("pipe", system) if self.rows else f"_({self.empty})_"

    def html(self, system: str = "metric") -> str:
        """An HTML table; texts are escaped. What belongs below a row stands there, over the whole width."""
        if not self.rows:
            return f"<p>({self.empty})</p>"
        if not any(Where.BELOW in column.forms for column in self._for_people()):
            return self._tabulated("html", system)
        from html import escape  # start-up time

        columns = self._beside()
        lines = ["".join(f"<th>{escape(column.heading)}</th>" for column in columns)]
        for row, below in zip(
            self.rows, self._below(["" for _ in self.rows], READABLE), strict=True
        ):
            cells = ((c, escape(_shown(c, row.get(c.key), system))) for c in columns)
            lines.append(
                "".join(f'<td style="text-align:{_side(c)}">{text}</td>' for c, text in cells)
            )
            words = escape(" ".join(below))
            if words:
                lines.append(f'<td colspan="{len(columns)}" style="text-align:left">{words}</td>')
        body = "\n".join(f"<tr>{line}</tr>" for line in lines)
        return f"<table>\n{body}\n</table>"

    def csv(self) -> str:
        """Comma-separated values with a line of headings. No text in them is a spreadsheet's formula."""
        columns = self._data_columns()
        stream = io.StringIO()
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow([_no_formula(c.data_name) for c in columns])
        for row in self.rows:
            writer.writerow([_no_formula(v) for v in self._data(row, columns)])
        return stream.getvalue()

    def records(self) -> list[dict[str, Any]]:
        """One mapping a row, ready for JSON."""
        columns = self._data_columns()
        names = [c.data_name for c in columns]
        return [dict(zip(names, self._data(row, columns), strict=True)) for row in self.rows]

    def json(self) -> str:
        return as_json(self.records())

    def _data_columns(self) -> list[Column[Any]]:
        return [c for c in self.columns if Where.CSV in c.forms]

    def _data(self, row: Row, columns: Sequence[Column[Any]]) -> list[Any]:
        return [plain(row.get(c.key)) for c in columns]

    def _tabulated(self, style: str, system: str) -> str:
        from tabulate import tabulate

        columns = self._for_people()
        cells = [[_shown(c, row.get(c.key), system) for c in columns] for row in self.rows]
        if style == "pipe":
            cells = [[c.replace("|", "\\|").replace("\n", " ") for c in row] for row in cells]
        return str(
            tabulate(
                cells,
                headers=[c.heading for c in columns],
                tablefmt=style,
                disable_numparse=True,
                colalign=[_side(c) for c in columns],
            )
        )


def _filled(column: Column[Any], cell: Any) -> bool:
    """Whether people read something there."""
    words = cell.words if isinstance(cell, Read) else cell
    return words is not None and not (column.blank and not words)


def _no_formula(cell: Any) -> Any:
    """A cell of CSV that every spreadsheet takes for what it is: a text that begins as formulas do has an
    apostrophe before it. A name in a site file may begin so, and the file may come from somebody else."""
    if cell is None:
        return ""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell


def as_json(value: Any) -> str:
    """JSON text that every reader takes."""
    return json.dumps(plain(value), ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _shown(column: Column[Any], value: Any, system: str) -> str:
    """A cell as people read it."""
    if isinstance(value, Read):
        value = value.words
    if value is None or (column.blank and not value):
        return column.nothing
    if isinstance(value, str):
        return value
    if isinstance(value, Measure):
        return show(value.value, value.dimension, system, column.rounding)
    if isinstance(column.kind, Dimension):
        return show(value, column.kind, system, column.rounding)
    if column.kind is Kind.SHARE:
        return f"{ceil(value * 100 - 1e-9)} %"
    return f"{value:,}" if isinstance(value, int) else str(value)


def _side(column: Column[Any]) -> str:
    return "left" if column.wordy else "right"


def wrapped(text: str, width: int, indent: str = "") -> list[str]:
    """The text in lines of at most `width` characters, later ones of a paragraph after `indent`.

    No word is cut, and no number is parted from its unit.
    """
    import textwrap

    wrapper = textwrap.TextWrapper(
        width, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
    )
    return [
        line.replace(_GLUE, " ")
        for paragraph in _glued(text).split("\n")
        for line in wrapper.wrap(paragraph) or [""]
    ]


def _glued(text: str) -> str:
    """The text with figures and their units held together."""
    glued = re.sub(r"(?<![^\s@])(\(?-?[\d.][\d.,/]*) (?=[^\W\d]|%|°)", rf"\1{_GLUE}", text)
    return re.sub(rf"(\d{_GLUE}ft) (?=\d+{_GLUE}in\b)", rf"\1{_GLUE}", glued)


def _laid_out(
    columns: Sequence[Column[Any]],
    cells: Sequence[Sequence[str]],
    below: Sequence[Sequence[str]],
    width: int,
) -> str:
    """Head, then every row with the lines that belong below it; a gap where rows are tall."""
    from tabulate import tabulate

    widths = _widths(columns, cells, width)
    texts = [[c.heading for c in columns], *cells]
    rows = [[wrapped(t, w) for t, w in zip(row, widths, strict=True)] for row in texts]
    # The head goes in as a row: tabulate widens the columns of its own heads by two characters.
    text = tabulate(
        [["\n".join(lines) for lines in row] for row in rows],
        tablefmt="plain",
        disable_numparse=True,
        colalign=[_side(c) for c in columns],
    )
    lines = [line.rstrip() for line in text.split("\n")]
    head, *heights = [max(len(lines) for lines in row) for row in rows]
    used = [
        max(len(line) for cell in column for line in cell) for column in zip(*rows, strict=True)
    ]
    wording = [*lines[:head], "  ".join("-" * w for w in used)]
    lines = lines[head:]
    tall = False
    for number, (height, extra) in enumerate(zip(heights, below, strict=True)):
        before, tall = tall, height > 1 or bool(extra)
        if number and (tall or before):
            wording.append("")
        wording += lines[:height] + [f"    {line}" for line in extra]
        lines = lines[height:]
    return "\n".join(wording)


def _kept(columns: Sequence[Column[Any]], cells: Sequence[Sequence[str]], width: int) -> list[int]:
    """Which columns stay in a table that fits; none where no table does."""
    kept = list(range(len(columns)))
    while not _fits([columns[i] for i in kept], [[row[i] for i in kept] for row in cells], width):
        loose = [i for i in kept if columns[i].yields]
        if not loose:
            return []
        kept.remove(max(loose, key=lambda i: columns[i].yields))
    return kept


def _fits(columns: Sequence[Column[Any]], cells: Sequence[Sequence[str]], width: int) -> bool:
    """Whether the columns go into the width, and no cell stands tall in one that is squeezed."""
    widths = _widths(columns, cells, width)
    if sum(widths) + 2 * (len(widths) - 1) > width:
        return False
    return all(
        len(wrapped(text, wide)) < _TALL + text.count("\n")
        for row in cells
        for text, wide in zip(row, widths, strict=True)
    )


def _clauses(named: Sequence[tuple[Column[Any], str]]) -> str:
    """Cells that stand below their row: "Worst pull with load at 7.13 m; rope owned 78.00 m." """
    clauses = [
        f"{column.alone or column.heading} {text}"
        for column, text in named
        if text.strip() not in ("", NOTHING)
    ]
    text = "; ".join(clauses)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _fallen(columns: Sequence[Column[Any]], width: int) -> str:
    """Which columns a narrow table leaves out."""
    headings = ", ".join(column.alone or column.heading for column in columns)
    text = f"Left out, as the lines are {width} characters long: {headings}."
    return "\n".join(wrapped(text, min(width, READABLE)))


def _in_blocks(
    columns: Sequence[Column[Any]],
    cells: Sequence[Sequence[str]],
    below: Sequence[Sequence[str]],
    width: int,
) -> str:
    """Every row as a block: its first cell above, then a line for each of the others that has something."""
    headings = [column.alone or column.heading for column in columns]
    wide = min(max(map(len, headings[1:]), default=0), max(width // 3, 12))
    blocks = []
    for row, extra in zip(cells, below, strict=True):
        lines = wrapped(f"{headings[0]} {row[0]}", width, "  ")
        for heading, text in zip(headings[1:], row[1:], strict=True):
            if text.strip() in ("", NOTHING):
                continue
            left, right = wrapped(heading, wide), wrapped(text, width - wide - 4)
            lines += [
                f"  {a:<{wide}}  {b}".rstrip() for a, b in zip_longest(left, right, fillvalue="")
            ]
        blocks.append("\n".join([*lines, *(f"    {line}" for line in extra)]))
    return "\n\n".join(blocks)


def _widths(
    columns: Sequence[Column[Any]], cells: Sequence[Sequence[str]], width: int
) -> list[int]:
    """Widths that fit: the widest column of text gives way, never below its longest word."""
    texts = [[row[i] for row in cells] for i in range(len(columns))]
    longest = [
        max((len(w) for t in (c.heading, *ts) for w in t.split()), default=1)
        for c, ts in zip(columns, texts, strict=True)
    ]
    widths = [
        max(
            max(len(line) for t in ts for line in t.split("\n")),
            len(max(c.heading.split(), key=len)),
        )
        for c, ts in zip(columns, texts, strict=True)
    ]
    while sum(widths) + 2 * (len(widths) - 1) > width:
        loose = [
            i for i, c in enumerate(columns) if c.wordy and widths[i] > max(longest[i], _LEAST_TEXT)
        ]
        if not loose:
            break
        widths[max(loose, key=lambda i: widths[i])] -= 1
    return widths
