"""What may be varied, and what is reported where it may not."""

import pytest

from optimiser import cli
from optimiser.jobs.sweep.axes import axis
from optimiser.site.reading import read_document
from shared.errors import InputError
from tests.uncertainty.straight import text

DOCUMENT = read_document(text())


@pytest.mark.parametrize(
    ("word", "steps", "texts"),
    [
        ("load.weight=200..400 kg", 3, ["200 kg", "300 kg", "400 kg"]),
        ("load.weight=200kg..400kg", 2, ["200 kg", "400 kg"]),
        ("path.leg[1].resistance=0.1..0.4", 4, ["0.1", "0.2", "0.3", "0.4"]),
        ("path.leg[1].breakout=1..2", 3, ["1", "1.5", "2"]),  # left out of the file so far
        ("gear[block].efficiency=80..90 %", 3, ["80 %", "85 %", "90 %"]),
        ("anchor[ring].at[1]=13.5..14.5 m", 3, ["13.5 m", "14 m", "14.5 m"]),
        ("gear[shackle-19].count=4..6", 9, ["4", "5", "6"]),
        ("preferences.most_sheaves=0..6", 3, ["0", "3", "6"]),
        ("load.hitch[eye].left=-1..1 m", 3, ["-1 m", "0 m", "1 m"]),
    ],
)
def test_any_number_by_its_place(word: str, steps: int, texts: list[str]) -> None:
    """Quantities, counts, coordinates; in the unit they are requested in."""
    one = axis(DOCUMENT, word)

    assert [one.text(value) for value in one.values(steps)] == texts


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("laod.weight=200..400 kg", "did you mean 'load'"),
        ("load.wieght=200..400 kg", "did you mean 'weight'"),
        ("anchor[rnig].rating=2..4 kN", "did you mean 'ring'"),
        ("anchor[3].rating=2..4 kN", "the list has 1"),
        ("title=2..4", "is no number"),
        ("load.rests_on=2..4", "expected 'wheels', 'skids' or 'belly'"),
        ("load.weight=2..4", "has no unit"),
        ("load.weight=2..4 m", "which is a length"),
        ("load.weight=-2..4 kg", "must be more than 0"),
        ("load.weight=400..200 kg", "smaller end first"),
        ("load.weight=2 kg..400 lb", "one unit"),
        ("load.weight=2-400 kg", "FROM..TO"),
        ("load.weight", "KEY=FROM..TO"),
        ("gear[shackle-19].count=1.5..4", "whole"),
    ],
)
def test_what_is_wrong_is_reported(word: str, found: str) -> None:
    """With the file and the place in it, and the closest key."""
    with pytest.raises(InputError) as caught:
        axis(DOCUMENT, word)

    assert found in str(caught.value)
    assert str(caught.value).startswith("text")


@pytest.mark.parametrize(
    "words",
    [
        ["laod.weight=2..4 kg"],
        [],
        ["load.weight=2..4 kg"] * 3,
        ["load.weight=2..4 kg"] * 2,
        ["load.weight=2..4 kg", "-o", "sweep.txt"],
        ["load.weight=2..4 kg", "--steps", "1"],
        ["no-such-file.toml", "load.weight=2..4 kg"],
    ],
)
def test_bad_input_ends_with_2(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """One message on standard error, nothing on standard output."""
    assert cli.main(["sweep", *words]) == 2
    found = capsys.readouterr()
    assert found.out == ""
    assert found.err
