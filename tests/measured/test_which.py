"""Where several readings may be the misread one, the program says so, and which length would show it."""

import json
from pathlib import Path

from click.testing import CliRunner

from optimiser.cli import cli
from optimiser.site.reading import measured_starter_text, read_site

ASH = 'from = "end of leg 1"\nto = "ash"\ntape = "10.5 m"'
WRONG = measured_starter_text().replace(ASH, ASH.replace("10.5", "11.5"))
"""The starter's bank: its two trees are fixed by two lengths each, and one more checks all of them. One is
misread by a metre."""
LENGTH = """
[[reading]]
from = "{start}"
to = "{end}"
tape = "{length:.2f} m"
"""


def test_one_length_more_shows_which_was_misread() -> None:
    outcome = read_site(WRONG).surveyed
    assert outcome is not None
    (suspect,) = outcome.survey.suspects
    found = suspect.decisive
    assert found is not None
    assert len(suspect.alike) >= 2
    lengths = {outcome.readings[label].words: length for label, length in found.lengths}
    assert set(lengths) >= {"tape from end of leg 1 to ash", "tape from end to ash"}

    # Somebody measures it, and finds what it is if that very reading was misread.
    length = lengths["tape from end of leg 1 to ash"]
    more = LENGTH.format(start=found.start, end=found.end, length=length)
    again = read_site(WRONG + more).surveyed
    assert again is not None
    ((reading, named),) = again.suspects()
    assert reading.words == "tape from end of leg 1 to ash"
    assert not named.alike
    assert abs(named.misread_by - 1.0) < 0.15


def test_check_says_it(tmp_path: Path) -> None:
    file = tmp_path / "bank.toml"
    file.write_text(WRONG, encoding="utf-8")
    text = CliRunner().invoke(cli, ["check", str(file)]).stdout
    answer = json.loads(CliRunner().invoke(cli, ["check", str(file), "--format", "json"]).stdout)

    (which,) = answer["which_misread"]
    assert "Which one was misread" in text
    assert f"The tape from {which['from']} to {which['to']} would show it" in text.replace(
        "\n", " "
    )
    assert {one["reading"] for one in which["tape"]} == set(which["readings"])
