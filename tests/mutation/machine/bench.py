"""A copy of the program in which the machine's faults are put, one at a time, and what notices them."""

import compileall
import json
import os
import subprocess
import sys
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from py_compile import PycInvalidationMode
from types import TracebackType

from tests.mutation.bench import copied
from tests.mutation.machine.choice import Choice
from tests.mutation.machine.edits import Edit
from tests.mutation.machine.forked import UNABLE, Ended

WORK, PATIENCE = 12.0, 150.0
"""s of processor: what the tests of a fault may take together, and when it counts as without an end."""


@dataclass(frozen=True)
class Verdict:
    """What became of a fault, which begins at byte `start` of its file. `by`: the test that noticed it, ""
    where none did; `how`: the error that it failed with; `tests`: how many ran; `took`: s of
    the clock."""

    area: str
    file: str
    line: int
    start: int
    kind: str
    what: str
    by: str
    how: str
    tests: int
    took: float

    @property
    def caught(self) -> bool:
        """Whether any test noticed it."""
        return bool(self.by)

    def line_of_json(self) -> str:
        """As it is kept."""
        return json.dumps(asdict(self))


class Server:
    """A process that runs tests in the copy: `cold` loads the program for each run, `warm` has loaded it."""

    def __init__(self, which: str, folder: Path) -> None:
        environment = {
            **os.environ,
            "PYTHONPATH": str(folder),
            "PYTHONDONTWRITEBYTECODE": "1",
            "HYPOTHESIS_PROFILE": "ci",
        }
        self._process = subprocess.Popen(
            [sys.executable, "-m", f"tests.mutation.machine.{which}"],
            cwd=folder,
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def ask(self, *words: object) -> Ended:
        """Send a line, wait for the answer."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps(words) + "\n")
        self._process.stdin.flush()
        line = self._process.stdout.readline()
        if not line:
            raise RuntimeError(
                "a server of tests has ended: perhaps a file of tests cannot be loaded"
            )
        return Ended(**json.loads(line))

    def end(self) -> None:
        """Let it end."""
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._process.wait()


class Machine:
    """The copy, and the servers of tests in it."""

    def __init__(self, folder: Path, choice: Choice) -> None:
        self.folder, self.choice = folder.resolve(), choice
        copied(self.folder)
        for part in ("optimiser", "catalogue", "shared"):
            compileall.compile_dir(
                self.folder / part, quiet=2, invalidation_mode=PycInvalidationMode.CHECKED_HASH
            )
        self._cold, self._warm = (Server(which, self.folder) for which in ("cold", "warm"))
        files = {test.name.split("::")[0] for test in choice.all}
        self._warm.ask(*sorted(files))
        self._sound: dict[str, bool] = {}

    def __enter__(self) -> "Machine":
        return self

    def __exit__(
        self,
        _kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        self._cold.end()
        self._warm.end()

    def judge(self, area: str, edit: Edit) -> Verdict:
        """Put a fault in, run the tests of the function it stands in, mend it. A test that fails without
        the fault too is left out from then on."""
        began = time.monotonic()
        while True:
            by, how, ran = self._noticed(edit)
            if self._passes_without(by):
                took = round(time.monotonic() - began, 1)
                where = (area, edit.file, edit.line, edit.start, edit.kind, edit.what)
                return Verdict(*where, by, how, ran, took)
            self.choice.leave_out(by)

    def _noticed(self, edit: Edit) -> tuple[str, str, int]:
        path = self.folder / edit.file
        sound = path.read_text(encoding="utf-8")
        tests = self.choice.tests(edit, WORK)
        if not tests:
            return "", "", 0
        path.write_text(edit.applied(sound), encoding="utf-8")
        try:
            ended = self._warmly(tests, edit, as_if_new=True)
            if ended.code == UNABLE:
                ended = self._loaded_anew(edit, tests)
        finally:
            path.write_text(sound, encoding="utf-8")
        by, how = _reported(ended)
        return by, how, len(ended.took)

    def _warmly(self, tests: list[str], edit: Edit, *, as_if_new: bool) -> Ended:
        where = (edit.file, edit.function, as_if_new)
        ended = self._warm.ask(tests, WORK, PATIENCE, *where)
        if ended.code == 0:  # others may have been slowed down by the fault
            self.choice.learn(ended.took)
        return ended

    def _loaded_anew(self, edit: Edit, tests: list[str]) -> Ended:
        """Run tests where the change may come too late for what is loaded. Which test is likely to notice it
        is seen there all the same; then that one runs with everything loaded anew."""
        likely = self._warmly(tests, edit, as_if_new=False).by
        if "::" in likely:
            ended = self._cold.ask([likely], WORK, PATIENCE)
            if ended.code != 0:
                return ended
        return self._cold.ask(self.choice.of_few_files(edit, tests), WORK, PATIENCE)

    def _passes_without(self, test: str) -> bool:
        """Whether a test, or file of tests, passes where no fault is in; true of what is no test."""
        if "::" not in test:
            return True
        if test not in self._sound:
            ended = self._warm.ask([test], WORK, PATIENCE, "", 0, True)
            self._sound[test] = ended.code == 0
        return self._sound[test]


def _reported(ended: Ended) -> tuple[str, str]:
    """Who noticed it, and how."""
    match ended:
        case Ended(by=by, how=how) if by:
            return by, how
        case Ended(code=None):
            return f"no end after {PATIENCE:.0f} s of processor", "time"
        case Ended(code=0):
            return "", ""
        case Ended(code=code) if code is not None and code < 0:
            return f"the process ended with {code}", "crash"
        case Ended(how=how):
            return "loading the program", (how.strip().splitlines() or [""])[-1][:120]
