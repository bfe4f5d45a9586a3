"""Signs of life for work that takes long, on standard error.

Two kinds share one line: a counter that work reports to (`Progress`), and a clock for whatever reports
nothing (`sign_of_life`), so that nobody looks at a still screen for longer than a second or two. Where
standard error is no terminal but a file or a pipe, the clock alone writes, a whole line every few seconds.
"""

import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TextIO

_PATIENCE = 1.0
"""s before the first word: work that ends sooner needs no counter. The clock shows after as many s without
one."""

_EVERY = 0.2
"""s between two words."""

EVERY_LINE_SECONDS = 4.5
"""Between two lines where none can be written over: nobody waits for longer than five without one."""


class _Line:
    """The last line of a terminal, which is written over again and again."""

    def __init__(self, stream: TextIO, clock: Callable[[], float]) -> None:
        self._stream = stream
        self._clock = clock
        self._lock = threading.Lock()
        self._width = 0
        self._text = ""
        self._written = clock()

    def show(self, text: str) -> None:
        """Show what is being done."""
        with self._lock:
            self._text = text
            self._write(text)

    def still_there(self, seconds: float) -> None:
        """Show how long it has taken so far, if nothing else was shown lately."""
        with self._lock:
            if self._clock() - self._written >= _PATIENCE:
                self._write(f"{self._text or 'working'}, {seconds:.0f} s")

    def wipe(self) -> None:
        """Leave the line empty for whatever is printed."""
        with self._lock:
            self._text = ""
            if self._width:
                self._stream.write("\r" + " " * self._width + "\r")
                self._stream.flush()
                self._width = 0
            self._written = self._clock()

    def _write(self, text: str) -> None:
        self._stream.write("\r" + text.ljust(self._width))
        self._stream.flush()
        self._width = max(self._width, len(text))
        self._written = self._clock()


class _Log:
    """A file or a pipe, which gets a whole line now and then: it cannot be written over."""

    def __init__(self, stream: TextIO, clock: Callable[[], float]) -> None:
        self._stream = stream
        self._clock = clock
        self._text = ""
        self._written = clock()

    def show(self, text: str) -> None:
        """Keep what is being done for the next line."""
        self._text = text

    def still_there(self, seconds: float) -> None:
        """Write how long it has taken so far, if no line was written lately."""
        if self._clock() - self._written >= EVERY_LINE_SECONDS:
            self._written = self._clock()
            self._stream.write(f"{self._text or 'working'}, {seconds:.0f} s\n")
            self._stream.flush()

    def wipe(self) -> None:
        """Forget what was being done: an answer is printed next."""
        self._text = ""
        self._written = self._clock()


class _Shared:
    """The line of the process, as long as a sign of life is shown on it."""

    line: _Line | _Log | None = None


class Progress:
    """Call it as often as you like with what has been done; it writes rarely, or not at all.

    It keeps to one line, which `close` (or leaving the `with` block) wipes out again.
    """

    def __init__(
        self, stream: TextIO | None = None, clock: Callable[[], float] = time.monotonic
    ) -> None:
        to = sys.stderr if stream is None else stream
        shared = _Shared.line if stream is None else None
        self._line = _Line(to, clock) if shared is None else shared
        self._clock = clock
        self._seen = to.isatty() or shared is not None
        self._next = clock() + _PATIENCE

    def __call__(self, text: str) -> None:
        """Print how far the work is."""
        if not self._seen or self._clock() < self._next:
            return
        self._next = self._clock() + _EVERY
        self._line.show(text)

    def close(self) -> None:
        """Wipe the line."""
        self._line.wipe()

    def __enter__(self) -> "Progress":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


@contextmanager
def sign_of_life(stream: TextIO | None = None) -> Iterator[None]:
    """As long as it runs, show how long it has taken whenever nothing was shown for a second (on a terminal)
    or for some five seconds (elsewhere)."""
    to = sys.stderr if stream is None else stream
    if _Shared.line is not None:
        yield
        return
    line = _Shared.line = (_Line if to.isatty() else _Log)(to, time.monotonic)
    begun, over = time.monotonic(), threading.Event()

    def watch() -> None:
        if hasattr(
            signal, "pthread_sigmask"
        ):  # Ctrl-C is for whoever works, and who may hold it back
            signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        with suppress(OSError, ValueError):  # the terminal is gone
            while not over.wait(_EVERY) and _Shared.line is line:
                line.still_there(time.monotonic() - begun)

    threading.Thread(target=watch, daemon=True).start()
    try:
        yield
    finally:
        over.set()
        _Shared.line = None
        line.wipe()


def clear_line() -> None:
    """Make room for an answer: to be called before anything is printed."""
    if _Shared.line is not None:
        _Shared.line.wipe()


def no_sign_of_life() -> None:
    """Show none from here on: somebody is to type."""
    clear_line()
    _Shared.line = None
