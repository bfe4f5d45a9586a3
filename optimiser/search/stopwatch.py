"""Measures where the time of a search goes."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass


@dataclass
class _Clock:
    read: Callable[[], float]


_CLOCK = _Clock(time.perf_counter)


def now() -> float:
    """s since some moment, by the clock in use."""
    return _CLOCK.read()


def go_by(clock: Callable[[], float]) -> None:
    """Measure by another clock, such as the processor's."""
    _CLOCK.read = clock


class Stopwatch:
    """Seconds by name, in the order in which the names first came up. Watches may run inside each other;
    the time of the inner one then counts for both."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}

    @contextmanager
    def on(self, name: str) -> Iterator[None]:
        """Runs as long as the block, even where that is interrupted."""
        self.seconds.setdefault(name, 0.0)
        began = now()
        try:
            yield
        finally:
            self.seconds[name] += now() - began

    def add(self, other: "Stopwatch") -> None:
        """Count what another one measured as well."""
        for name, seconds in other.seconds.items():
            self.seconds[name] = self.seconds.get(name, 0.0) + seconds

    def read(self) -> tuple[tuple[str, float], ...]:
        """(name, seconds) of every watch."""
        return tuple(self.seconds.items())
