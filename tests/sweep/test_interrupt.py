"""An interrupt while cells are worked out in other processes."""

import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

from tests.long import long

SLOW = """
import sys
from optimiser import cli
from optimiser.jobs.sweep import pool
from shared.progress import Progress

if __name__ == "__main__":
    pool.WORTH = -1.0
    Progress.__call__ = lambda self, text: print(text, flush=True)
    sys.exit(cli.main(["sweep", "load.weight=300..1500 kg", "--steps", "200", "--processes", "2"]))
"""


HANGS = 600.0
"""s: beyond it something hangs, however busy the machine is."""


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="needs process groups and /proc")
@long
def test_interrupted_it_reports_it_and_leaves_no_process_behind(tmp_path: Path) -> None:
    """The whole group is interrupted, as a terminal does it: exit 130, one word, nobody left."""
    script = tmp_path / "long_sweep.py"
    script.write_text(SLOW, encoding="utf-8")
    with subprocess.Popen(
        [sys.executable, script],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        env={**os.environ, "PYTHONPATH": os.getcwd()},
    ) as running:
        assert running.stdout is not None
        assert running.stdout.readline() == "sweep: 1 of 200 cells\n"
        os.killpg(running.pid, signal.SIGINT)
        _, found = running.communicate(timeout=HANGS)

    assert running.returncode == 130
    assert found.strip().endswith("stopped")
    assert "Traceback" not in found
    # The bookkeeper of shared memory ends by itself, after the others.
    until = time.monotonic() + HANGS
    while living(running.pid) and time.monotonic() < until:
        time.sleep(0.1)
    assert not living(running.pid)


def living(group: int) -> list[str]:
    """Processes of a group that still run (those that have ended but were not collected do not)."""
    out = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            name, _, rest = stat.read_text().rpartition(")")
            state, _, its_group, *_ = rest.split()
            if int(its_group) == group and state != "Z":
                out.append(name)
    return out
