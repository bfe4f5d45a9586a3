"""Defines what a sweep answers, as frozen values."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from optimiser.jobs.sweep.axes import Axis
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.rig.status import Status
from optimiser.search.rules import same_setup

if TYPE_CHECKING:
    from optimiser.jobs.ranges.readings_off import LeftOpen

NONE = "–"
"""Stands for "no setup works" among the letters."""
RESTS = "rests"
"""Stands for "nothing has to hold the load on its way down" among the letters."""
Rig = Setup | LoweringSetup
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """The best setup, or way down, with the axes at some values; None: none works. `proven` False: the search
    ran out of time. `cost`: of the least to buy, where that was requested; None: not requested, or nothing
    does. `rests`: no rope has to hold the load on its way down, so that there is no setup either.
    `of_one_piece`: ropes that are put together were left out, and may bring more margin."""

    values: tuple[float, ...]
    setup: Rig | None
    proven: bool = True
    cost: float | None = None
    as_good: tuple[Rig, ...] = ()  # margin at most a band lower, no more resets
    measured: "LeftOpen | None" = (
        None  # what readings leave open of the setup, in cells of the grid
    )
    rests: bool = False
    of_one_piece: bool = False

    @property
    def works(self) -> bool:
        """Whether the load gets there: by a setup, or with nothing to hold it."""
        return self.setup is not None or self.rests

    @property
    def certain(self) -> bool | None:
        """Whether the setup works wherever the readings leave the places; None: nothing is measured, or no
        setup works."""
        return None if self.measured is None else self.measured.holds

    @property
    def status(self) -> Status:
        """How far the cell is settled."""
        return Status.of(found=self.works, settled=self.proven)


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
    either: bool = False  # one of the two is as good where the other is best


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """What stops the rig that comes nearest to working in a cell without a setup, and what would cure it
    ("" for nothing by itself), in words."""

    values: tuple[float, ...]
    limit: str
    text: str
    cure: str


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
    stops: tuple[Stop, ...] = ()  # of one cell of each stretch or patch without a setup
    down: bool = False  # of ways down

    @property
    def proven(self) -> bool:
        """Whether every cell is proven best."""
        return all(cell.proven for cell in (*self.cells, *self.between))

    @property
    def of_one_piece(self) -> bool:
        """Whether ropes that are put together were left out somewhere, and may bring more margin there."""
        return any(cell.of_one_piece for cell in (*self.cells, *self.between))

    @cached_property
    def letters(self) -> dict[object, str]:
        """Letter of each kind of setup, in the order of the grid."""
        kinds = dict.fromkeys(kind(c) for c in (*self.cells, *self.between) if c.setup is not None)
        return {mark: letter(number) for number, mark in enumerate(kinds)}

    def letter(self, cell: Cell) -> str:
        """The letter of a cell's setup."""
        if cell.rests:
            return RESTS
        return NONE if cell.setup is None else self.letters[kind(cell)]

    def as_good(self, cell: Cell) -> tuple[str, ...]:
        """The letters of the other setups that are as good in a cell, of those that are best in some."""
        marks = (self.letters.get(kind_of(setup)) for setup in cell.as_good)
        return tuple(sorted(mark for mark in marks if mark is not None))

    def serves_all(self) -> str | None:
        """The letter of a setup that is best, or as good, wherever one works; None where there is none, or
        only one setup."""
        worked = [cell for cell in (*self.cells, *self.between) if cell.setup is not None]
        for mark in self.letters.values() if len(self.letters) > 1 else ():
            if all(mark in (self.letter(cell), *self.as_good(cell)) for cell in worked):
                return mark
        return None

    def examples(self) -> Iterator[tuple[str, Rig]]:
        """Each letter with the first setup that bears it."""
        done = set()
        for cell in (*self.cells, *self.between):
            mark = self.letter(cell)
            if cell.setup is not None and mark not in done:
                done.add(mark)
                yield mark, cell.setup


def kind(cell: Cell) -> object:
    """What distinguishes the best setups of cells: trees and reeving, not strap heights or pieces."""
    if cell.rests:
        return RESTS
    return None if cell.setup is None else kind_of(cell.setup)


def kind_of(setup: Rig) -> object:
    """What distinguishes setups of a sweep."""
    walks = (setup.walk,) if isinstance(setup, LoweringSetup) else [one.walk for one in setup.lines]
    return tuple(same_setup(walk) for walk in walks)


def letter(number: int) -> str:
    """A, B, ... Z, AA, AB, ..."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, len(_LETTERS))
        text = _LETTERS[rest] + text
    return text
