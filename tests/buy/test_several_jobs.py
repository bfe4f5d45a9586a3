"""One purchase for several jobs: as somebody types it, and a few of the sets of jobs that
`python -m tests.buy.several_jobs` compares with trying every set of a short price list."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from catalogue.prices import merge_prices
from optimiser import BuyQuestion, buy, read_site, rows
from optimiser.cli import main
from optimiser.telling.fields.answers import answer_schema
from tests.buy.several_jobs import compare
from tests.long import cases

SHORT = (Path(__file__).parents[2] / "examples" / "short-rope.toml").read_text()
PRICES = """gear,length,price
polyester-12,26 m,110
polyester-12,50 m,220
snatch-100-roller,,40
"""


@pytest.mark.parametrize(
    ("number", "stages"),
    cases(
        [*((n, 1) for n in range(6)), (6, 2)],
        quick=[(0, 1), (1, 1)],
        seldom=[(2, 1), (4, 1), (6, 2)],
    ),
)
def test_the_least_for_all_is_what_trying_every_set_finds(number: int, stages: int) -> None:
    assert not compare(number, stages).wrong


@cache
def meadow() -> str:
    """The first leg of the example with a short rope; what its owner has of it is 30 m."""
    begin, end = SHORT.index('[[path.leg]]\nto = ["20.2 m"'), SHORT.index("[load]")
    return SHORT[:begin] + SHORT[end:]


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two jobs. At the first the rope is too short, at the second a block is missing too; at the third
    nothing."""
    monkeypatch.chdir(tmp_path)
    short = meadow().replace('length = "30 m"', 'length = "12 m"')
    (tmp_path / "hut.toml").write_text(short)
    begin = short.index('[[gear]]\nid = "snatch-100-roller"')
    few = short[:begin] + short[short.index('[[gear]]\nid = "shackle-11"') :]
    (tmp_path / "weir.toml").write_text(few)
    (tmp_path / "gate.toml").write_text(meadow())
    (tmp_path / "shop.csv").write_text(PRICES)
    return tmp_path


def answered(capsys: pytest.CaptureFixture[str], *words: str, form: str = "json") -> Any:
    shop = ["--prices", "shop.csv", "--only-my-list", "--stages", "1"]
    code = main(["buy", *words, *shop, "--format", form])
    printed = capsys.readouterr()
    text = printed.out or printed.err
    return (code, json.loads(text) if form == "json" and code in (0, 3) else text)


def test_what_is_bought_once_serves_every_job(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, bill = answered(capsys, "hut.toml", "weir.toml", "gate.toml")

    assert code == 0
    jsonschema.validate(bill, answer_schema("buy"))
    assert bill["proven"]
    least = bill["options"][0]
    bought = {(item["id"], item["length_m"]): item["count"] for item in least["items"]}
    assert bought == {("polyester-12", 26.0): 1, ("snatch-100-roller", None): 1}
    assert least["cost"] == 150
    assert [part["site"] for part in least["sites"]] == ["hut.toml", "weir.toml", "gate.toml"]
    assert all(part["stages"] == 1 and part["margin"] >= 1.1 for part in least["sites"])

    needs = [{n["item"]: n["count"] for n in part["needs"]} for part in least["sites"]]
    rope, block = {"polyester-12 x 26 m": 1}, {"snatch-100-roller": 1}
    assert needs == [rope, rope | block, {}]
    hut, weir, gate = bill["jobs"]
    assert [job["alone"]["cost"] for job in (hut, weir, gate)] == [110, 150, 0]
    assert [job["saved"] for job in (hut, weir, gate)] == [0, 40, 0]
    assert [job["owned"] for job in (hut, weir, gate)] == [False, False, True]


def test_each_job_is_done_as_promised_when_that_is_written_into_a_copy_of_its_file(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (files / "weir.toml").read_text()
    (files / "weir.toml").write_text(before.replace("[load]", "# the owner's note\n[load]"))
    _, bill = answered(capsys, "hut.toml", "weir.toml", "--write", "with-{}.toml")
    for part in bill["options"][0]["sites"]:
        assert main(["rank", f"with-{part['site']}", "--format", "json"]) == 0
        best = json.loads(capsys.readouterr().out)["setups"][0]
        assert best["margin"] >= part["margin"] - 1e-9
        assert best["resets"] <= part["resets"]
    written = (files / "with-weir.toml").read_text()
    assert "# the owner's note\n[load]" in written
    assert 'name = "new polyester-12 x 26 m"' in written


def test_the_table_names_each_job_by_its_file_and_the_pieces_as_a_shop_does(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, text = answered(capsys, "hut.toml", "weir.toml", form="table")
    words = " ".join(text.split())

    assert code == 0
    assert "1 × polyester rope, three-strand, 12 mm, 26 m (polyester-12)" in words
    assert "hut.toml: one stage" in words
    assert "Bought for together it costs 110 less than for each job by itself." in words
    assert "Proven: nothing less serves every job" in words
    assert "Only hut.toml lists roller block." in words


def test_where_one_job_cannot_be_done_its_file_is_named(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heavy = (files / "weir.toml").read_text().replace("290..310 kg", "2900..3100 kg")
    (files / "weir.toml").write_text(heavy)
    code, bill = answered(capsys, "hut.toml", "weir.toml")

    assert code == 3
    assert bill["options"] == []
    assert bill["proven"]
    hut, weir = bill["jobs"]
    assert hut["alone"] == {"cost": 110, "proven": True, "placeholder": False}
    assert weir["alone"] == {"cost": None, "proven": True, "placeholder": False}
    assert weir["misses"]
    assert not hut["misses"]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["hut.toml", "hut.toml"], "'hut.toml' is there twice"),
        (["hut.toml", "bad.toml"], "bad.toml"),
        (["hut.toml", "paid.toml"], "prices are in EUR in paid.toml"),
    ],
)
def test_what_cannot_be_bought_for_together_is_one_message_with_the_file(
    files: Path, capsys: pytest.CaptureFixture[str], words: list[str], expected: str
) -> None:
    (files / "bad.toml").write_text(meadow().replace('weight = "', 'wieght = "'))
    for name, money in (("paid", "EUR"), ("hut", "GBP")):
        text = meadow().replace("[preferences]", f'[preferences]\ncurrency = "{money}"')
        (files / f"{name}.toml").write_text(text)
    code, text = answered(capsys, *words)

    assert code == 2
    assert expected in text.replace("GBP in hut.toml and in EUR", "EUR")


def test_from_python_it_is_the_same_answer(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, bill = answered(capsys, "hut.toml", "gate.toml")
    mine = {i: p for i, p in merge_prices({}, "shop.csv").items() if not p.placeholder}
    sites = [read_site("hut.toml"), read_site("gate.toml")]
    found = buy(sites, BuyQuestion(most_stages=1), items=mine)

    assert [option.cost for option in found.options] == [o["cost"] for o in bill["options"]]
    assert rows(found)[0]["cost"] == bill["options"][0]["cost"]
