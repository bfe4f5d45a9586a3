"""Errors a person can act on.

Two things can go wrong: what was given cannot be read (`InputError`, with every fault found), or a
question has no answer for a reason that belongs to the job (`NothingFeasible`, which carries reasons
and is a proper answer, not a failure).
"""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass


class BankhaulError(Exception):
    """Base of every error that is printed as one message, without a traceback."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong with an input.

    `place` says where inside the file ("anchor[2].diameter"), `line` the line if it is known.
    """

    place: str
    message: str
    line: int | None = None

    def worded(self, source: str) -> str:
        """The fault as one line that begins with the file it is about."""
        where = source if self.line is None else f"{source}:{self.line}"
        place = self.place if len(self.place) <= _LONGEST else f"{self.place[:_LONGEST]}..."
        return _plain(f"{where}: {place}: {self.message}" if place else f"{where}: {self.message}")


_LONGEST = 120
"""Signs of a place: what is longer is a key that nobody meant."""


def _plain(text: str) -> str:
    """The text without signs that steer a terminal: a file may have any as a key."""
    return "".join("?" if unicodedata.category(sign).startswith("C") else sign for sign in text)


class InputError(BankhaulError):
    """An input (file, option, argument) that cannot be used; all faults are reported together."""

    def __init__(self, source: str, faults: Sequence[Fault]) -> None:
        self.source = source
        self.faults = tuple(faults)
        super().__init__("\n".join(fault.worded(source) for fault in self.faults))


def reason(problem: Exception) -> str:
    """Why a file cannot be read or written, in the system's words."""
    return getattr(problem, "strerror", None) or str(problem)
