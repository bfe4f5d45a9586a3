"""A site file may come from somebody else: no name in it runs in a spreadsheet or in a page of Markdown."""

import csv
import io
from typing import Any

import pytest
from click.testing import CliRunner

from optimiser.cli import cli
from optimiser.site.reading import demonstration_text
from shared.columns import Column
from shared.listing import Listing


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The demonstration with names that begin as formulas do, or look like HTML."""
    text = demonstration_text().replace("near pine", "-near<script pine")
    text = text.replace("young ash", "+ash")
    text = text.replace('"pump set"', '"=pump<img src=x onerror=alert(1)>"')
    file = tmp_path_factory.mktemp("names") / "site.toml"
    file.write_text(text, encoding="utf-8")
    return str(file)


def printed(*words: str) -> str:
    done = CliRunner().invoke(cli, words)
    assert done.exit_code == 0, done.output
    return done.stdout


@pytest.mark.parametrize("words", [["check"], ["why"]])
def test_no_cell_is_a_formula(words: list[str], site: str) -> None:
    cells = [
        c for row in csv.reader(io.StringIO(printed(*words, site, "--format", "csv"))) for c in row
    ]

    assert any(cell.startswith(("'-near<script pine", "'+ash")) for cell in cells)
    assert not [cell for cell in cells if cell.startswith(("=", "+", "@"))]


@pytest.mark.parametrize("words", [["check"], ["rank", "--top", "1"]])
def test_no_name_is_html(words: list[str], site: str) -> None:
    text = printed(*words, site, "--format", "markdown")

    assert "&lt;script pine" in text
    assert "<script" not in text
    assert "<img" not in text


def test_a_number_below_nothing_stays_a_number() -> None:
    columns: tuple[Column[Any], ...] = (
        Column("side", heading="side"),
        Column("name", heading="name"),
    )
    listing = Listing(columns=columns, rows=({"side": -0.25, "name": "-0.25 of it"},))

    assert listing.csv() == "side,name\n-0.25,'-0.25 of it\n"
