"""Keeps the text of the site that the page works on: how it is changed, undone, saved, kept as a draft.

The file is its owner's: it is written only when somebody saves, wholly or not at all, and what another
program has written meanwhile is never lost without a word. Every change goes to a draft beside it at once
(`optimiser.telling.page.drafts`), which is offered again after a crash.
"""

import os
import time
import tomllib
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from optimiser.site.reading import LARGEST, read_text
from optimiser.site.text.edited import Edit, EditError, edited
from optimiser.telling.page.drafts import Drafts, Left
from shared.errors import BankhaulError, reason
from shared.files import write_atomically

MOST_STEPS = 200
"""Changes that can be undone."""


class OutsideChangeError(BankhaulError):
    """Another program has written the file since it was read."""


class StaleError(BankhaulError):
    """A change to a state of the text that is no longer the latest."""


@dataclass(frozen=True, slots=True)
class Step:
    """A text, with what led to it; changes of one gesture (a drag) are one step."""

    text: str
    gesture: str = ""


@dataclass
class Workspace:
    """See the module's text. `path`: the site file; None: the demonstration, which cannot be saved here."""

    path: Path | None
    text: str
    name: str
    saved: str | None  # what the file has, as far as it is known; None: there is none yet
    version: int = 1
    outside: bool = False  # the file has been changed by somebody else
    draft_trouble: str = ""
    offered: list[Left] = field(default_factory=list)  # drafts from before, or of other programs
    drafts: Drafts | None = None  # of a path
    _gesture: str = ""
    _undo: list[Step] = field(default_factory=list)
    _redo: list[Step] = field(default_factory=list)
    _seen: tuple[int, int] | None = None  # time and size of the file when it was looked at last

    @classmethod
    def of(cls, path: Path | None, begin: str) -> "Workspace":
        """The text of a file, with the draft that lies beside it, if one does. `begin`: what a file that
        is not there yet begins with; with no path, the text. Raises InputError for one that cannot be
        read."""
        if path is None:
            return cls(path=None, text=begin, name="demonstration.toml", saved=begin)
        there = path.exists() or path.is_symlink()
        text = read_text(str(path))[1] if there else begin
        out = cls(path=path, text=text, name=path.name, saved=text if there else None)
        out._seen = out._stamp()
        out.drafts = Drafts(path)
        out.offered = out.drafts.others(text)
        return out

    @property
    def raw(self) -> dict[str, Any] | None:
        """The keys and values of the text; None where it is no TOML."""
        try:
            return tomllib.loads(self.text)
        except (ValueError, RecursionError):
            return None

    def state(self) -> dict[str, Any]:
        """What the page has to know of it."""
        return {
            "version": self.version,
            "name": self.name,
            "file": None if self.path is None else str(self.path),
            "new": self.path is not None and self.saved is None,
            "dirty": self.text != self.saved,
            "undo": len(self._undo),
            "redo": len(self._redo),
            "outside": self.outside,
            "draft": None
            if not self.offered
            else time.strftime("%Y-%m-%d %H:%M", time.localtime(self.offered[0].since)),
            "draft_trouble": self.draft_trouble,
            "raw": _plain(self.raw),
        }

    # ---- changes ----------------------------------------------------------------------------------

    def change(self, edits: Sequence[Edit], base: int, gesture: str = "") -> None:
        """Apply edits to the text of version `base`. Raises StaleError, EditError."""
        self._fresh(base)
        self._to(edited(self.text, edits), gesture)

    def replace(self, text: str, base: int) -> None:
        """Put another text in place of all of it. Raises StaleError, EditError."""
        self._fresh(base)
        self._to(text)

    def undo(self) -> None:
        """Take the last change back, if there is one."""
        self._step(self._undo, self._redo)

    def redo(self) -> None:
        """Make the last change that was taken back again."""
        self._step(self._redo, self._undo)

    def take_draft(self, *, take: bool) -> None:
        """Take up the draft that is offered, or drop it; the next is offered then."""
        if not self.offered:
            return
        left, *self.offered = self.offered
        if take:
            self._to(left.text)
            self.keep()
        if not self.draft_trouble:  # else it may be the only one there is
            with suppress(OSError):
                left.path.unlink()

    def _fresh(self, base: int) -> None:
        if base != self.version:
            raise StaleError("the site has changed meanwhile; look at it again")

    def _to(self, text: str, gesture: str = "") -> None:
        text = text if text.endswith("\n") else f"{text}\n"
        if len(text.encode("utf-8", "surrogatepass")) > LARGEST:
            raise EditError(f"larger than {LARGEST // 1_000_000} MB: not a site file")
        if text == self.text:
            return
        if not (gesture and gesture == self._gesture):
            self._undo = [*self._undo, Step(self.text, gesture)][-MOST_STEPS:]
        self._redo.clear()
        self._gesture = gesture
        self.text = text
        self.version += 1

    def _step(self, source: list[Step], target: list[Step]) -> None:
        if source:
            target.append(Step(self.text))
            self.text = source.pop().text
            self._gesture = ""
            self.version += 1

    # ---- the file ---------------------------------------------------------------------------------

    def look(self) -> bool:
        """Whether the file was changed by somebody else since it was looked at last."""
        if self.drafts is not None and self.text != self.saved and not self.drafts.own.exists():
            self.keep()  # another program has dropped it
        stamp = self._stamp()
        if self.path is None or stamp == self._seen:
            return False
        self._seen = stamp
        before = self.outside
        self.outside = self._on_disk() != self.saved
        return self.outside != before

    def save(self, *, mine: bool = False) -> None:
        """Write the text to the file; `mine`: also over what another program has written there. Raises
        OutsideChangeError, BankhaulError where it cannot be written."""
        if self.path is None:
            raise BankhaulError("the demonstration is not saved: start with `bankhaul page FILE`")
        if not mine and self._on_disk() != self.saved:
            self.outside = True
            raise OutsideChangeError(f"{self.name} was changed by another program meanwhile")
        try:
            write_atomically(self.path, self.text)
        except OSError as problem:
            raise BankhaulError(f"{self.name} cannot be written: {reason(problem)}") from problem
        self.saved, self.outside, self._seen = self.text, False, self._stamp()
        self.keep()

    def reload(self) -> None:
        """Take the text that the file has now; the one before can be had by undo. Raises InputError."""
        if self.path is None:
            return
        text = read_text(str(self.path))[1]
        self.saved, self.outside, self._seen = text, False, self._stamp()
        self._to(text)

    def keep(self) -> None:
        """Keep the text as a draft, if it is not saved."""
        if self.drafts is None:
            return
        try:
            if self.text == self.saved:
                self.drafts.forget()
            else:
                self.drafts.keep(self.text)
            self.draft_trouble = ""
        except OSError as problem:
            self.draft_trouble = f"no draft can be kept beside the file: {reason(problem)}"

    def _on_disk(self) -> str | None:
        """The text of the file; None: there is none. What cannot be read counts as another text."""
        assert self.path is not None
        try:
            return read_text(str(self.path))[1]
        except BankhaulError:
            return None if not self.path.exists() else ""

    def _stamp(self) -> tuple[int, int] | None:
        with suppress(OSError):
            known = os.stat(self.path) if self.path is not None else None
            return None if known is None else (known.st_mtime_ns, known.st_size)
        return None


def _plain(value: Any) -> Any:
    """A value as JSON can carry it: dates and what is no number as text."""
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    if isinstance(value, float) and value not in (float("inf"), float("-inf")) and value == value:
        return value
    return value if isinstance(value, str | bool | int | None) else str(value)
