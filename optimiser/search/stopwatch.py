"""Where the time of a search goes."""

import time
from collections.abc import Iterator
from contextlib import contextmanager


class Stopwatch:
    """Seconds by name, in the order in which the names first came up. Watches may run inside each other;
    the time of the inner one then counts for both."""

    @staticmethod
    def now() -> float:
        """The clock: seconds from some beginning."""
        return time.perf_counter()

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}

    @contextmanager
    def on(self, name: str) -> Iterator[None]:
        """Runs as long as the block, even where that is interrupted."""
        self.seconds.setdefault(name, 0.0)
        began = self.now()
        try:
            yield
        finally:
            self.seconds[name] += self.now() - began

    def read(self) -> tuple[tuple[str, float], ...]:
        """(name, seconds) of every watch."""
        return tuple(self.seconds.items())
