"""Serves the page on the loopback address: its files, the state of the site, answers as they come in."""

import asyncio
import json
import socket
from collections.abc import AsyncIterator, Callable, Sequence
from contextlib import asynccontextmanager, suppress
from dataclasses import dataclass
from functools import partial
from importlib.resources import files
from typing import Any

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from optimiser.telling.page.asking import Asking
from optimiser.telling.page.guard import SHEET_POLICY, Guard, new_token
from optimiser.telling.page.requested import (
    SHEETS,
    RequestError,
    command_line,
    edits_of,
    sheet_line,
)
from optimiser.telling.page.running import Running
from optimiser.telling.page.stream import Stream
from optimiser.telling.page.workspace import OutsideChangeError, StaleError, Workspace
from shared.errors import BankhaulError, Fault, InputError, reason

LOOPBACK = "127.0.0.1"
LOOK_EVERY = 1.5
"""s between two looks at whether the file was changed by another program."""
KEEP_AFTER = 0.4
"""s after a change before it goes to the draft: a drag makes many."""

_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}
_ONCE: dict[str, Sequence[str]] = {
    "schema": ("schema",), "catalogue": ("gear", "--format", "json")
}  # fmt: skip
_SHEETS = {"html": "text/html; charset=utf-8", "pdf": "application/pdf"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A page that is served: its address, and what serves it until it is ended."""

    address: str
    run: Callable[[], None]


def open_page(workspace: Workspace, program: Sequence[str], port: int = 0) -> Opened:
    """Get ready to serve. `program`: how the program itself is started; `port` 0: any that is free. Raises
    InputError where the port is taken."""
    token = new_token()
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((LOOPBACK, port))
        listening.listen()  # whoever opens the address at once waits, and is not refused
    except OSError as problem:
        listening.close()
        raise InputError(
            f"port {port}", [Fault("", f"cannot be used: {reason(problem)}")]
        ) from problem
    port = listening.getsockname()[1]
    app = Guard(_Page(workspace, program).app(), token=token, port=port)
    config = uvicorn.Config(
        app, log_config=None, log_level="critical", access_log=False, server_header=False, ws="none",
        http="h11", timeout_graceful_shutdown=1, lifespan="on", limit_concurrency=64,
    )  # fmt: skip

    def run() -> None:
        uvicorn.Server(config).run(sockets=[listening])

    return Opened(address=f"http://{LOOPBACK}:{port}/{token}/", run=run)


class _Page:
    """The routes, and what they share: the text, the latest answer to it, the pages that listen."""

    def __init__(self, workspace: Workspace, program: Sequence[str]) -> None:
        self._workspace = workspace
        self._running = Running(program)
        self._stream = Stream()
        self._asking = Asking(workspace, self._stream)
        self._static = _static()
        self._tasks: list[asyncio.Task[None]] = []
        self._keeping: asyncio.Task[None] | None = None

    def app(self) -> Starlette:
        """The application behind the guard."""
        post = {
            "edit": self._edit, "text": self._replace, "undo": self._undo, "redo": self._redo,
            "save": self._save, "reload": self._reload, "draft": self._draft, "choose": self._choose,
            "question": self._question, "enough": self._enough,
        }  # fmt: skip
        found = Starlette(
            routes=[
                Route("/", self._file),
                Route("/static/{name}", self._file),
                Route("/events", self._events),
                Route("/text", self._text),
                Route("/sheet/{what}.{kind}", self._sheet),
                *(
                    Route(f"/{name}", self._guarded(do), methods=["POST"])
                    for name, do in post.items()
                ),
            ],
            lifespan=self._life,
        )
        found.router.redirect_slashes = False  # there is one address for each thing
        return found

    @asynccontextmanager
    async def _life(self, _app: Starlette) -> AsyncIterator[None]:
        await self._asking.begin()
        self._tasks = [
            asyncio.create_task(self._look_at_file()), asyncio.create_task(self._read_up()),
        ]  # fmt: skip
        yield
        for task in self._tasks:
            task.cancel()
        self._workspace.keep()
        await self._running.end()
        await self._asking.end()

    # ---- what is read -----------------------------------------------------------------------------

    async def _file(self, request: Request) -> Response:
        name = request.path_params.get("name", "index.html")
        found = self._static.get(name)
        if found is None:
            return Response("nothing here", status_code=404)
        data, kind = found
        return Response(data, media_type=kind)

    async def _text(self, _request: Request) -> Response:
        return JSONResponse({"version": self._workspace.version, "text": self._workspace.text})

    async def _events(self, _request: Request) -> Response:
        if self._stream.full:
            return Response("this page is open too often", status_code=503)
        stream = self._stream.listen(self._asking.state())
        return StreamingResponse(stream, media_type="text/event-stream")

    async def _sheet(self, request: Request) -> Response:
        kind = request.path_params["kind"]
        what = request.path_params["what"]
        if kind not in _SHEETS or not (
            what in SHEETS or (what.isdecimal() and 1 <= int(what) <= 100)
        ):
            return Response("nothing here", status_code=404)
        target, space = f"sheet.{kind}", self._workspace
        ran = await self._running.run(
            "sheet", space.text, space.name,
            lambda file: sheet_line(
                what, file, target, chosen=self._asking.chosen, hold=self._asking.hold
            ), target,
        )  # fmt: skip
        if not ran.written:
            return Response(ran.err or ran.out or "no sheet was made", status_code=409)
        return Response(
            ran.written, media_type=_SHEETS[kind], headers={"content-security-policy": SHEET_POLICY}
        )

    # ---- what is changed --------------------------------------------------------------------------

    def _guarded(self, do: Callable[[dict[str, Any]], Any]) -> Callable[[Request], Any]:
        """A request with a JSON object, answered with the state, or with what is wrong in one line."""

        async def answer(request: Request) -> Response:
            try:
                data = await request.json()
                if not isinstance(data, dict):
                    raise RequestError("expected an object")
                out = await do(data)
            except (StaleError, OutsideChangeError) as problem:
                self._send_state()
                return JSONResponse({"problem": str(problem)}, status_code=409)
            except BankhaulError as problem:
                return JSONResponse({"problem": str(problem)}, status_code=422)
            except (ValueError, RecursionError):
                return JSONResponse({"problem": "expected JSON"}, status_code=400)
            return JSONResponse(out if out is not None else {"version": self._workspace.version})

        return answer

    async def _edit(self, data: dict[str, Any]) -> None:
        space = self._workspace
        raw = space.raw
        if raw is None:
            raise RequestError("the text is no TOML: mend it first")
        gesture = data.get("gesture", "")
        edits = edits_of(data.get("edits"), raw, self._asking.frame)
        space.change(edits, _base(data), gesture if isinstance(gesture, str) else "")
        await self._changed(moving=bool(gesture) and data.get("ends") is not True)

    async def _replace(self, data: dict[str, Any]) -> None:
        text = data.get("text")
        if not isinstance(text, str):
            raise RequestError("expected a text")
        self._workspace.replace(text, _base(data))
        await self._changed()

    async def _undo(self, _data: dict[str, Any]) -> None:
        self._workspace.undo()
        await self._changed()

    async def _redo(self, _data: dict[str, Any]) -> None:
        self._workspace.redo()
        await self._changed()

    async def _save(self, data: dict[str, Any]) -> None:
        self._workspace.save(mine=data.get("mine") is True)
        self._send_state()

    async def _reload(self, _data: dict[str, Any]) -> None:
        self._workspace.reload()
        await self._changed()

    async def _draft(self, data: dict[str, Any]) -> None:
        self._workspace.take_draft(take=data.get("take") is True)
        await self._changed()

    async def _choose(self, data: dict[str, Any]) -> None:
        self._asking.choose(data)
        self._send_state()
        await self._asking.ask()

    async def _question(self, data: dict[str, Any]) -> dict[str, Any]:
        space = self._workspace
        line = command_line(data, "FILE")
        version = space.version
        ran = await self._running.run(
            "question", space.text, space.name,
            lambda file: [file if word == "FILE" else word for word in line],
        )  # fmt: skip
        return {"version": version, "code": ran.code, "out": ran.out, "err": ran.err}

    async def _enough(self, _data: dict[str, Any]) -> dict[str, Any]:
        return {"stopping": self._running.answer_so_far("question")}

    # ---- what follows from it ---------------------------------------------------------------------

    async def _changed(self, *, moving: bool = False) -> None:
        await self._asking.ask(moving=moving)  # first: the other process works beside what follows
        self._send_state()
        if self._keeping is None or self._keeping.done():
            self._keeping = asyncio.create_task(self._keep())

    def _send_state(self) -> None:
        self._stream.send(self._asking.state())

    async def _keep(self) -> None:
        await asyncio.sleep(KEEP_AFTER)
        before = self._workspace.draft_trouble
        self._workspace.keep()
        if self._workspace.draft_trouble != before:
            self._send_state()

    async def _read_up(self) -> None:
        """What the page needs once: the keys of a site file with their meanings, the catalogue of gear."""
        for part, line in _ONCE.items():
            ran = await self._running.run(part, "", "", partial(_always, line))
            with suppress(ValueError):
                self._stream.send_once({"part": part, "data": json.loads(ran.out)})

    async def _look_at_file(self) -> None:
        while True:
            await asyncio.sleep(LOOK_EVERY)
            with suppress(OSError):
                if self._workspace.look():
                    self._send_state()


def _always(line: Sequence[str], _file: str) -> Sequence[str]:
    return line


def _base(data: dict[str, Any]) -> int:
    base = data.get("base")
    if not isinstance(base, int):
        raise RequestError("expected the version that is changed")
    return base


def _static() -> dict[str, tuple[bytes, str]]:
    """The page's own files by name."""
    folder = files("optimiser.telling.page").joinpath("static")
    out = {}
    for entry in folder.iterdir():
        kind = _TYPES.get(entry.name[entry.name.rfind(".") :])
        if kind is not None:
            out[entry.name] = (entry.read_bytes(), kind)
    return out
