"""A plugin of pytest that notes which functions of the program each test enters, and how long it takes.

`pytest -p tests.mutation.machine.touched` with the environment's TOUCHED naming a file: one line of JSON
for each test that passed. A function is named by its file and the line of its `def`.
"""

import json
import os
import sys
import time
from collections.abc import Generator
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

ROOT = str(Path(__file__).parents[3])
PARTS = tuple(os.path.join(ROOT, part, "") for part in ("optimiser", "catalogue", "shared"))
_entered: set[CodeType] = set()


def _note(frame: FrameType, event: str, _arg: Any) -> None:
    """A tracer that looks at calls only: with no tracer of lines a test takes about twice as long."""
    if event == "call":
        _entered.add(frame.f_code)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Write down what a test entered, its fixtures included."""
    _entered.clear()
    began = time.process_time()
    before = sys.gettrace()
    sys.settrace(_note)
    try:
        result = yield
    finally:
        sys.settrace(before)
    took = time.process_time() - began
    found = sorted(
        f"{code.co_filename[len(ROOT) + 1 :]}:{code.co_firstlineno}"
        for code in _entered
        if code.co_filename.startswith(PARTS)
    )
    with open(os.environ["TOUCHED"], "a", encoding="utf-8") as file:
        file.write(json.dumps([item.nodeid, round(took, 3), found]) + "\n")
    return result
