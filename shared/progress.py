"""A counter for work that takes long: on standard error, only where somebody can see it."""

import sys
import time
from collections.abc import Callable
from typing import TextIO

_PATIENCE = 1.0
"""s before the first word: work that ends sooner needs no counter."""

_EVERY = 0.2
"""s between two words."""


class Progress:
    """Call it as often as you like with what has been done; it writes rarely, or not at all.

    It keeps to one line, which `close` (or leaving the `with` block) wipes out again.
    """

    def __init__(
        self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._stream = sys.stderr if stream is None else stream
        self._clock = clock
        self._seen = self._stream.isatty()
        self._next = clock() + _PATIENCE
        self._width = 0

    def __call__(self, text: str) -> None:
        """Print how far the work is."""
        if not self._seen or self._clock() < self._next:
            return
        self._next = self._clock() + _EVERY
        self._write(text)

    def close(self) -> None:
        """Wipe the line."""
        if self._width:
            self._stream.write("\r" + " " * self._width + "\r")
            self._stream.flush()
            self._width = 0

    def __enter__(self) -> "Progress":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _write(self, text: str) -> None:
        self._stream.write("\r" + text.ljust(self._width))
        self._stream.flush()
        self._width = max(self._width, len(text))
