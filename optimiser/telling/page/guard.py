"""Lets only the page itself in: by the token in its address, and by where a request comes from.

The server listens on the loopback address, which every program and every page in a browser on this machine
can reach. A page of another origin does not know the token; should it, the browser says where it comes from.
"""

import hmac
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

LARGEST_BODY = 2_000_000
"""Bytes of a request: twice the largest site file, as text in JSON."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
SHEET_POLICY = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"
"""Of a sheet, which is one document with its own style and no script."""

HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",  # the address has the token
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cache-control": "no-store",
}


def new_token() -> str:
    """The part of the address that nobody can guess."""
    return secrets.token_urlsafe(24)


class Guard:
    """Hands a request on to `app`, with the token taken off its path, if it comes from the page."""

    def __init__(self, app: App, *, token: str, port: int) -> None:
        self._app = app
        self._prefix = f"/{token}"
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self._origins = {f"http://{host}" for host in self._hosts}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        refused = self._refusal(scope)
        if refused is not None:
            await _refuse(send, *refused)
            return
        scope["path"] = scope["path"].removeprefix(self._prefix)
        scope["raw_path"] = scope["path"].encode("utf-8", "replace")

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = {name for name, _ in message["headers"]}
                more = HEADERS | {"content-security-policy": POLICY}
                message["headers"] = [
                    *message["headers"],
                    *((k.encode(), v.encode()) for k, v in more.items() if k.encode() not in given),
                ]
            await send(message)

        await self._app(scope, receive, with_headers)

    def _refusal(self, scope: Scope) -> tuple[int, str] | None:
        """Status and words for a request that does not come from the page."""
        headers: dict[str, list[str]] = {}
        for name, value in scope["headers"]:
            headers.setdefault(name.decode("latin-1").lower(), []).append(value.decode("latin-1"))
        reads = scope["method"] in ("GET", "HEAD")
        if headers.get("host", []) not in [[host] for host in self._hosts]:
            return 421, "this program answers under its own address only"
        path = str(scope["path"])
        begins = path[: len(self._prefix)]
        if not hmac.compare_digest(begins.encode(), self._prefix.encode()):
            return 404, "nothing here"
        if path[len(self._prefix) :][:1] != "/":
            return 404, "nothing here"
        origins = headers.get("origin", [])
        if any(origin not in self._origins for origin in origins) or (not reads and not origins):
            return 403, "only the page itself may ask for this"
        sites = headers.get("sec-fetch-site", [])
        if any(site not in ("same-origin", "none") for site in sites):
            return 403, "only the page itself may ask for this"
        if (
            not reads
            and headers.get("content-type", [""])[0].partition(";")[0] != "application/json"
        ):
            return 415, "expected JSON"
        length = headers.get("content-length", ["0" if reads else ""])[0]
        if not length.isdecimal():
            return 411, "expected a length"
        if int(length) > LARGEST_BODY or (reads and int(length)):
            return 413, "too large"
        return None


async def _refuse(send: Send, status: int, text: str) -> None:
    headers = [*HEADERS.items(), ("content-type", "text/plain; charset=utf-8")]
    headers.append(("content-security-policy", "default-src 'none'; frame-ancestors 'none'"))
    await send(
        {
            "type": "http.response.start",
            "status": status,
            "headers": [(name.encode(), value.encode()) for name, value in headers],
        }
    )
    await send({"type": "http.response.body", "body": text.encode()})
