"""Runs chosen tests in forks of a process that has loaded the program and all tests.

Started in a copy of the program. The first line that it reads names the files of tests to load, as JSON, and
is answered once they are loaded; each line after it is [list of tests, s of work, s of patience, file, line
of the function, whether it must be as if loaded anew] and answered with a line of JSON (`forked.Ended`). A
fault has to be in the files of the copy: the fork takes it from there. No file: nothing is put in.
"""

import gc
import json
import os
import sys
from pathlib import Path
from typing import TextIO

import pytest

from tests.mutation.machine.forked import UNABLE, WORDS, Chosen, Ended, in_a_fork
from tests.mutation.machine.in_memory import Loaded, Loading


class Serving:
    """A plugin of pytest that, with everything collected, runs chosen tests in forks until input ends."""

    def __init__(self, loading: Loading, questions: TextIO, answers: TextIO) -> None:
        self.loading, self.questions, self.answers = loading, questions, answers

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Answer until standard input ends."""
        loaded = self.loading.ended()
        gc.freeze()
        print(Ended(session.testsfailed).line_of_json(), file=self.answers, flush=True)
        for line in self.questions:
            ended = _answered(session, loaded, *json.loads(line))
            print(ended.line_of_json(), file=self.answers, flush=True)
        return True


def _answered(
    session: pytest.Session,
    loaded: Loaded,
    tests: list[str],
    work: float,
    patience: float,
    file: str,
    function: int,
    as_if_new: bool,
) -> Ended:
    if file and as_if_new and not loaded.as_if_new(file, function):
        return Ended(UNABLE)

    def run(chosen: Chosen) -> int:
        if file and not loaded.put(file, function):
            return UNABLE
        session.config.pluginmanager.register(chosen)
        chosen.pytest_runtestloop(session)
        return int(bool(session.testsfailed))

    return in_a_fork(run, tests, work, patience)


def main() -> None:
    """Load the files of tests, then serve."""
    questions, answers = (
        sys.stdin,
        os.fdopen(os.dup(1), "w"),
    )  # before pytest puts others in their place
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    loading = Loading(Path.cwd())
    files = json.loads(questions.readline())
    sys.exit(int(pytest.main([*WORDS, *files], plugins=[Serving(loading, questions, answers)])))


if __name__ == "__main__":
    main()
