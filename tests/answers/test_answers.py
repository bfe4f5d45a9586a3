"""Answers to some 170 questions on small sites are those that are kept.

What is kept was printed by the program itself, so it proves nothing about the trade: published numbers,
enumerations and the re-check do that. It shows whether a change changed an answer, in figures or in words,
and which. `python -m tests.answers` keeps anew, for a change that is meant to.
"""

import re
from pathlib import Path

import pytest

from tests.answers.cases import KEPT, SHOP, Case, cases

NUMBER = re.compile(r"\d+(?:\.\d+)?")


def differences(kept: str, new: str) -> list[str]:
    """The lines that differ. A number may end in the digit beside it: the last one is rounded, and machines
    add in another order."""
    old_lines, new_lines = kept.splitlines(), new.splitlines()
    out = [
        f"- {old}\n+ {now}"
        for old, now in zip(old_lines, new_lines, strict=False)
        if NUMBER.sub("#", old) != NUMBER.sub("#", now) or _numbers_differ(old, now)
    ]
    if len(old_lines) != len(new_lines):
        out.append(f"{len(old_lines)} lines are kept, {len(new_lines)} are printed")
    return out


def _numbers_differ(old: str, new: str) -> bool:
    return any(
        abs(float(one) - float(other)) > 1.01 * 10.0 ** -len(one.partition(".")[2])
        if "." in one
        else one != other
        for one, other in zip(NUMBER.findall(old), NUMBER.findall(new), strict=True)
    )


@pytest.mark.parametrize("case", cases(), ids=lambda case: case.id)
def test_the_answer_is_the_one_that_is_kept(
    case: Case, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "shop.csv").write_text(SHOP, encoding="utf-8")
    monkeypatch.chdir(tmp_path)

    found = differences(case.kept.read_text(encoding="utf-8"), case.answer())

    assert not found, "\n".join(found[:20])


def test_no_answer_is_kept_for_a_case_that_is_gone() -> None:
    assert {path.name for path in KEPT.glob("*.txt")} == {case.kept.name for case in cases()}


def test_a_figure_that_is_off_is_seen_and_a_rounded_one_is_not() -> None:
    assert not differences("pull 1.02 kN\n", "pull 1.03 kN\n")
    assert differences("pull 1.02 kN\n", "pull 1.04 kN\n")
    assert differences("2 parts\n", "3 parts\n")
    assert differences("oak\n", "ash\n")
    assert differences("oak\n", "oak\nash\n")
