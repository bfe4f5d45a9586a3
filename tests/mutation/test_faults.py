"""The list of faults does not rot: each still applies, and its tests are there."""

import ast
import os
import subprocess
import sys

import pytest

from tests.mutation.bench import Result
from tests.mutation.faults import ROOT, Fault, faults
from tests.mutation.report import markdown, share
from tests.mutation.suites import SUITES

ALL = faults()


@pytest.mark.parametrize("fault", ALL, ids=[str(fault.number) for fault in ALL])
def test_it_applies_and_is_still_a_program(fault: Fault) -> None:
    text = fault.applied()
    ast.parse(text)
    assert text != (ROOT / fault.file).read_text(encoding="utf-8")


def test_there_are_enough_of_them_all_different() -> None:
    assert len(ALL) >= 40
    assert len({(fault.file, fault.old, fault.new) for fault in ALL}) == len(ALL)
    assert len({fault.what for fault in ALL}) == len(ALL)


def test_their_tests_are_there() -> None:
    assert {fault.suite for fault in ALL} <= set(SUITES)
    for stages in SUITES.values():
        for words in stages:
            for word in words:
                assert word.startswith("--") or (ROOT / word.split("::")[0]).exists(), word


def test_no_single_case_of_them_is_rare() -> None:
    """Pytest would not find it, and end as if it had failed."""
    named = {
        word
        for stages in SUITES.values()
        for words in stages
        for word in words
        if word.endswith("]")
    }
    files = sorted({word.split("::")[0] for word in named})
    words = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider"]
    plainly = {key: value for key, value in os.environ.items() if key != "PYTEST_ADDOPTS"}
    found = subprocess.run(
        [*words, *files], cwd=ROOT, env=plainly, capture_output=True, text=True, check=True
    )
    assert named
    assert named <= set(found.stdout.splitlines())


def test_a_fault_that_does_not_apply_is_reported() -> None:
    gone = Fault(number=1, what="gone", file="optimiser/rig/walk.py", old="§", new="", suite="rig")
    with pytest.raises(ValueError, match="stands 0 times"):
        gone.applied()


def test_the_report_names_survivors() -> None:
    results = [Result(ALL[0], "tests/x.py::test_a", 1.0), Result(ALL[1], "", 1.0)]
    text = markdown(results)
    assert share(results) == 0.5
    assert "1 of 2 are noticed (50.0%" in text
    assert f"- {ALL[1].what}" in text
    assert "**nothing**" in text
