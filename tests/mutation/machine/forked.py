"""Runs tests in a fork of this process that may be spoiled, and says which of them failed first."""

import json
import os
import resource
import signal
import tempfile
import time
import traceback
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
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
    tests, that failed, "" where none did; `how`: the first line of the error that it failed with; `took`: s
    of processor of each test that ran."""

    code: int | None
    by: str = ""
    how: str = ""
    took: Mapping[str, float] = field(default_factory=dict)

    def line_of_json(self) -> str:
        """As it is sent."""
        return json.dumps(asdict(self))


class Chosen:
    """A plugin of pytest that runs some of the collected tests until one fails or `work` s of processor are
    spent, and notes which failed and how long each took."""

    def __init__(self, tests: Sequence[str], work: float, notes: TextIO) -> None:
        self.tests, self.work, self.notes = tests, work, notes

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool | None:
        """Run them in their order. Where files could not be loaded, pytest's own loop says so."""
        if session.testsfailed:
            return None
        found = {item.nodeid: item for item in session.items}
        items = [found[name] for name in self.tests if name in found]
        first = time.process_time()
        for item, after in zip(items, [*items[1:], None], strict=True):
            began = time.process_time()
            session.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            ended = time.process_time()
            self._write(item.nodeid, round(ended - began, 3))
            if session.shouldfail or ended - first > self.work:
                break
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Of one test."""
        self._note(report)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """Of one file."""
        self._note(report)

    def _note(self, report: pytest.TestReport | pytest.CollectReport) -> None:
        if report.failed:
            crash = getattr(report.longrepr, "reprcrash", None)
            lines = (crash.message if crash else str(report.longrepr)).splitlines() or [""]
            self._write(report.nodeid, lines[0][:120])

    def _write(self, name: str, stated: float | str) -> None:
        self.notes.write(json.dumps([name, stated]) + "\n")
        self.notes.flush()


def in_a_fork(
    run: Callable[[Chosen], int], tests: Sequence[str], work: float, patience: float
) -> Ended:
    """Run tests in a fork for some `work` s of processor; after `patience` s it counts as without an end."""
    with tempfile.TemporaryFile(mode="w+") as notes, tempfile.TemporaryFile(mode="w+") as printed:
        child = os.fork()
        if child == 0:
            code = BROKEN
            try:
                os.setsid()
                resource.setrlimit(resource.RLIMIT_CPU, (int(patience), int(patience) + 5))
                os.dup2(printed.fileno(), 1)
                os.dup2(printed.fileno(), 2)
                code = run(Chosen(tests, work, notes))
            except BaseException:
                os.write(2, traceback.format_exc().encode())
            finally:
                os._exit(code)
        code_or_none = _waited(child, patience * _OF_THE_CLOCK)
        notes.seek(0)
        written = [json.loads(line) for line in notes]
        took = {name: stated for name, stated in written if isinstance(stated, float)}
        for name, stated in written:
            if isinstance(stated, str):
                return Ended(code_or_none, name, stated, took)
        printed.seek(0)
        return Ended(code_or_none, how=printed.read()[-2000:] if code_or_none else "", took=took)


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
