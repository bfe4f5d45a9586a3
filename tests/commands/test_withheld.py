"""An answer that the program's own re-check finds wrong is withheld: one line, an exit code of its own.

The re-check is made to disagree by a fault planted in it: every figure is found to be another.
"""

import pickle
import re
from pathlib import Path

import pytest

from optimiser import cli
from optimiser.proof import notes

EVERY_QUESTION = [
    ["rank", "--top", "1"],
    ["rank", "--top", "1", "--format", "json"],
    ["rank", "--top", "1", "--format", "csv"],
    ["rank", "--top", "1", "--hold"],
    ["show", "1"],
    ["stages"],
    ["stages", "--format", "json"],
    ["sweep", "load.weight=600..650 kg", "--steps", "2", "--processes", "1"],
    ["sweep", "load.weight=600..650 kg", "--steps", "2", "--processes", "2"],
    ["why"],
    ["why", "load > near pine@1.0 m > load > young ash@0.75 m > small tractor"],
    ["buy"],
    ["buy", "--show", "1", "--format", "json"],
    ["lower"],
    ["lower", "--show", "1", "--format", "json"],
]


@pytest.mark.parametrize("words", EVERY_QUESTION, ids=" ".join)
def test_an_answer_that_fails_its_re_check_is_one_line(
    words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(notes, "equal", lambda *_, **__: False)

    code = cli.main(words)

    printed = capsys.readouterr()
    assert code == 4
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    assert printed.err.startswith("answer withheld: ")
    assert re.search(r"fails the program's own re-check: .+: the answer says [\d.e-]+", printed.err)
    assert "Do not haul by it" in printed.err
    assert "report it" in printed.err


@pytest.mark.parametrize("words", [["sheet"], ["sheet", "stages"], ["lower"]], ids=" ".join)
def test_no_sheet_is_drawn_of_it_and_an_older_one_stays(
    words: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    sheet = tmp_path / "haul.html"
    sheet.write_text("of last year", encoding="utf-8")
    monkeypatch.setattr(notes, "equal", lambda *_, **__: False)

    code = cli.main([*words, "-o", str(sheet), "--force"])

    assert code == 4
    assert capsys.readouterr().err.startswith("answer withheld: ")
    assert [path.read_text(encoding="utf-8") for path in tmp_path.iterdir()] == ["of last year"]


def test_help_and_readme_say_what_the_exit_code_means(capsys: pytest.CaptureFixture[str]) -> None:
    cli.main(["--help"])

    readme = Path(__file__).parents[2].joinpath("README.md").read_text(encoding="utf-8")
    assert "4 when the program's own re-check" in " ".join(capsys.readouterr().out.split())
    assert "4 answer withheld: the program's own re-check" in " ".join(readme.split())


def test_a_process_that_works_out_cells_hands_it_on_whole() -> None:
    error = notes.VerificationError("Setup of near pine", ["pull: 3 kN", "rope: 20 m"])

    again = pickle.loads(pickle.dumps(error))

    assert type(again) is notes.VerificationError
    assert again.worded() == error.worded()
