"""Errors a person can act on.

Two things can go wrong: what was given cannot be read (`InputError`, with every fault found), or the
program finds its own answer wrong (`WithheldError`). That nothing works is a proper answer, not an error.
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


class WithheldError(RuntimeError):
    """An answer that the program itself found wrong, and that nobody may act on: a fault of the program, not
    of what it was given. `found`: what is wrong, the first of it first."""

    def __init__(self, title: str, found: Sequence[str]) -> None:
        self.title = title
        self.found = tuple(found)
        super().__init__(f"{title} fails its re-check: {'; '.join(self.found)}")

    def __reduce__(self) -> tuple[type["WithheldError"], tuple[str, tuple[str, ...]]]:
        """How it is taken from one process to another: by title and what was found."""
        return type(self), (self.title, self.found)

    def worded(self) -> str:
        """One line: what was found wrong, that there is no answer, and what helps to mend the program."""
        first, *others = self.found or ("it is not what it states",)
        more = f" (and {len(others)} more)" if others else ""
        return _plain(
            f"answer withheld: {self.title} fails the program's own re-check: {first}{more}. "
            "Do not haul by it. This is a fault of the program, not of your site file: please report it "
            "to whoever maintains the program, with the site file, the command and this line."
        )


def reason(problem: Exception) -> str:
    """Why a file cannot be read or written, in the system's words."""
    return getattr(problem, "strerror", None) or str(problem)
