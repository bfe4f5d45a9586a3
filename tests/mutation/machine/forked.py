"""Runs tests in a fork of this process that may be spoiled, and says which of them failed first."""

import json
import os
import resource
import signal
import tempfile
import time
import traceback
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from typing import TextIO

import pytest

BROKEN = 99
"""Exit code where what was run did not come to its end by itself."""
UNABLE = 98
"""Exit code where the fault could not be put into the process."""
_OF_THE_CLOCK = 8.0
"""s of the clock for each s of processor, after which a fork counts as without an end too: it may sleep."""
_EVERY = 0.02
"""s between two looks at a fork: far less than the quickest fault takes."""

WORDS = (
    "-W", "ignore::pytest.PytestAssertRewriteWarning", "-x", "-q", "--tb=line", "--capture=sys",
    "-p", "no:cacheprovider", "-p", "no:xdist",
)  # fmt: skip


@dataclass(frozen=True)
class Ended:
    """How a fork ended. `code`: its exit code, None where time was up; `by`: the first test, or file of
    tests, that failed, "" where none did; `how`: the first line of the error that it failed with."""

    code: int | None
    by: str = ""
    how: str = ""

    def line_of_json(self) -> str:
        """As it is sent."""
        return json.dumps(asdict(self))


class Chosen:
    """A plugin of pytest that runs some of the collected tests until one fails, and notes which."""

    def __init__(self, tests: Sequence[str], notes: TextIO) -> None:
        self.tests, self.notes = tests, notes
        self._noted = False

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool | None:
        """Run them in their order. Where files could not be loaded, pytest's own loop says so."""
        if session.testsfailed:
            return None
        found = {item.nodeid: item for item in session.items}
        items = [found[name] for name in self.tests if name in found]
        for item, after in zip(items, [*items[1:], None], strict=True):
            session.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            if session.shouldfail:
                break
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Of one test."""
        self._note(report)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """Of one file."""
        self._note(report)

    def _note(self, report: pytest.TestReport | pytest.CollectReport) -> None:
        if report.failed and not self._noted:
            self._noted = True
            crash = getattr(report.longrepr, "reprcrash", None)
            lines = (crash.message if crash else str(report.longrepr)).splitlines() or [""]
            json.dump([report.nodeid, lines[0][:120]], self.notes)
            self.notes.flush()


def in_a_fork(run: Callable[[Chosen], int], tests: Sequence[str], seconds: float) -> Ended:
    """Run tests in a fork for at most `seconds` of processor time."""
    with tempfile.TemporaryFile(mode="w+") as notes, tempfile.TemporaryFile(mode="w+") as printed:
        child = os.fork()
        if child == 0:
            code = BROKEN
            try:
                os.setsid()
                resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds) + 5))
                os.dup2(printed.fileno(), 1)
                os.dup2(printed.fileno(), 2)
                code = run(Chosen(tests, notes))
            except BaseException:
                os.write(2, traceback.format_exc().encode())
            finally:
                os._exit(code)
        code_or_none = _waited(child, seconds * _OF_THE_CLOCK)
        notes.seek(0)
        written = notes.read()
        if written:
            return Ended(code_or_none, *json.loads(written))
        printed.seek(0)
        return Ended(code_or_none, how=printed.read()[-2000:] if code_or_none else "")


def _waited(child: int, seconds: float) -> int | None:
    """The exit code of a fork, None where it took too long."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            code = os.waitstatus_to_exitcode(status)
            return None if code in (-signal.SIGXCPU, -signal.SIGKILL) else code
        time.sleep(_EVERY)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return None
