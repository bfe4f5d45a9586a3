"""Changed site files get an answer or a clear error; past finds stay mended; the judge can judge."""

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from tests.fuzz import bases
from tests.fuzz.cases import case
from tests.fuzz.changes import CHANGES
from tests.fuzz.judge import Answer, faults, run
from tests.fuzz.keeping import CORPUS, ROOT, read, saved
from tests.long import rare

CASES = 150
FEW = 30
GOOD = Answer(code=0, out='{"margin": 1.5}\n', err="", took=0.1)


@pytest.mark.parametrize(
    ("first", "last"),
    [(0, FEW), *(pytest.param(a, a + 60, marks=rare) for a in range(FEW, CASES, 60))],
)
def test_changed_site_files_in_a_process_of_their_own(first: int, last: int) -> None:
    """So that a crash of the interpreter is a find too. Outside of the tests: 5,000 and more with
    `python -m tests.fuzz --cases 5000`."""
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "tests.fuzz",
            "--limit",
            "0.3",
            "--first",
            str(first),
            "--cases",
            str(last - first),
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-4000:]
    assert f"{last - first} cases" in done.stdout


@pytest.mark.parametrize("path", sorted(CORPUS.glob("*.toml")), ids=lambda path: path.stem)
def test_past_finds(path: Path, tmp_path: Path) -> None:
    arguments, site = read(path)
    assert faults(arguments, site, run(arguments, site, tmp_path)) == []


def test_equal_numbers_are_equal_cases() -> None:
    for number in (3, 17, 90):
        assert case(number) == case(number)
    assert len({case(number).text for number in range(60)}) > 55


def test_every_change_comes_about() -> None:
    """By what was reported of some thousand cases; each change reports in words of its own."""
    found = " ".join(line for number in range(1500) for line in case(number).done[1:])
    for words in ("times", "removed", "renamed", "dropped", "more like", "moved to", "shuffled",
                  "unknown", "count", "one of", "axis", "bytes cut out", "..", "nan"):  # fmt: skip
        assert words in found
    assert len(CHANGES) >= 20


def test_every_base_is_sound(tmp_path: Path) -> None:
    for text in bases.texts().values():
        site = text.encode()
        answer = run(("check", "SITE"), site, tmp_path)
        assert answer.code == 0
        assert faults(("check", "SITE"), site, answer) == []


@pytest.mark.parametrize(
    ("answer", "found"),
    [
        (GOOD, ""),
        (replace(GOOD, code=1), "exit code"),
        (replace(GOOD, code=None, broken='File "x"\nKeyError: 3'), "traceback: KeyError"),
        (replace(GOOD, code=None, broken="Hung", hung=True), "hangs"),
        (replace(GOOD, took=20.1), "hangs"),
        (replace(GOOD, out=""), "nothing is told"),
        (replace(GOOD, out='{"margin": NaN}'), "no number"),
        (replace(GOOD, out="margin -inf N"), "no number"),
        (replace(GOOD, out="{"), "not JSON"),
        (replace(GOOD, out='"\x1b[31m"'), "steer a terminal"),
        (replace(GOOD, code=2, err=""), "without a message"),
        (replace(GOOD, code=2, err="x" * 2000), "nobody reads"),
        (replace(GOOD, warned=("RuntimeWarning: division",)), "warning"),
    ],
)
def test_the_judge(answer: Answer, found: str) -> None:
    result = faults(("rank", "SITE", "--format", "json"), b"", answer)
    assert result == [] if not found else any(found in line for line in result)


def test_a_hang_is_broken_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def forever(_words: list[str]) -> int:
        while True:
            pass

    monkeypatch.setattr("tests.fuzz.judge.PATIENCE", 0.1)
    monkeypatch.setattr("optimiser.cli.main", forever)
    answer = run(("check", "SITE"), b"", tmp_path)
    assert any("hangs" in line for line in faults(("check", "SITE"), b"", answer))


def test_a_find_is_kept_and_read_again(tmp_path: Path) -> None:
    one = case(5)
    found = f"two\nlines at {ROOT}/optimiser/cli.py"
    arguments, site = read(saved(one, [found], tmp_path))
    assert b"\n# two lines at optimiser/cli.py\n" in site
    assert arguments == one.arguments
    assert site.endswith(one.text)
