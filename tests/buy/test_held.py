"""`buy --hold`: the least with which the load is hauled and has its second lines."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from optimiser import RankQuestion, rank, read_site
from optimiser.cli import main
from tests.long import rare

EXAMPLE = (Path(__file__).parents[2] / "examples" / "side-tree.toml").read_text()
PRICES = "gear,length,price\npolyester-12,20 m,45\npolyester-12,30 m,65\n"
FURTHER = "snatch-75-bronze,,30\nsling-30-2m,,10\n"


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The example whose trees stand to the side: its owner has lost the steering rope."""
    monkeypatch.chdir(tmp_path)
    begin = EXAMPLE.index('[[gear]]\nid = "polyester-12"\nname = "steering rope"')
    end = EXAMPLE.index('[[gear]]\nid = "snatch-75-bronze"')
    (tmp_path / "site.toml").write_text(EXAMPLE[:begin] + EXAMPLE[end:])
    (tmp_path / "shop.csv").write_text(PRICES)
    return tmp_path


def answered(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    main(
        ["buy", "site.toml", "--prices", "shop.csv", "--only-my-list", "--stages", "1",
         "--format", "json", *words]
    )  # fmt: skip
    return json.loads(capsys.readouterr().out)


def test_a_rope_is_bought_for_the_line_that_steers_the_load(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bill = answered(capsys, "--hold", "--write", "with.toml")
    least = bill["options"][0]

    assert bill["proven"]
    assert [(item["id"], item["length_m"]) for item in least["items"]] == [("polyester-12", 20.0)]
    (setup, *_) = rank(read_site("with.toml"), RankQuestion(hold=True, top=1, explain=False))
    assert setup.holding
    assert setup.margin >= least["margin"] - 1e-9


def test_the_table_says_that_the_haul_needs_the_line(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (
        main(
            [
                "buy",
                "site.toml",
                "--prices",
                "shop.csv",
                "--only-my-list",
                "--stages",
                "1",
                "--hold",
            ]
        )
        == 0
    )
    text = " ".join(capsys.readouterr().out.split())

    assert re.search(r"which pulls\. .* steers it from [\d.]+ m to [\d.]+ m, at front bar: ", text)


def test_what_holds_nothing_back_is_not_enough(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With blocks alone, where the only rope hauls, nothing on the list does."""
    (files / "shop.csv").write_text("gear,length,price\n" + FURTHER)
    bill = answered(capsys, "--hold")

    assert bill["options"] == []
    assert bill["proven"]


@rare
def test_nothing_cheaper_on_a_longer_list_does(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Everything together that costs less than the least is ranked, with its second lines: none works."""
    (files / "shop.csv").write_text(PRICES + FURTHER)
    least = answered(capsys, "--hold")["options"][0]
    assert least["cost"] == 45
    more = "".join(
        f'[[gear]]\nid = "{id}"\nname = "new {id}"\ncondition = "new"\n\n'
        for id in ("snatch-75-bronze", "sling-30-2m")
    )
    text = (files / "site.toml").read_text().replace("[preferences]", f"{more}[preferences]")
    assert not rank(read_site(text), RankQuestion(hold=True, top=1, explain=False)).setups
