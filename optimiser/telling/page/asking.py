"""Puts the text, as it stands, to the process beside the server, and hands its answer to every page.

While something is dragged each place it comes to is a question of its own. One that has just been put is
answered before the next, so that the list follows the hand; any other change ends what is worked out.
"""

import asyncio
import time
from collections.abc import Mapping
from typing import Any

from optimiser.site.frame import Frame
from optimiser.telling.page.beside import Beside, Message
from optimiser.telling.page.stream import Stream
from optimiser.telling.page.workspace import Workspace

GIVES_WAY_AFTER = 0.5
"""s after which a question about a place on the way of a drag gives way to the next: a choice of ours. Where
an answer takes longer none comes before whoever drags rests."""


class Asking:
    """The latest question about a text, and its answer."""

    def __init__(self, workspace: Workspace, stream: Stream) -> None:
        self._workspace = workspace
        self._stream = stream
        self._beside = Beside(self._answered)
        self._number = 0
        # of a question: which version of the text it is about, and whether second lines were requested
        self._about: dict[int, dict[str, Any]] = {}
        self._moving_since: float | None = None  # a question on the way of a drag is worked out
        self._later: asyncio.Task[None] | None = None
        self._again = False
        self._wanted: dict[str, Any] = {"top": 10, "hold": False, "chosen": 1}
        self.frame: Frame | None = None
        """In which the drawings have their points; None before the first."""

    @property
    def hold(self) -> bool:
        """Whether setups are to have second lines."""
        return bool(self._wanted["hold"])

    @property
    def chosen(self) -> int:
        """The number of the setup that is drawn."""
        return int(self._wanted["chosen"])

    def state(self) -> Message:
        """What the page has to know of text and question."""
        wanted = {name: self._wanted[name] for name in ("hold", "chosen")}
        return {"part": "state", **self._workspace.state(), **wanted}

    async def begin(self) -> None:
        """Start the process and put the first question."""
        await self._beside.begin()
        await self.ask()

    async def end(self) -> None:
        """End the process."""
        if self._later is not None:
            self._later.cancel()
        await self._beside.end()

    def choose(self, data: Mapping[str, Any]) -> None:
        """Take over which setup is drawn, and whether second lines are wanted."""
        chosen, hold = data.get("chosen"), data.get("hold")
        if isinstance(chosen, int) and not isinstance(chosen, bool) and 1 <= chosen <= 100:
            self._wanted["chosen"] = chosen
        if isinstance(hold, bool):
            self._wanted["hold"] = hold

    async def ask(self, *, moving: bool = False) -> None:
        """Put the text as it is now. `moving`: something is being dragged; then the list ends with the setup
        that is drawn, and so comes sooner."""
        now = time.monotonic()
        since = self._moving_since
        if moving and since is not None and now - since < GIVES_WAY_AFTER:
            self._again = True
            return
        self._again = False
        self._moving_since = now if moving else None
        space = self._workspace
        self._number += 1
        self._about = {self._number: {"version": space.version, "hold": self.hold}}
        top = self._wanted["chosen"] if moving else self._wanted["top"]
        text = {"text": space.text, "name": space.name, "version": space.version}
        await self._beside.ask_for(
            self._number, text | self._wanted | {"top": top, "moving": moving}
        )

    def _answered(self, message: Message) -> None:
        """Hand a part of an answer to every page, unless a newer question has taken its place."""
        about = self._about.get(message.pop("id"))
        if about is None:
            return
        message = {**message, **about}
        if message["part"] == "site":
            frame = message["seen"]["frame"]
            self.frame = None if frame is None else Frame(
                origin=tuple(frame["origin"]), cos=frame["cos"], sin=frame["sin"]
            )  # fmt: skip
        self._stream.answered(message)
        if message["part"] in ("done", "failed"):
            self._moving_since = None
            if self._again:
                self._later = asyncio.create_task(self.ask(moving=True))
