"""A plugin of pytest that notes which lines of the program each test runs, and how long it takes.

`pytest -p tests.mutation.machine.touched` with the environment's TOUCHED naming a file: there the lines are
kept, by test; in the file of that name with `.jsonl` behind it is one line for each test, its name and s of
processor.
"""

import json
import os
import time
from collections.abc import Generator
from pathlib import Path

import coverage
import pytest

ROOT = Path(__file__).parents[3]
PARTS = ("optimiser", "catalogue", "shared")


class Watched:
    """Watches from the first test to the last."""

    def __init__(self, notes: Path) -> None:
        self.times = notes.with_name(f"{notes.name}.jsonl")
        self.lines = coverage.Coverage(
            data_file=str(notes),
            source=[str(ROOT / part) for part in PARTS],
            config_file=False,
            messages=False,
        )
        self.lines.start()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        """Of one test, its fixtures included."""
        self.lines.switch_context(item.nodeid)
        began = time.process_time()
        try:
            result = yield
        finally:
            took = time.process_time() - began
            self.lines.switch_context("")
        with self.times.open("a", encoding="utf-8") as file:
            file.write(json.dumps([item.nodeid, round(took, 3)]) + "\n")
        return result

    def pytest_sessionfinish(self) -> None:
        """Keep it."""
        self.lines.stop()
        self.lines.save()


def pytest_configure(config: pytest.Config) -> None:
    """Begin."""
    config.pluginmanager.register(Watched(Path(os.environ["TOUCHED"])))
