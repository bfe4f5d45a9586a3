"""Runs measurements in processes of their own, and keeps the best of some repeats."""

import compileall
import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"), "1")
HEAVY = ("numpy", "pydantic", "pint", "ortools", "networkx", "matplotlib")


def compiled() -> None:
    """Compile the program's modules, as they are once it is installed."""
    for package in ("optimiser", "catalogue", "shared", "tests"):
        compileall.compile_dir(ROOT / package, quiet=2)


def environment() -> dict[str, str]:
    """One thread, and compiled modules are used whatever the shell says."""
    kept = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, **ONE_THREAD}


def measured(what: str, name: str = "", repeats: int = 1) -> dict[str, Any]:
    """What `tests.benchmark.one` says, of the repeat that took the processor least."""
    command = [sys.executable, "-m", "tests.benchmark.one", what, name]
    runs = [json.loads(subprocess.check_output(command, env=environment())) for _ in range(repeats)]
    return min(runs, key=lambda run: float(run["process"]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Start:
    """A whole command: s on the wall and of the processor, best of the repeats."""

    wall: float
    processor: float


def started(*arguments: str, repeats: int = 5) -> Start:
    """`bankhaul ARGUMENTS`; with no argument a bare interpreter that does nothing."""
    return _in_turn([_command(arguments)], repeats)[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A whole command beside a bare interpreter that imports the same of other libraries and ends: each
    library by its name, as anyone would, or only the modules of them that the command ended up with."""

    whole: Start
    libraries: tuple[str, ...]
    by_name: float
    every_module: float


def compared(*arguments: str, repeats: int = 5) -> Compared:
    """`bankhaul ARGUMENTS` and its imports, in turn, so that what else the machine does meets all."""
    from tests.benchmark.one import LIBRARIES

    modules = loaded(*arguments)
    used = tuple(name for name, module in LIBRARIES.items() if module in modules)
    bare = ("-c", f"import {', '.join(used)}")
    whole, by_name, every = _in_turn([_command(arguments), bare, ("-c", _EVERY, *modules)], repeats)
    return Compared(
        whole=whole, libraries=used, by_name=by_name.processor, every_module=every.processor
    )


_EVERY = """
import sys
for name in sys.argv[1:]:
    try:
        __import__(name)
    except ImportError:
        pass  # some are made by what imports them
"""


def loaded(*arguments: str) -> tuple[str, ...]:
    """Every module of other libraries that `bankhaul ARGUMENTS` ends up with."""
    from tests.benchmark.one import OWN

    code = (
        "import sys; from optimiser.cli import main; main(sys.argv[1:]);"
        f"print('\\n' + ' '.join(m for m in sys.modules if m.partition('.')[0] not in {OWN!r}))"
    )
    found = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True, text=True, check=False, env=environment(),
    )  # fmt: skip
    return tuple(found.stdout.splitlines()[-1].split())


def _command(arguments: tuple[str, ...]) -> tuple[str, ...]:
    return ("-m", "optimiser", *arguments) if arguments else ("-c", "pass")


def _in_turn(commands: Sequence[tuple[str, ...]], rounds: int) -> list[Start]:
    """The interpreter with each of these words, from its start to its end."""
    runs: list[list[tuple[float, float]]] = [[] for _ in commands]
    for _ in range(rounds):
        for words, found in zip(commands, runs, strict=True):
            before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
            subprocess.run(
                [sys.executable, *words], capture_output=True, check=False, env=environment()
            )
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
            found.append((time.perf_counter() - began, used))
    return [
        Start(wall=min(wall for wall, _ in found), processor=min(used for _, used in found))
        for found in runs
    ]
