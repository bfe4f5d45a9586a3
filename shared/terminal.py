"""How wide the terminal is that an answer is printed on."""

import os
import sys

from shared.listing import WIDTH

NARROWEST, WIDEST = 40, 400
"""Characters: what is narrower or wider counts as these."""


def terminal_width() -> int:
    """Characters a line of an answer may have: what `COLUMNS` says, else how wide the terminal is, else
    `WIDTH`, so that a piped answer is the same on every machine."""
    stated = os.environ.get("COLUMNS", "").strip()
    if stated.isdecimal() and int(stated):
        return _within(int(stated))
    try:
        if sys.stdout.isatty():
            return _within(os.get_terminal_size(sys.stdout.fileno()).columns)
    except (OSError, ValueError, AttributeError):  # closed, or not a file of the system
        pass
    return WIDTH


def _within(columns: int) -> int:
    return min(max(columns, NARROWEST), WIDEST) if columns else WIDTH
