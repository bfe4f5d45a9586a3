"""Puts a changed function of a file into a process that has loaded the file before it was changed.

That is the same as loading everything anew only where nothing ran yet that the change may have been in: so
which functions ran, and which files were opened, is watched while program and tests are loaded. Elsewhere
values that were worked out before the change may stay beside it: what a test finds has to be confirmed.
"""

import functools
import gc
import os
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

PARTS = ("optimiser", "catalogue", "shared")
Place = tuple[str, int]
"""File, and the line of a function's `def` (of its first decorator where it has one)."""


def within(code: CodeType) -> Iterator[CodeType]:
    """A piece of code and all that are written in it."""
    yield code
    for one in code.co_consts:
        if isinstance(one, CodeType):
            yield from within(one)


def _places(code: CodeType) -> set[Place]:
    return {(one.co_filename, one.co_firstlineno) for one in within(code)}


class Loading:
    """Watches what runs and what is opened from now on."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._ran: set[Place] = set()
        self._opened: set[str] = set()
        self._over = False
        sys.addaudithook(self._audit)  # it stays for good, and looks away in the end
        sys.settrace(self._call)

    def _call(self, frame: FrameType, event: str, _arg: Any) -> None:
        if event == "call":
            self._ran.add((frame.f_code.co_filename, frame.f_code.co_firstlineno))

    def _audit(self, event: str, args: tuple[Any, ...]) -> None:
        if event == "open" and not self._over and isinstance(args[0], str | bytes | os.PathLike):
            self._opened.add(os.path.abspath(os.fsdecode(args[0])))

    def ended(self) -> "Loaded":
        """Stop watching; what is loaded now."""
        if sys.gettrace() != self._call:
            raise RuntimeError("something else has set a tracer: what ran is not known")
        sys.settrace(None)
        self._over = True
        return Loaded(self.folder, self._ran, self._opened)


class Loaded:
    """The functions of the program in this process."""

    def __init__(self, folder: Path, ran: set[Place], opened: set[str]) -> None:
        self.folder, self._ran, self._opened = folder, ran, opened
        self._files = {getattr(module, "__file__", None) for module in [*sys.modules.values()]}
        self._outermost: dict[Place, CodeType] = {}
        """Of each function the one that no other is around."""
        self._functions: dict[CodeType, list[FunctionType]] = defaultdict(list)
        for function in [one for one in gc.get_objects() if isinstance(one, FunctionType)]:
            code = function.__code__
            if not code.co_filename.startswith(f"{folder}/") or "<locals>" in code.co_qualname:
                continue
            self._functions[code].append(function)
            self._outermost |= dict.fromkeys(_places(code), code)
        self._kept = [
            kept
            for kept in gc.get_objects()
            if isinstance(kept, functools._lru_cache_wrapper)
            and kept.__module__.split(".")[0] in PARTS
        ]

    def as_if_new(self, file: str, function: int) -> bool:
        """Whether a change in that function of that file can be put in so that it is as if loaded anew."""
        path = str(self.folder / file)
        if path not in self._files:  # a fork will load it, changed
            return path not in self._opened
        code = self._outermost.get((path, function))
        return code is not None and not _places(code) & self._ran

    def put(self, file: str, function: int) -> bool:
        """Put in what the file has now. False where it cannot be."""
        path = self.folder / file
        if not self.as_if_new(file, function):
            for kept in self._kept:
                kept.cache_clear()
        if str(path) not in self._files:
            return True
        if (str(path), function) not in self._outermost:
            return False
        code = self._outermost[str(path), function]
        changed = compile(path.read_text(encoding="utf-8"), str(path), "exec", dont_inherit=True)
        wanted = (code.co_qualname, code.co_firstlineno)
        found = [c for c in within(changed) if (c.co_qualname, c.co_firstlineno) == wanted]
        if len(found) != 1 or found[0].co_freevars != code.co_freevars:
            return False
        for one in self._functions[code]:
            one.__code__ = found[0]
        return True
