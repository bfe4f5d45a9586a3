"""Runs measurements in processes of their own, and keeps the best of some repeats."""

import json
import os
import resource
import subprocess
import sys
import time
from dataclasses import dataclass
from typing import Any

ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
HEAVY = ("numpy", "pydantic", "pint", "ortools", "networkx", "matplotlib")


def measured(what: str, name: str = "", repeats: int = 1) -> dict[str, Any]:
    """What `tests.benchmark.one` says, of the repeat that took the processor least."""
    command = [sys.executable, "-m", "tests.benchmark.one", what, name]
    runs = [
        json.loads(subprocess.check_output(command, env={**os.environ, **ONE_THREAD}))
        for _ in range(repeats)
    ]
    return min(runs, key=lambda run: float(run["process"]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A whole command: s on the wall and of the processor (best of repeats), and what it imports."""

    wall: float
    processor: float
    imported: tuple[str, ...]


def imports_only(*arguments: str, repeats: int = 5) -> float:
    """s of the processor for a bare interpreter that imports what `bankhaul ARGUMENTS` imports of
    other libraries, and nothing else."""
    from tests.benchmark.one import OWN

    code = (
        "import sys; from optimiser.cli import main; main(sys.argv[1:]);"
        f"print('\\n', *(m for m in sys.modules if m.partition('.')[0] not in {OWN!r}))"
    )
    told = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=False
    )
    modules = told.stdout.splitlines()[-1]
    return float(measured("imports", modules, repeats=repeats)["process"])


def started(*arguments: str, repeats: int = 5) -> Start:
    """`bankhaul ARGUMENTS`; with no argument a bare interpreter that does nothing."""
    command = [sys.executable, *(("-m", "optimiser", *arguments) if arguments else ("-c", "pass"))]
    wall, processor = [], []
    for _ in range(repeats):
        before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        subprocess.run(command, capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        wall.append(time.perf_counter() - began)
        processor.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return Start(wall=min(wall), processor=min(processor), imported=_imported(arguments))


def _imported(arguments: tuple[str, ...]) -> tuple[str, ...]:
    code = (
        "import sys; from optimiser.cli import main; main(sys.argv[1:]);"
        f"print('\\n' + ' '.join(m for m in {HEAVY!r} if m in sys.modules))"
    )
    if not arguments:
        return ()
    told = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=False
    )
    return tuple(told.stdout.splitlines()[-1].split())
