"""Speaks with the process that works the answers out: hands it the newest question, takes its parts.

A process that does not let go of an old question in time is ended, and another begins with the new one.
"""

import asyncio
import json
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import Callable
from contextlib import suppress
from typing import Any

Message = dict[str, Any]

MODULE = "optimiser.telling.page.working"
LONGEST_LINE = 64 * 1024 * 1024
"""Bytes of one part of an answer."""
PATIENCE = 6.0
"""s that a process that has loaded has to let go of a question before it is ended: a choice of ours. A search
reads the note every few hundredths of a second; readings and near misses are worked out in larger pieces."""


class Beside:
    """The process beside the server. `receive` gets every part of an answer, with its number."""

    def __init__(self, receive: Callable[[Message], None]) -> None:
        self._receive = receive
        self._process: Process | None = None
        self._reading: asyncio.Task[None] | None = None
        self._watching: asyncio.Task[None] | None = None
        self._ready = asyncio.Event()  # the process has loaded, and reads what it is sent
        self._open: set[int] = set()
        self._last: Message | None = None

    async def begin(self) -> None:
        """Start the process: it loads while nobody has a question yet."""
        if self._process is None:
            self._ready.clear()
            self._process = await asyncio.create_subprocess_exec(
                sys.executable, "-P", "-m", MODULE, stdin=PIPE, stdout=PIPE, limit=LONGEST_LINE
            )
            self._reading = asyncio.create_task(self._read(self._process))

    async def ask_for(self, number: int, message: Message) -> None:
        """Put a question; it takes the place of any before it."""
        self._last = {"id": number, **message}
        await self.begin()
        older = set(self._open)
        self._open.add(number)
        await self._send(self._last)
        if older and (self._watching is None or self._watching.done()):
            self._watching = asyncio.create_task(self._lose_patience(older))

    async def end(self) -> None:
        """End the process."""
        for task in (self._watching, self._reading):
            if task is not None:
                task.cancel()
        await self._stop()

    async def _send(self, message: Message) -> None:
        assert self._process is not None
        assert self._process.stdin is not None
        with suppress(ConnectionError):
            self._process.stdin.write((json.dumps(message) + "\n").encode())
            await self._process.stdin.drain()

    async def _read(self, process: Process) -> None:
        assert process.stdout is not None
        while line := await process.stdout.readline():
            message = json.loads(line)
            if message["part"] == "ready":
                self._ready.set()
            if message["part"] == "done":
                self._open.discard(message["id"])
                # what was put in while another was worked out may have been passed over
                self._open = {number for number in self._open if number > message["id"]}
            self._receive(message)
        if (
            self._process is process
        ):  # it ended by itself: not before the next question is it missed
            number = self._last["id"] if self._last else 0
            self._process = None
            self._open.clear()
            self._receive({"id": number, "part": "failed"})

    async def _lose_patience(self, older: set[int]) -> None:
        await self._ready.wait()
        await asyncio.sleep(PATIENCE)
        if older & self._open and self._last is not None:
            await self._stop()
            self._open.clear()
            await self.begin()
            self._open.add(self._last["id"])
            await self._send(self._last)

    async def _stop(self) -> None:
        process, self._process = self._process, None
        if process is not None:
            with suppress(ProcessLookupError):
                process.kill()
            await process.wait()
