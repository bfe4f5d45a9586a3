"""Ctrl-C while something is worked out: whoever waits wants the answer so far.

The first interrupt only leaves a note, which the clocks of all searches read; the next one ends the program.
"""

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType

STOPPED = "stopped"
"""What is printed where Ctrl-C ends the program."""
EXIT_INTERRUPTED = 130

_noted = threading.Event()
_limited = threading.Event()


def requested() -> bool:
    """Whether the answer so far is requested."""
    return _noted.is_set()


def note() -> None:
    """Request the answer so far, as an interrupt does."""
    _noted.set()


def forget() -> None:
    """Forget what was requested, before the next thing is worked out."""
    _noted.clear()


def note_limit(seconds: float | None) -> None:
    """Note the time limit [s] that somebody set for what follows; None: nobody set one."""
    if seconds is None:
        _limited.clear()
    else:
        _limited.set()


def limited() -> bool:
    """Whether somebody set a time limit. Where nobody did, time is not what stops a search."""
    return _limited.is_set()


def cut_short() -> str:
    """Why a search did not come to its end, for people."""
    if requested():
        return "stopped"
    return "time limit" if limited() else "too much to look at all of it"


@contextmanager
def end_at_once() -> Iterator[None]:
    """As long as it runs an interrupt ends the process with one word. For when nothing is under way that
    would have to be cleared away: while libraries load, and on the way out."""
    if signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield  # whoever started the program keeps Ctrl-C from it
        return
    signal.signal(signal.SIGINT, _ended)
    yield
    signal.signal(signal.SIGINT, signal.default_int_handler)


def _ended(_number: int, _frame: FrameType | None) -> None:
    with suppress(OSError):
        os.write(2, f"\n{STOPPED}\n".encode())  # after the ^C that the terminal shows
    os._exit(EXIT_INTERRUPTED)


@contextmanager
def answer_on_request() -> Iterator[None]:
    """As long as it runs an interrupt requests the answer. The note stays, for whoever prints the answer."""
    _noted.clear()
    if threading.current_thread() is not threading.main_thread():  # no signals there
        yield
        return

    def interrupted(number: int, frame: FrameType | None) -> None:
        if requested():
            signal.default_int_handler(number, frame)
        _noted.set()
        print(
            "\nstopping with what is known: Ctrl-C again ends it at once",
            file=sys.stderr,
            flush=True,
        )

    before = signal.signal(signal.SIGINT, interrupted)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
