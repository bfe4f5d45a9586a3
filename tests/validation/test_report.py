"""The report of checks: enough of them, distinguished by how they are known, and able to fail."""

from pathlib import Path

import pytest

from tests.long import long
from tests.validation import jobs
from tests.validation.checks import Check, Example, Way, source_named
from tests.validation.report import collect, main, markdown, registered


@long
def test_enough_published_numbers_go_through_the_main_job() -> None:
    """Every example that is labelled so looks at the answer of a command, and no other one does."""
    through: list[str] = []
    for example in registered():
        for value in example.checks.__globals__.values():
            if hasattr(value, "cache_clear"):
                value.cache_clear()  # what an earlier example has looked at counts for this one too
        before = jobs.counted.answers
        checks = list(example.checks())
        looks = jobs.counted.answers > before
        assert looks is (example.way is Way.JOB), example.name
        if looks and example.evidence in ("read", "read second-hand"):
            through += [example.source.key] * len(checks)

    assert len(through) >= 140
    assert len(set(through)) >= 20


@long
def test_every_check_states_where_and_why() -> None:
    for example, checks in collect():
        assert example.place
        assert example.given
        for check in checks:
            assert check.quantity
            assert check.why
            assert check.tolerance >= 0.0


@long
def test_written_to_a_file(tmp_path: Path) -> None:
    target = tmp_path / "report.md"
    assert main([str(target)]) == 0
    text = target.read_text(encoding="utf-8")
    assert "0 do not hold" in text
    assert "read in the source" in text
    assert "from memory" in text


@pytest.mark.parametrize(
    ("relation", "ours", "passes"),
    [
        ("equal", 1.04, True),
        ("equal", 1.06, False),
        ("equal", float("nan"), False),
        ("at least", 5.0, True),
        ("at least", 0.9, False),
        ("at most", 0.0, True),
        ("at most", 1.1, False),
        ("differs", 1.2, True),
        ("differs", 1.01, False),
    ],
)
def test_a_check_can_fail(relation: str, ours: float, passes: bool) -> None:
    check = Check(
        quantity="q",
        published=1.0,
        ours=ours,
        unit="",
        tolerance=0.05,
        why="because",
        relation=relation,
    )
    assert check.passes is passes
    example = Example(
        name="one",
        source=source_named("nicholls"),
        place="p. 1",
        evidence="read",
        given="A thing.",
        way=Way.FORMULA,
        checks=lambda: [check],
    )
    assert ("**NO**" in markdown([(example, [check])])) is not passes
