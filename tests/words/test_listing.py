"""Listings in every form."""

import csv
import io
import json
from dataclasses import replace
from math import inf, nan
from typing import Any

from shared.columns import Column, Kind, Measure, Where
from shared.listing import Listing, as_json, wrapped
from shared.report import Block, printed, tables
from shared.units import Dimension, Rounding

COLUMNS: tuple[Column[Any], ...] = (
    Column(key="name", heading="name"),
    Column(key="pull", heading="worst pull", unit="N", kind=Dimension.FORCE, rounding=Rounding.UP),
    Column(key="margin", heading="margin", kind=Dimension.RATIO, rounding=Rounding.DOWN),
    Column(key="used", heading="used", kind=Kind.SHARE),
    Column(key="count", heading="how many", kind=Kind.COUNT),
    Column(key="about", heading="about", where=Where.UNDER),
    Column(key="code", heading="code", where=Where.DATA),
)


def listing(**cells: object) -> Listing:
    row = {"name": "ash", "pull": 1234.5, "margin": 0.999, "used": 1.001, "count": 1000}
    return Listing(columns=COLUMNS, rows=({**row, "code": "x", **cells},))


def test_table_rounds_to_the_safe_side() -> None:
    last = listing().table().split("\n")[-1].split()

    assert last == ["ash", "1.24", "kN", "0.99", "101", "%", "1,000"]


def test_table_uses_the_units_of_the_answer() -> None:
    assert " 278 lbf " in listing(pull=1234.5).table("imperial")


def test_names_that_look_like_numbers_stay_as_they_are() -> None:
    """tabulate by itself prints the text "1e5" as 100000."""
    assert "1e5" in listing(name="1e5").table()
    assert "| 1e5 " in listing(name="1e5").markdown()


def test_table_fits_a_hundred_columns_and_loses_no_word() -> None:
    words = " ".join(f"word{i}" for i in range(60))
    table = listing(name=words, about=words).table()

    assert max(len(line) for line in table.split("\n")) <= 100
    assert all(table.count(f"word{i}") >= 2 for i in range(60))


def test_no_number_is_parted_from_its_unit() -> None:
    text = "word " * 30 + "12.50 m " * 30

    for width in range(20, 40):
        assert all(not line.startswith("m") for line in wrapped(text, width))
        assert " ".join(wrapped(text, width)) == text.strip()


def test_what_belongs_under_a_row_stands_under_that_row() -> None:
    rows = tuple({"name": f"n{i}", "about": f"about n{i}"} for i in range(3))
    lines = [line.split() for line in Listing(columns=COLUMNS, rows=rows).table().split("\n")]

    for i in range(3):
        place = next(k for k, line in enumerate(lines) if line[:1] == [f"n{i}"])
        assert lines[place + 1] == ["about", f"n{i}"]


def test_csv_is_si_at_full_precision_with_units_in_the_heads() -> None:
    head, row = csv.reader(io.StringIO(listing(name='a "b", c').csv()))

    assert head == ["name", "pull_N", "margin", "used", "count", "about", "code"]
    assert row == ['a "b", c', "1234.5", "0.999", "1.001", "1000", "", "x"]


def test_json_has_null_for_what_is_no_number() -> None:
    (record,) = json.loads(listing(margin=inf, pull=nan).json())

    assert record["margin"] is None
    assert record["pull_N"] is None
    assert json.loads(as_json({"a": (1.5, -inf)})) == {"a": [1.5, None]}


def test_json_keeps_every_digit() -> None:
    (record,) = json.loads(listing(pull=0.1 + 0.2).json())

    assert record["pull_N"] == 0.1 + 0.2


def test_measures_mix_forces_and_moments_in_one_column() -> None:
    column: Column[Any] = Column(key="demand", heading="demand", kind=Kind.MEASURE)
    mixed = Listing(
        columns=(column,),
        rows=(
            {"demand": Measure(1000.0, Dimension.FORCE)},
            {"demand": Measure(1000.0, Dimension.MOMENT)},
        ),
    )

    assert [line.strip() for line in mixed.table().split("\n")[2:]] == ["1.00 kN", "1.00 kN·m"]
    assert mixed.csv() == "demand\n1000.0\n1000.0\n"


def test_markdown_and_html_escape_what_would_break_them() -> None:
    assert "a\\|b" in listing(name="a|b").markdown()
    assert "&lt;b&gt;" in listing(name="<b>").html()


def test_empty_listing_reports_it() -> None:
    empty = Listing(columns=COLUMNS, rows=(), empty="no rig")

    assert empty.table() == "(no rig)"
    assert empty.json() == "[]\n"


def test_report_of_several_listings() -> None:
    report: list[Block] = [("One", listing()), ("", "A text."), ("Two", listing())]

    assert set(json.loads(printed(report, "json"))) == {"One", "Two"}
    assert "## One\n\n| name" in printed(report, "markdown")
    assert "One\n===\n" in printed(report, "table")


def test_csv_is_one_table_of_several() -> None:
    """The first, or the one that is named; lists of the same kind are numbered."""
    named = [
        replace(listing(name=name), name=kind)
        for name, kind in (("a", "x"), ("b", "y"), ("c", "y"))
    ]
    report: list[Block] = [(one.name, one) for one in named]

    assert list(tables(report)) == ["x", "y", "y-2"]
    for table, name in ((None, "a"), ("x", "a"), ("y", "b"), ("y-2", "c")):
        (row,) = csv.DictReader(io.StringIO(printed(report, "csv", table=table)))
        assert row["name"] == name


def test_an_answer_in_words_only_is_a_table_of_them_in_csv() -> None:
    report = (("", 'NOT FINISHED: none, "yet".\nGo on.'), ("Next", "`again`"))
    assert list(csv.reader(io.StringIO(printed(report, "csv")))) == [
        ["answer"], ['NOT FINISHED: none, "yet". Go on.'], ["`again`"],
    ]  # fmt: skip
