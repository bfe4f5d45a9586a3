"""Computes many cells on all cores.

Each process gets the job once and keeps its own tables. A cell does not depend on the others, so the
answers are the same with any number of processes. Where processes cannot be started, or one dies, the
work goes on in this one.
"""

import multiprocessing
import os
import signal
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager

from optimiser.jobs.sweep.cells import Answer, Changes, Job, Worker
from shared.collecting import collect_seldom

WORTH = 6.0
"""s of one processor, of work left for which it is worth while to start processes: that takes some itself."""
GRACE = 5.0
"""s that a process may take to end once it has been sent the signal."""

_worker: Worker | None = None
"""The worker of a process that was started for a sweep."""


class Crew:
    """Solves cells, in processes of its own once there are enough of them. To be used in a `with`
    block; left by an interrupt it ends its processes at once."""

    def __init__(self, job: Job, processes: int | None = None) -> None:
        self._job = job
        self._many = processes if processes is not None else os.cpu_count() or 1
        self._own = Worker(job)
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> "Crew":
        return self

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if self._pool is None:
            return
        begun = set(getattr(self._pool, "_processes", None) or {}) if kind else set()
        children = [c for c in multiprocessing.active_children() if c.pid in begun]
        self._pool.shutdown(wait=kind is None, cancel_futures=True)
        for child in children:
            child.terminate()
        for child in children:
            child.join(GRACE)

    def solve(
        self,
        cells: Sequence[Changes],
        progress: Callable[[int], None] | None = None,
        *,
        in_full: bool = True,
    ) -> list[Answer]:
        """The answers for some cells, in their order. `progress` gets how many are done; `in_full`: as
        `Worker.solve`."""
        found: list[Answer | None] = [None] * len(cells)
        for done, (number, answer) in enumerate(self._solved(cells, in_full), start=1):
            found[number] = answer
            if progress is not None:
                progress(done)
        return [answer for answer in found if answer is not None]

    def _solved(self, cells: Sequence[Changes], in_full: bool) -> Iterator[tuple[int, Answer]]:
        left = dict(enumerate(cells))
        # Processor time: where others keep the machine busy more processes do not help.
        took: list[float] = []
        while left:
            # The first cell has everything to load and to tabulate.
            cold = len(took) == 1 and took[0] <= WORTH
            much = min(took, default=0.0) * len(left) > WORTH and not cold
            if self._many > 1 and (self._pool is not None or much):
                try:
                    for number, answer in self._in_processes(left, in_full):
                        yield number, answer
                    return
                except (BrokenProcessPool, OSError):
                    self._many, self._pool = 1, None  # no processes to be had here
                    continue
            number, began = next(iter(left)), time.process_time()
            answer = self._own.solve(left[number], in_full=in_full)
            if not answer.proven and self._job.question.time_limit is None:
                raise KeyboardInterrupt  # the search ends quietly when it is interrupted
            del left[number]
            took.append(time.process_time() - began)
            yield number, answer

    def _in_processes(
        self, left: dict[int, Changes], in_full: bool
    ) -> Iterator[tuple[int, Answer]]:
        """Solve what is left, and strike out what is done."""
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                min(self._many, len(left)),
                mp_context=multiprocessing.get_context("spawn"),
                initializer=_begin,
                initargs=(self._job,),
            )
        with _uninterrupted():
            futures: dict[Future[Answer], int] = {
                self._pool.submit(_solve, dict(changes), in_full): number
                for number, changes in left.items()
            }
        for future in as_completed(futures):
            answer = future.result()
            del left[futures[future]]
            yield futures[future], answer


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Holds interrupts back while processes are started. They inherit that, and so are never interrupted
    themselves, not even while they are still importing; this one gets its interrupt afterwards."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(job: Job) -> None:
    """In a new process: an interrupt is the business of the process that started it."""
    global _worker
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    collect_seldom()
    _worker = Worker(job)


def _solve(changes: Changes, in_full: bool) -> Answer:
    assert _worker is not None
    return _worker.solve(changes, in_full=in_full)
