"""A sweep over a measured bank says in which cells the readings leave open whether the best setup works."""

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from optimiser.cli import cli
from optimiser.jobs.question import SweepQuestion
from optimiser.jobs.sweep.run import sweep
from optimiser.site.reading import read_document, read_site
from optimiser.telling.sweep import report
from optimiser.telling.sweep_picture import write
from tests.measured.test_left_open import best, taped


def test_the_rope_must_be_longer_by_what_the_tape_may_be_off(tmp_path: Path) -> None:
    """A straight pull to a ring that a tape good to 20 cm puts there: it needs 1.96 x 0.2 m to spare."""
    needed = best(read_site(taped("20 cm"))).rope_needed
    longer = 1.96 * 0.2
    document = read_document(taped("20 cm").replace('knots = ["bowline"]', "knots = []"))
    key = f"gear[rope].length={needed + longer - 0.02}..{needed + longer + 0.02} m"

    found = sweep(document, [key], SweepQuestion(steps=2, by=("parts",)), processes=1)
    assert [cell.setup.reeving for cell in found.cells if cell.setup] == 2 * ["load > winch"]
    assert [cell.certain for cell in found.cells] == [False, True]
    printed = "\n".join(str(part) for _, part in report(found, "metric"))
    assert "NOT CERTAIN: the best setup of that cell may fail" in printed
    picture = tmp_path / "sweep.svg"
    write(found, picture, "metric")
    assert picture.stat().st_size > 0


@pytest.mark.parametrize("form", ["json", "csv", "table"])
def test_every_form_has_it(tmp_path: Path, form: str) -> None:
    needed = best(read_site(taped("20 cm"))).rope_needed
    file = tmp_path / "site.toml"
    file.write_text(taped("20 cm", rope=f"{needed + 0.1:.6f} m"), encoding="utf-8")
    words = ["sweep", str(file), "load.weight=300..310 kg", "--steps", "2", "--processes", "1"]
    answer = CliRunner().invoke(cli, [*words, "--by", "parts", "--format", form])

    assert answer.exit_code == 0, answer.output
    if form == "json":
        cells = json.loads(answer.stdout)["cells"]
        assert [cell["certain"] for cell in cells] == [False, False]
        assert cells[0]["may_fail"] == ["rope may be 0.30 m too short"]
    elif form == "csv":
        rows = list(csv.DictReader(io.StringIO(answer.stdout)))
        assert [row["readings_certain"] for row in rows] == ["no", "no"]
        assert "0.30 m too short" in rows[0]["readings"]
    else:
        assert answer.stdout.count("NOT CERTAIN by the readings: rope may be 0.30 m") == 2
