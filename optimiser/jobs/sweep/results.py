"""Defines what a sweep answers, as frozen values."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from optimiser.jobs.sweep.axes import Axis
from optimiser.rig.setup import Setup
from optimiser.rig.status import Status
from optimiser.search.rules import same_setup

NONE = "–"
"""Stands for "no setup works" among the letters."""
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """The best setup with the axes at some values; None: no setup works. `proven` False: the search ran
    out of time. `cost`: of the least to buy, where that was requested; None: not requested, or nothing does.
    """

    values: tuple[float, ...]
    setup: Setup | None
    proven: bool = True
    cost: float | None = None

    @property
    def status(self) -> Status:
        """How far the cell is settled."""
        return Status.of(found=self.setup is not None, settled=self.proven)


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundary:
    """Where the best setup changes along an axis: between `low` and `high`. `values`: of the other
    axis ("" where there is none)."""

    axis: int
    low: float
    high: float
    other: float | None
    before: str  # letters, as `Sweep.letter`
    after: str


@dataclass(frozen=True)
class Sweep:
    """A sweep over one or two axes: the cells of the grid in order (the last axis runs fastest), the
    cells looked at to find the boundaries, and these."""

    title: str
    axes: tuple[Axis, ...]
    grid: tuple[tuple[float, ...], ...]
    cells: tuple[Cell, ...]
    between: tuple[Cell, ...]
    boundaries: tuple[Boundary, ...]

    @property
    def proven(self) -> bool:
        """Whether every cell is proven best."""
        return all(cell.proven for cell in (*self.cells, *self.between))

    @cached_property
    def letters(self) -> dict[object, str]:
        """Letter of each kind of setup, in the order of the grid."""
        kinds = dict.fromkeys(kind(c) for c in (*self.cells, *self.between) if c.setup is not None)
        return {mark: letter(number) for number, mark in enumerate(kinds)}

    def letter(self, cell: Cell) -> str:
        """The letter of a cell's setup."""
        return NONE if cell.setup is None else self.letters[kind(cell)]

    def examples(self) -> Iterator[tuple[str, Setup]]:
        """Each letter with the first setup that bears it."""
        done = set()
        for cell in (*self.cells, *self.between):
            mark = self.letter(cell)
            if cell.setup is not None and mark not in done:
                done.add(mark)
                yield mark, cell.setup


def kind(cell: Cell) -> object:
    """What distinguishes the best setups of cells: trees and reeving, not strap heights or pieces."""
    if cell.setup is None:
        return None
    return tuple(same_setup(line.walk) for line in cell.setup.lines)


def letter(number: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, len(_LETTERS))
        text = _LETTERS[rest] + text
    return text
