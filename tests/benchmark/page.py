"""The report: headings, words and tables in Markdown."""

import os
import platform
from collections.abc import Sequence
from dataclasses import dataclass, field

from tabulate import tabulate


@dataclass
class Page:
    parts: list[str] = field(default_factory=list)

    def table(
        self, title: str, columns: Sequence[str], rows: Sequence[Sequence[object]], *notes: str
    ) -> None:
        """A table below its title, and words about it."""
        cells = [[shown(cell) for cell in row] for row in rows]
        drawn = tabulate(cells, headers=list(columns), tablefmt="github", disable_numparse=True)
        self.parts.append("\n\n".join([f"## {title}", drawn, *notes]))

    def text(self) -> str:
        version = ".".join(platform.python_version_tuple()[:2])
        where = f"Measured on {platform.machine()}, {os.cpu_count()} cores, Python {version}."
        return "\n\n".join(["# Benchmark", where, *self.parts]) + "\n"


def shown(cell: object) -> str:
    """A cell: times with two digits that count, large numbers by their size."""
    if isinstance(cell, bool):
        return "yes" if cell else "NO"
    if isinstance(cell, int):
        return str(cell) if abs(cell) < 10**7 else f"{cell:.1e}"
    if isinstance(cell, float):
        return (
            f"{cell:.2f}"
            if 0.095 <= abs(cell) < 10
            else f"{cell:.2g}"
            if cell < 1
            else f"{cell:.0f}"
        )
    return str(cell)
