"""Runs chosen tests again and again, each time in a fresh fork of a process that has the libraries loaded.

Started in a copy of the program. Reads lines of JSON, [list of tests, seconds]; answers each with a line
of JSON, [exit code (None where time was up), what the run printed].
"""

import json
import os
import signal
import sys
import tempfile
import time
import traceback

# Libraries only: nothing of the program may be loaded before a fault is in it.
import click
import hypothesis
import networkx
import numpy
import pint
import pydantic
import pytest
import scipy.optimize
import tomlkit
from ortools.sat.python import cp_model

LOADED = (
    click,
    hypothesis,
    networkx,
    numpy,
    pint,
    pydantic,
    pytest,
    scipy.optimize,
    tomlkit,
    cp_model,
)
BROKEN = 99
"""Exit code where pytest itself did not come to its end."""
WORDS = (
    "-W", "ignore::pytest.PytestAssertRewriteWarning", "-x", "-q", "--tb=line",
    "-p", "no:cacheprovider", "-p", "no:xdist",
)  # fmt: skip


def once(tests: list[str], seconds: float) -> tuple[int | None, str]:
    """Run tests until one fails or time is up."""
    with tempfile.TemporaryFile(mode="w+") as printed:
        child = os.fork()
        if child == 0:
            os.setsid()
            os.dup2(printed.fileno(), 1)
            os.dup2(printed.fileno(), 2)
            ended = BROKEN
            try:
                ended = int(pytest.main([*WORDS, *tests]))
            except BaseException:
                traceback.print_exc()
            finally:
                sys.stdout.flush()
                sys.stderr.flush()
                os._exit(ended)
        code = _waited(child, seconds)
        printed.seek(0)
        return code, printed.read()[-6000:]


def _waited(child: int, seconds: float) -> int | None:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return None


def main() -> None:
    """Answer until standard input ends."""
    assert not any(name.split(".")[0] in ("optimiser", "catalogue") for name in sys.modules)
    for line in sys.stdin:
        tests, seconds = json.loads(line)
        print(json.dumps(once(tests, seconds)), flush=True)


if __name__ == "__main__":
    main()
