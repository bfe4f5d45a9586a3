"""A copy of the program in which the machine's faults are put, one at a time, and what notices them."""

import compileall
import json
import os
import re
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
from tests.mutation.machine.server import BROKEN

STAGES = ((5.0, 90.0), (20.0, 200.0))
"""s of work of the tests of a stage, and s of the clock after which it counts as without an end."""
_FAILED = re.compile(r"^(?:FAILED|ERROR) (\S+)", re.M)
_ERROR = re.compile(
    r"^(?:E\s+|.*?:\d+: )(assert\b|[\w.]*(?:Error|Exception|Failed|Interrupt)\w*)", re.M
)


@dataclass(frozen=True)
class Verdict:
    """What became of a fault. `by`: the test that noticed it, "" where none did; `how`: the kind of
    error that it failed with; `tests`: how many were run at most."""

    area: str
    file: str
    line: int
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


class Machine:
    """The copy, and the server of tests in it."""

    def __init__(self, folder: Path, choice: Choice) -> None:
        self.folder, self.choice = folder, choice
        copied(folder)
        for part in ("optimiser", "catalogue", "shared"):
            compileall.compile_dir(
                folder / part, quiet=2, invalidation_mode=PycInvalidationMode.CHECKED_HASH
            )
        environment = {
            **os.environ,
            "PYTHONPATH": str(folder),
            "PYTHONDONTWRITEBYTECODE": "1",
            "HYPOTHESIS_PROFILE": "ci",
        }
        self._server = subprocess.Popen(
            [sys.executable, "-m", "tests.mutation.machine.server"],
            cwd=folder,
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def __enter__(self) -> "Machine":
        return self

    def __exit__(
        self,
        _kind: type[BaseException] | None,
        _error: BaseException | None,
        _trace: TracebackType | None,
    ) -> None:
        assert self._server.stdin is not None
        self._server.stdin.close()
        self._server.wait()

    def run(self, tests: list[str], seconds: float) -> tuple[int | None, str]:
        """Run tests in the copy as it stands."""
        assert self._server.stdin is not None
        assert self._server.stdout is not None
        self._server.stdin.write(json.dumps([tests, seconds]) + "\n")
        self._server.stdin.flush()
        code, printed = json.loads(self._server.stdout.readline())
        if code == BROKEN:
            raise RuntimeError(f"the tests did not come to their end:\n{printed}")
        return code, printed

    def judge(self, area: str, edit: Edit) -> Verdict:
        """Put a fault in, run the tests of the function it stands in, mend it."""
        path = self.folder / edit.file
        sound = path.read_text(encoding="utf-8")
        began, by, how, ran = time.monotonic(), "", "", 0
        path.write_text(edit.applied(sound), encoding="utf-8")
        try:
            before: list[str] = []
            for work, patience in STAGES:
                chosen = self.choice.tests(edit, work)
                tests = [name for name in chosen if name not in before]
                before += tests
                ran += len(tests)
                by, how = self._noticed(tests, patience) if tests else ("", "")
                if by:
                    break
        finally:
            path.write_text(sound, encoding="utf-8")
        took = round(time.monotonic() - began, 1)
        return Verdict(area, edit.file, edit.line, edit.kind, edit.what, by, how, ran, took)

    def _noticed(self, tests: list[str], patience: float) -> tuple[str, str]:
        code, printed = self.run(tests, patience)
        if code is None:
            return f"no end after {patience:.0f} s", "time"
        if code == 0:
            return "", ""
        failed, error = _FAILED.search(printed), _ERROR.search(printed)
        if not failed and code not in (1, 2, 3, 4):
            return f"the process ended with {code}", "crash"
        return (failed[1] if failed else "loading the tests"), (error[1] if error else "?")
