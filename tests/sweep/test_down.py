"""Sweeps of ways down: every cell is a fresh run of `lower`, and the load rests where statics says."""

import csv
import io
import json
from pathlib import Path

import pytest

from optimiser import cli
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion, SweepQuestion
from optimiser.jobs.sweep.results import NONE, RESTS, Sweep
from optimiser.jobs.sweep.run import sweep
from optimiser.site.reading import read_document, site_from_document
from optimiser.telling.sweep import cells_listing, legend
from shared.errors import InputError
from tests.lower.slope_site import RUN, site_text

RISE = 3.0
TEXT = site_text(RISE, '"0.05"')
DOWN = SweepQuestion(down=True, steps=3)
COUNTED_ON = 0.5
"""Share of the ground's least resistance that is counted on (mechanics/data/hold.toml)."""


def swept(word: str, question: SweepQuestion = DOWN, text: str = TEXT) -> Sweep:
    return sweep(read_document(text), [word], question, processes=1)


def test_each_cell_is_a_fresh_run() -> None:
    found = swept("load.weight=200..400 kg")
    for cell in found.cells:
        site = site_from_document(
            read_document(TEXT), "worst", {"load.weight": f"{cell.values[0]} kg"}
        )
        assert cell.setup == lower(site, LowerQuestion(top=1))[0]
        assert cell.proven
    assert len(cells_listing(found).records()) == 3


def test_the_load_rests_where_statics_says() -> None:
    """tan a = k c, so from c = rise / (run k) on; found to 1 % of the axis."""
    found = swept("path.leg[1].resistance=0.1..1.0")
    assert [cell.rests for cell in found.cells] == [False, False, True]
    assert found.letter(found.cells[-1]) == RESTS
    (edge,) = found.boundaries
    assert edge.after == RESTS
    assert edge.low <= RISE / RUN / COUNTED_ON <= edge.high + 1e-9
    assert edge.high - edge.low <= 0.01
    assert f"- {RESTS}: " in legend(found, "metric")


def test_where_no_hold_does_it_says_what_stops_it() -> None:
    found = swept("gear[rope].length=8..50 m", SweepQuestion(down=True, steps=2))
    first, last = found.cells
    assert (found.letter(first), first.setup) == (NONE, None)
    assert last.setup is not None
    (stop,) = found.stops
    assert "more rope like rope" in stop.cure


@pytest.mark.parametrize("word", ["hold", "compound"])
def test_words_of_hauls_have_no_meaning(word: str) -> None:
    with pytest.raises(ValueError, match="a word of hauls"):
        SweepQuestion(down=True, **{word: True})  # type: ignore[arg-type]


def test_the_command_in_every_form(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file, picture = tmp_path / "slope.toml", tmp_path / "down.svg"
    file.write_text(TEXT, encoding="utf-8")
    words = ["sweep", str(file), "load.weight=200..400 kg", "--steps", "2", "--down"]
    assert cli.main([*words, "-o", str(picture)]) == 0
    assert "Best ways down" in capsys.readouterr().out
    assert picture.is_file()
    assert cli.main([*words, "--format", "json"]) == 0
    cells = json.loads(capsys.readouterr().out)["cells"]
    assert cells[1]["line_N"] == pytest.approx(2 * cells[0]["line_N"])
    assert cells[0]["turns"] >= 1
    assert cells[0]["rests"] is False
    assert cli.main([*words, "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert float(rows[1]["line_N"]) == pytest.approx(cells[1]["line_N"])
    assert cli.main([*words, "--hold"]) == 2
    assert "of hauls" in capsys.readouterr().err


def test_a_value_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError):
        swept("load.weight=-5..400 kg")
