"""Puts a changed function of a file into a process that has loaded the file before it was changed.

That is the same as loading everything anew only where nothing ran yet that the change may have been in: so
which functions ran, and which files were opened, is watched while program and tests are loaded.
"""

import gc
import os
import sys
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from types import CodeType, FrameType, FunctionType
from typing import Any

Place = tuple[str, int]
"""File, and the line of a function's `def` (of its first decorator where it has one)."""


def within(code: CodeType) -> Iterator[CodeType]:
    """A piece of code and all that are written in it."""
    yield code
    for one in code.co_consts:
        if isinstance(one, CodeType):
            yield from within(one)


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
        self.folder, self.opened = folder, opened
        self._files = {getattr(module, "__file__", None) for module in [*sys.modules.values()]}
        self._outermost: dict[Place, CodeType] = {}
        """Of each function the one that no other is around, where nothing written in that one has run."""
        self._functions: dict[CodeType, list[FunctionType]] = defaultdict(list)
        for function in [one for one in gc.get_objects() if isinstance(one, FunctionType)]:
            code = function.__code__
            if not code.co_filename.startswith(f"{folder}/") or "<locals>" in code.co_qualname:
                continue
            self._functions[code].append(function)
            places = {(one.co_filename, one.co_firstlineno) for one in within(code)}
            if not places & ran:
                self._outermost |= dict.fromkeys(places, code)

    def takes(self, file: str, function: int) -> bool:
        """Whether a change in that function of that file can be put in so that it is as if loaded anew."""
        path = str(self.folder / file)
        if path not in self._files:  # a fork will load it, changed
            return path not in self.opened
        return (path, function) in self._outermost

    def put(self, file: str, function: int) -> bool:
        """Put in what the file has now. False where it cannot be."""
        path = self.folder / file
        if str(path) not in self._files:
            return True
        code = self._outermost[str(path), function]
        changed = compile(path.read_text(encoding="utf-8"), str(path), "exec", dont_inherit=True)
        wanted = (code.co_qualname, code.co_firstlineno)
        found = [c for c in within(changed) if (c.co_qualname, c.co_firstlineno) == wanted]
        if len(found) != 1 or found[0].co_freevars != code.co_freevars:
            return False
        for one in self._functions[code]:
            one.__code__ = found[0]
        return True
