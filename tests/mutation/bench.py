"""A copy of the program in which one file at a time is spoiled, and the tests that run on it."""

import os
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.faults import ROOT, Fault
from tests.mutation.suites import SUITES

PARTS = (
    "optimiser", "catalogue", "shared", "tests", "examples", "pyproject.toml", "README.md", "DEVELOPERS.md",
)  # fmt: skip
PATIENCE = 420.0
"""s for one stage of tests; a fault that makes them take longer is noticed too."""
NONE_THERE = 5
"""Exit code of pytest where every test is left out."""
NOT_FOUND = "ERROR: not found"
"""How pytest begins to say that there is no such test."""
_WHERE = "import optimiser, tests.generated as t; print(optimiser.__file__); print(t.__file__)"


def copied(folder: Path) -> None:
    """Copy the program and its tests into a folder."""
    for part in PARTS:
        source = ROOT / part
        if source.is_dir():
            ignored = shutil.ignore_patterns("__pycache__")
            shutil.copytree(source, folder / part, ignore=ignored)
        else:
            shutil.copy(source, folder / part)


@dataclass(frozen=True)
class Result:
    """What became of a fault. `by`: the test that noticed it, "" where none did."""

    fault: Fault
    by: str
    took: float

    @property
    def caught(self) -> bool:
        return bool(self.by)


class Bench:
    """A copy of the program in a folder of its own. `short`: tests marked long are left out, and properties
    are tried as often as on the desk."""

    def __init__(self, folder: Path, *, short: bool = False) -> None:
        self.folder, self.short = folder, short
        copied(folder)
        found = self._run(("-c", _WHERE)).stdout.splitlines()
        if not (len(found) == 2 and all(Path(line).is_relative_to(folder) for line in found)):
            raise RuntimeError(f"the copy in {folder} does not run its own program: {found}")

    def _run(self, words: tuple[str, ...]) -> "subprocess.CompletedProcess[str]":
        environment = {
            **os.environ,
            "PYTHONPATH": str(self.folder),
            "PYTHONDONTWRITEBYTECODE": "1",
            "HYPOTHESIS_PROFILE": "dev" if self.short else "ci",
        }
        return subprocess.run(
            [sys.executable, *words],
            cwd=self.folder,
            env=environment,
            capture_output=True,
            text=True,
            timeout=PATIENCE,
            check=False,
        )

    def tested(self, stage: tuple[str, ...]) -> str:
        """The first test of a stage that fails, "" where all pass."""
        marked = ("-m", "not long") if self.short else ()
        words = ("-m", "pytest", "-x", "-q", "--tb=no", "-p", "no:cacheprovider", *marked, *stage)
        try:
            done = self._run(words)
        except subprocess.TimeoutExpired:
            return f"no end after {PATIENCE:.0f} s: {stage[0]}"
        if done.returncode == 0 or (self.short and done.returncode == NONE_THERE):
            return ""
        lines = (done.stdout + done.stderr).splitlines()
        found = [line for line in lines if line.startswith(("FAILED", "ERROR"))]
        if not found or found[0].startswith(NOT_FOUND):
            raise RuntimeError(f"pytest ended with {done.returncode}:\n{done.stdout}{done.stderr}")
        return found[0].split(" - ")[0].split(" ", 1)[1]

    def judge(self, fault: Fault) -> Result:
        """Spoil the copy, run its tests until one fails, and mend it again."""
        path = self.folder / fault.file
        sound = path.read_text(encoding="utf-8")
        began = time.perf_counter()
        path.write_text(fault.applied(self.folder), encoding="utf-8")
        try:
            by = next(filter(None, map(self.tested, SUITES[fault.suite])), "")
        finally:
            path.write_text(sound, encoding="utf-8")
        return Result(fault, by, time.perf_counter() - began)

    def sound(self, suite: str) -> str:
        """The first test of a suite that fails on the unspoiled program: then it proves nothing."""
        return next(filter(None, map(self.tested, SUITES[suite])), "")
