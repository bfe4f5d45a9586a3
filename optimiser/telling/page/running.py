"""Runs the program itself for what takes longer, on a copy of the text in a folder of its own.

So the page prints what the command line prints, and a question that nobody waits for any more is ended.
"""

import asyncio
import os
import signal
import tempfile
from asyncio.subprocess import PIPE, Process
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

MOST_OUTPUT = 8_000_000
"""Bytes of an answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What a command ended with: its exit code, standard output, standard error, and the file it wrote."""

    code: int
    out: str
    err: str
    written: bytes = b""


class Running:
    """At most one command at a time of each kind: a newer one ends the older."""

    def __init__(self, program: Sequence[str]) -> None:
        self._program = tuple(program)
        self._now: dict[str, Process] = {}

    async def run(
        self,
        kind: str,
        text: str,
        name: str,
        line: Callable[[str], Sequence[str]],
        target: str = "",
    ) -> Ran:
        """Run the command that `line` gives for the file of the text. `target`: a file that it writes."""
        await self.end(kind)
        with tempfile.TemporaryDirectory(prefix="bankhaul-page-") as folder:
            file = Path(folder) / _plain(name)
            file.write_text(text, encoding="utf-8")
            process = await asyncio.create_subprocess_exec(
                *self._program, *line(file.name), cwd=folder, stdin=PIPE, stdout=PIPE, stderr=PIPE,
                env={**os.environ, "COLUMNS": "100", "NO_COLOR": "1"},
            )  # fmt: skip
            self._now[kind] = process
            try:
                out, err = await process.communicate()
            finally:
                if self._now.get(kind) is process:
                    del self._now[kind]
                if process.returncode is None:
                    with suppress(ProcessLookupError):
                        process.kill()
            wrote = Path(folder) / target if target else None
            return Ran(
                code=process.returncode if process.returncode is not None else -1,
                out=out[:MOST_OUTPUT].decode("utf-8", "replace"),
                err=err[:MOST_OUTPUT].decode("utf-8", "replace"),
                written=wrote.read_bytes() if wrote is not None and wrote.is_file() else b"",
            )

    def answer_so_far(self, kind: str) -> bool:
        """Request the answer so far of what runs, as Ctrl-C does; whether anything does."""
        process = self._now.get(kind)
        if process is None:
            return False
        with suppress(ProcessLookupError):
            if os.name == "nt":
                process.terminate()  # there is no other signal that only this process gets
            else:
                process.send_signal(signal.SIGINT)
        return True

    async def end(self, kind: str | None = None) -> None:
        """End what runs of a kind; of all kinds if left out."""
        for each in [kind] if kind is not None else list(self._now):
            process = self._now.pop(each, None)
            if process is not None:
                with suppress(ProcessLookupError):
                    process.kill()
                await process.wait()


def _plain(name: str) -> str:
    """A name for the copy that no command takes for an option, a number or standard input."""
    kept = "".join(c if c.isalnum() or c in "._-" else "-" for c in Path(name).name).lstrip("-.")
    stem = kept.removesuffix(".toml")
    return f"{stem if stem and not stem.isdecimal() else f'site-{stem}'}.toml"
