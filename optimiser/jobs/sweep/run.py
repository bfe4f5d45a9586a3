"""Sweeps one or two axes, and finds where the best setup changes."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

from optimiser.jobs.question import SWEEP, SweepQuestion
from optimiser.jobs.sweep.axes import Axis, axis
from optimiser.jobs.sweep.cells import Answer, Job
from optimiser.jobs.sweep.nothing_works import changes_at, stops
from optimiser.jobs.sweep.pool import Crew
from optimiser.jobs.sweep.results import Boundary, Cell, Sweep, kind
from optimiser.rig.status import Status
from optimiser.site.model import Site
from optimiser.site.reading import Document, site_from_document
from shared.errors import Fault, InputError

MOST_AXES = 2
MOST_CELLS = 2500
STEPS, STEPS_OF_TWO = 9, 7
"""Values on the axis of one number, and on each axis of two, where nobody says how many."""
Point = tuple[float, ...]


def sweep(
    document: Document,
    vary: Sequence[Axis | str],
    question: SweepQuestion = SWEEP,
    *,
    cost: Callable[[Site], float | None] | None = None,
    processes: int | None = None,
    progress: Callable[[str], None] | None = None,
) -> Sweep:
    """The best setup at every point of a grid over one or two axes ("load.weight=200..400 kg"), and the
    boundaries between.

    `cost`: what has to be spent at the least on a site where what is owned will not do, printed in every
    cell of the grid; a function of a module. `processes`: how many at once; as many as there are cores if
    left out. Raises InputError for values that no site can have; KeyboardInterrupt when interrupted.
    """
    axes = tuple(axis(document, one) if isinstance(one, str) else one for one in vary)
    usual = STEPS if len(axes) == 1 else STEPS_OF_TWO
    steps = usual if question.steps is None else question.steps
    _checked(document, axes, steps)
    grid = tuple(one.values(steps) for one in axes)
    job = Job(document, question, cost)
    points: list[Point] = list(product(*grid))
    for point in points:
        site_from_document(document, question.guesses, changes_at(axes, point))
    with Crew(job, processes) as crew:
        board = _Board(axes, crew, progress)
        board.solve(points, "cells", in_full=True)
        spans = [(number, a, b) for number, line in _lines(grid) for a, b in pairwise(line)]
        found = board.boundaries(spans)
    cells = tuple(board.cells[point] for point in points)
    between = tuple(cell for point, cell in board.cells.items() if point not in set(points))
    made = Sweep(
        title=site_from_document(document, question.guesses).title,
        axes=axes, grid=grid, cells=cells, between=between, boundaries=(),
        down=question.down,
    )  # fmt: skip
    if progress is not None and any(cell.status is Status.NOTHING_WORKS for cell in cells):
        progress("sweep: what stops it where no setup works")
    return replace(
        made,
        boundaries=tuple(_boundary(made, board, *span) for span in found),
        stops=tuple(stops(job, axes, grid, cells)),
    )


def _checked(document: Document, axes: Sequence[Axis], steps: int) -> None:
    wrong = ""
    if not 1 <= len(axes) <= MOST_AXES:
        wrong = f"a sweep varies one or two numbers, not {len(axes)}"
    elif len({one.key for one in axes}) < len(axes):
        wrong = "the same number is varied twice"
    elif steps < 2:
        wrong = "at least two steps: the two ends"
    elif steps ** len(axes) > MOST_CELLS:
        wrong = f"{steps ** len(axes):,} cells are too many: at most {MOST_CELLS:,}"
    if wrong:
        raise InputError(document.source, [Fault(place="", message=wrong)])


def _lines(grid: Sequence[tuple[float, ...]]) -> list[tuple[int, list[Point]]]:
    """Every row of grid points along each axis, with the axis."""
    if len(grid) == 1:
        return [(0, [(value,) for value in grid[0]])]
    first, second = grid
    lines: list[tuple[int, list[Point]]] = [(0, [(x, y) for x in first]) for y in second]
    lines += [(1, [(x, y) for y in second]) for x in first]
    return lines


Span = tuple[int, Point, Point]
"""An axis, and two points on it that follow each other."""


@dataclass
class _Board:
    """All cells solved so far."""

    axes: Sequence[Axis]
    crew: Crew
    progress: Callable[[str], None] | None

    def __post_init__(self) -> None:
        self.cells: dict[Point, Cell] = {}

    def solve(self, points: Sequence[Point], what: str, *, in_full: bool = False) -> None:
        """Solve the points that are not known yet."""
        new = [point for point in dict.fromkeys(points) if point not in self.cells]

        def report(done: int) -> None:
            if self.progress is not None:
                self.progress(f"sweep: {done} of {len(new)} {what}")

        answers = self.crew.solve(
            [changes_at(self.axes, point) for point in new], report, in_full=in_full
        )
        for point, answer in zip(new, answers, strict=True):
            self.cells[point] = _cell(point, answer)

    def boundaries(self, spans: Sequence[Span]) -> list[Span]:
        """The spans over which the best setup changes, halved until they are narrow enough. Of those that
        change alike between the same two values, each on a line of its own, one is halved; the others are
        looked at first where that one changes, and halved only where they change elsewhere."""
        alike: dict[object, list[Span]] = {}
        for span in filter(self._changes, spans):
            number, a, b = span
            kinds = kind(self.cells[a]), kind(self.cells[b])
            alike.setdefault((number, a[number], b[number], kinds), []).append(span)
        first = [some.pop(len(some) // 2) for some in alike.values()]
        narrow = self._halved(first)
        lines: list[tuple[int, list[Point]]] = []
        for known, some in zip(first, alike.values(), strict=True):
            ends = _ends_within(known, narrow)
            for number, a, b in some:
                points = [(*a[:number], end, *a[number + 1 :]) for end in ends]
                lines.append((number, list(dict.fromkeys([a, *points, b]))))
        self.solve([point for _, line in lines for point in line], "points at boundaries")
        pieces = [(number, a, b) for number, line in lines for a, b in pairwise(line)]
        return sorted([*narrow, *self._halved(pieces)])

    def _halved(self, spans: Iterable[Span]) -> list[Span]:
        """The narrow spans over which the best setup changes."""
        narrow: list[Span] = []
        open_spans = [span for span in spans if self._changes(span)]
        while open_spans:
            middles = [self._middle(span) for span in open_spans]
            self.solve([point for point in middles if point is not None], "points at boundaries")
            halves: list[Span] = []
            for span, middle in zip(open_spans, middles, strict=True):
                if middle is None:
                    narrow.append(span)
                else:
                    number, a, b = span
                    halves += [(number, a, middle), (number, middle, b)]
            open_spans = [span for span in halves if self._changes(span)]
        return narrow

    def _changes(self, span: Span) -> bool:
        return kind(self.cells[span[1]]) != kind(self.cells[span[2]])

    def _middle(self, span: Span) -> Point | None:
        number, a, b = span
        middle = self.axes[number].between(a[number], b[number])
        return None if middle is None else (*a[:number], middle, *a[number + 1 :])


def _ends_within(span: Span, narrow: Iterable[Span]) -> list[float]:
    """The values at the ends of the narrow spans that a span was halved to."""
    number, a, b = span
    other = [value for at, value in enumerate(a) if at != number]
    return sorted(
        end[number]
        for axis_, *both in narrow
        if axis_ == number
        and [value for at, value in enumerate(both[0]) if at != number] == other
        and a[number] <= both[0][number] < both[1][number] <= b[number]
        for end in both
    )


def _cell(point: Point, answer: Answer) -> Cell:
    return Cell(
        values=point,
        setup=answer.setups[0] if answer.setups else None,
        proven=answer.proven,
        cost=answer.cost,
        as_good=answer.as_good,
        measured=answer.measured,
        rests=answer.rests,
        of_one_piece=answer.of_one_piece,
    )


def _boundary(made: Sweep, board: _Board, number: int, a: Point, b: Point) -> Boundary:
    one, other = board.cells[a], board.cells[b]
    return Boundary(
        axis=number,
        low=a[number],
        high=b[number],
        other=None if len(a) == 1 else a[1 - number],
        before=made.letter(one),
        after=made.letter(other),
        either=made.letter(one) in made.as_good(other) or made.letter(other) in made.as_good(one),
    )
