"""The page as somebody opens it: the program in a process of its own, spoken with over HTTP."""

import http.client
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

PATIENCE = 60.0
"""s: on a busy machine everything takes longer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def data(self) -> Any:
        return json.loads(self.body)


@dataclass(frozen=True)
class Opened:
    """A page that is served."""

    address: str
    process: "subprocess.Popen[str]"
    first_line_after: float  # s

    @property
    def port(self) -> int:
        port = urlsplit(self.address).port
        assert port is not None
        return port

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def way(self) -> str:
        """The path with the token."""
        return urlsplit(self.address).path

    def send(
        self,
        method: str,
        path: str,
        body: bytes | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> Reply:
        """One request, with these headers and no others but its length; `path` from the root."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        given = dict(headers or {})
        line.putrequest(method, path, skip_host="Host" in given, skip_accept_encoding=True)
        if body is not None and "Content-Length" not in given:
            given["Content-Length"] = str(len(body))
        for name, value in given.items():
            line.putheader(name, value)
        line.endheaders(body)
        got = line.getresponse()
        out = Reply(
            status=got.status, headers={k.lower(): v for k, v in got.getheaders()}, body=got.read()
        )
        line.close()
        return out

    def get(self, name: str = "") -> Reply:
        return self.send("GET", self.way + name)

    def post(self, name: str, data: object) -> Reply:
        """A request as the page itself sends it."""
        headers = {"Origin": self.origin, "Content-Type": "application/json"}
        return self.send("POST", self.way + name, json.dumps(data).encode(), headers)

    def events(self) -> Iterator[dict[str, Any]]:
        """The parts that the stream of events has, one after the other."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        line.request("GET", f"{self.way}events")
        got = line.getresponse()
        try:
            while row := got.readline():
                if row.startswith(b"data: "):
                    yield json.loads(row[6:])
        finally:
            line.close()

    def parts(self, *wanted: str, version: int = 0) -> dict[str, Any]:
        """What the stream of events has until every wanted part of at least that version has come."""
        out, until = dict[str, Any](), time.monotonic() + PATIENCE
        for part in self.events():
            if part.get("version", version) >= version:
                out[part["part"]] = part
            if all(name in out for name in wanted):
                break
            assert time.monotonic() < until, f"only {sorted(out)} came"
        return out


@contextmanager
def opened(*arguments: str, folder: Path | None = None) -> Iterator[Opened]:
    """The page of `bankhaul page --no-browser ARGUMENTS`, until it is left."""
    began = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, "-m", "optimiser", "page", "--no-browser", *arguments],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=folder, env=_environment(),
    )  # fmt: skip
    assert process.stdout is not None
    address = process.stdout.readline().strip()
    after = time.monotonic() - began
    try:
        if not address:
            assert process.stderr is not None
            raise AssertionError(process.stderr.read())
        yield Opened(address, process, after)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGTERM)
        process.communicate(timeout=PATIENCE)


def _environment() -> dict[str, str]:
    root = str(Path(__file__).parents[2])
    return {**os.environ, "PYTHONPATH": root}
