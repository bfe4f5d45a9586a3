"""Runs chosen tests in forks of a process that has the libraries loaded and nothing of the program.

Started in a copy of the program. Reads lines of JSON, [list of tests, s of work, s of patience, ...]; answers
each with a line of JSON (`forked.Ended`). A fault has to be in the files of the copy: each fork loads program
and tests.
"""

import json
import sys

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

from tests.mutation.machine.forked import WORDS, Chosen, in_a_fork

LOADED = (click, hypothesis, networkx, numpy, pint, pydantic, scipy.optimize, tomlkit, cp_model)


def _run(chosen: Chosen) -> int:
    files = dict.fromkeys(name.split("::")[0] for name in chosen.tests)
    return int(pytest.main([*WORDS, *files], plugins=[chosen]))


def main() -> None:
    """Answer until standard input ends."""
    assert not any(name.split(".")[0] in ("optimiser", "catalogue") for name in sys.modules)
    for line in sys.stdin:
        tests, work, patience, *_ = json.loads(line)
        print(in_a_fork(_run, tests, work, patience).line_of_json(), flush=True)


if __name__ == "__main__":
    main()
