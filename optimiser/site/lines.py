"""Finds where each key of a TOML document stands, line by line.

The standard reader gives no positions, so the text is walked once more. It has been read as TOML
before, hence nothing is checked here: what the walk does not understand has no line, and a message
then names the line of the nearest table above.
"""

import re
from collections.abc import Mapping
from contextlib import suppress

Key = tuple[str | int, ...]
"""Keys and positions in lists (from 0) that lead to a value."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_TRIPLE = ('"""', "'''")


def find_lines(text: str) -> Mapping[Key, int]:
    """The line (from 1) at which each key, table and list item of the TOML `text` begins."""
    walk = _Walk(text)
    with suppress(IndexError, RecursionError):  # what was found up to there is right
        walk.document()
    return walk.found


def line_of(lines: Mapping[Key, int], key: Key) -> int | None:
    """The line of `key`, or of the closest thing around it that has one."""
    for length in range(len(key), 0, -1):
        if key[:length] in lines:
            return lines[key[:length]]
    return None


class _Walk:
    """A cursor in the text. Running off the end raises IndexError, which ends the walk."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.here = 0
        self.line = 1
        self.found: dict[Key, int] = {}
        self.items: dict[Key, int] = {}  # how many [[tables]] of a name there were

    def document(self) -> None:
        table: Key = ()
        while self._skip_space(newlines=True):
            if self.text.startswith("[", self.here):
                table = self._header()
            else:
                self._pair(table)

    def _header(self) -> Key:
        many = self.text.startswith("[[", self.here)
        line = self.line
        self._go(2 if many else 1)
        table = self._inside_last(self._dotted("]"), whole=not many)
        self._go(2 if many else 1)
        if many:
            self.found.setdefault(table, line)
            self.items[table] = self.items.get(table, 0) + 1
            table = (*table, self.items[table] - 1)
        self.found.setdefault(table, line)
        return table

    def _inside_last(self, keys: list[str], *, whole: bool) -> Key:
        """The full key of a header: a name of a list of tables means the last one so far."""
        table: Key = ()
        for place, key in enumerate(keys):
            table = (*table, key)
            if table in self.items and (whole or place < len(keys) - 1):
                table = (*table, self.items[table] - 1)
        return table

    def _pair(self, table: Key) -> None:
        line = self.line
        key = table
        for part in self._dotted("="):
            key = (*key, part)
            self.found.setdefault(key, line)
        self._go(1)
        self._value(key)

    def _value(self, key: Key) -> None:
        self._skip_space(newlines=False)
        start = self.text[self.here]
        if start == "[":
            self._list(key)
        elif start == "{":
            self._inline_table(key)
        elif start in "\"'":
            self._string()
        else:
            while self.here < len(self.text) and self.text[self.here] not in ",]}#\n":
                self._go(1)

    def _list(self, key: Key) -> None:
        self._go(1)
        index = 0
        while self._skip_space(newlines=True) and self.text[self.here] != "]":
            self.found.setdefault((*key, index), self.line)
            self._value((*key, index))
            index += 1
            self._skip_space(newlines=True)
            if self.text[self.here] == ",":
                self._go(1)
        self._go(1)

    def _inline_table(self, key: Key) -> None:
        self._go(1)
        while self._skip_space(newlines=True) and self.text[self.here] != "}":
            self._pair(key)
            self._skip_space(newlines=True)
            if self.text[self.here] == ",":
                self._go(1)
        self._go(1)

    def _dotted(self, end: str) -> list[str]:
        """The parts of a dotted key up to `end`, which is left where it is."""
        parts: list[str] = []
        while True:
            self._skip_space(newlines=False)
            char = self.text[self.here]
            if char == end:
                return parts
            if char == ".":
                self._go(1)
            elif char in "\"'":
                parts.append(self._string())
            elif (match := _BARE.match(self.text, self.here)) is not None:
                parts.append(match[0])
                self._go(len(match[0]))
            else:
                raise IndexError(self.here)

    def _string(self) -> str:
        """Skip a string of any kind; its text, with escapes as written."""
        start = self.here
        quote = self.text[start]
        opening = self.text[start : start + 3]
        closing = opening if opening in _TRIPLE else quote
        self._go(len(closing))
        while not self.text.startswith(closing, self.here):
            self._go(2 if self.text[self.here] == "\\" and quote == '"' else 1)
        while len(closing) == 3 and self.text.startswith(closing, self.here + 1):
            self._go(1)  # up to two quotes may stand before the closing three
        self._go(len(closing))
        return self.text[start + len(closing) : self.here - len(closing)]

    def _skip_space(self, *, newlines: bool) -> bool:
        """Go to the next thing that counts; False at the end of the text."""
        while self.here < len(self.text):
            char = self.text[self.here]
            if char == "#" and newlines:
                while self.here < len(self.text) and self.text[self.here] != "\n":
                    self._go(1)
            elif char in " \t\r" or (newlines and char == "\n"):
                self._go(1)
            else:
                return True
        return False

    def _go(self, steps: int) -> None:
        if self.here + steps > len(self.text):
            raise IndexError(self.here)
        self.line += self.text.count("\n", self.here, self.here + steps)
        self.here += steps
