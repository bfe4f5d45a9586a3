"""From Python: a site from a dict, drawings for a notebook, answers as rows."""

import csv
import io
import tomllib

import pytest

from optimiser import (
    SweepQuestion,
    cli,
    draw,
    explain_reeving,
    plan_stages,
    rank,
    read_document,
    read_site,
    rows,
    sweep,
)
from shared.errors import InputError
from tests.uncertainty.straight import DOUBLED, site, text


def test_a_dict_is_read_like_the_file() -> None:
    """Tuples are lists too, and the dict stays as it is."""
    keys = tomllib.loads(text())
    keys["path"]["start"] = tuple(keys["path"]["start"])
    kept = repr(keys)

    assert rank(read_site(keys)).setups == rank(read_site(text())).setups
    assert repr(keys) == kept


def test_what_is_wrong_in_a_dict_is_reported_by_its_place() -> None:
    keys = tomllib.loads(text())
    keys["load"]["wieght"] = keys["load"].pop("weight")
    with pytest.raises(InputError, match="weight"):
        read_site(keys)
    with pytest.raises(InputError, match="load: a key must be a text"):
        read_site({"load": {1: "200 kg"}})


def test_drawings_in_a_notebook() -> None:
    """Plan, side view and reeving, each an SVG with its title, of a setup and of every stage of a plan."""
    ranking = rank(site())
    page = draw(site(), ranking[0])._repr_html_()

    for title in ("From above, to scale", "From the side, to scale", "How the rope runs"):
        assert f'aria-label="{title}' in page
    assert "Setup 1" in page
    assert "Stage" not in page
    assert 'aria-label="From above' in ranking[0]._repr_html_()
    assert ranking._repr_html_().count('aria-label="From above') == 1  # of the best
    plan = plan_stages(site())
    assert len(draw(site(), plan).pages) == len(plan.stages)


def test_rows_are_those_of_csv(capsys: pytest.CaptureFixture[str], tmp_path: object) -> None:
    """The same columns and numbers."""
    assert cli.main(["rank", "--format", "csv"]) == 0
    printed = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    found = rows(rank(read_site()))

    assert [list(row) for row in found] == [list(row) for row in printed]
    assert [row["margin"] for row in found] == [float(row["margin"]) for row in printed]


def test_every_answer_has_rows() -> None:
    where = site()
    ranking = rank(where)
    swept = sweep(
        read_document(text()), ["load.weight=300..400 kg"], SweepQuestion(steps=2), processes=1
    )

    assert [row["load.weight_kg"] for row in rows(swept)] == [300.0, 400.0]
    assert rows(ranking[0])[0].keys() >= {"name"}
    assert len(rows(plan_stages(where))) >= 1
    assert len(rows(explain_reeving(where, DOUBLED))) > 5
    with pytest.raises(TypeError, match="int is no answer"):
        rows(1)
