"""Keeps every page that is open up to date: what never changes, and the parts of the latest answer, as they
come in."""

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

Message = dict[str, Any]

MOST_LISTENERS = 8
"""Pages that may be open at once."""
BEAT = 20.0
"""s without anything to send after which a sign of life goes out."""
_OF_A_SETUP = ("drawing", "detail", "measured")
"""Parts that belong to a list: a new one makes them old."""


class Stream:
    """See the module's text. A message says with `part` what it is."""

    def __init__(self) -> None:
        self._listeners: set[asyncio.Queue[Message]] = set()
        self._latest: dict[str, Message] = {}
        self._once: dict[str, Message] = {}

    @property
    def full(self) -> bool:
        """Whether no further page can be opened."""
        return len(self._listeners) >= MOST_LISTENERS

    def send(self, message: Message) -> None:
        """Send something to every page."""
        for queue in self._listeners:
            queue.put_nowait(message)

    def send_once(self, message: Message) -> None:
        """Send something that never changes, also to every page that is opened later."""
        self._once[message["part"]] = message
        self.send(message)

    def answered(self, message: Message) -> None:
        """Send a part of an answer; pages that are opened later get the latest of each part."""
        version, part = message["version"], message["part"]
        if any(other["version"] != version for other in self._latest.values()):
            self._latest = {}
        if part == "list":
            for old in _OF_A_SETUP:
                self._latest.pop(old, None)
        self._latest[part] = message
        self.send(message)

    async def listen(self, first: Message) -> AsyncIterator[bytes]:
        """All that a page gets, from now on, as a stream of events; `first` to begin with."""
        queue: asyncio.Queue[Message] = asyncio.Queue()
        self._listeners.add(queue)
        for message in (first, *self._once.values(), *self._latest.values()):
            queue.put_nowait(message)
        try:
            while True:
                try:
                    message = await asyncio.wait_for(queue.get(), BEAT)
                    yield f"data: {json.dumps(message)}\n\n".encode()
                except TimeoutError:
                    yield b": still here\n\n"
        finally:
            self._listeners.discard(queue)
