"""Several price lists, pieces that are lent, and currencies, as somebody types them: what is bought where is
the least of every way to share it out by hand."""

import csv
import io
import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from catalogue.currency import Rate, read_rate
from catalogue.prices import load_prices, merge_prices
from optimiser import BuyQuestion, buy, read_site
from optimiser.cli import main
from optimiser.telling import buy as one_job
from optimiser.telling.bought.several_jobs import report
from shared.report import printed
from tests.buy.every_purchase import compare
from tests.buy.test_several_jobs import meadow
from tests.long import cases, rare

QUAY = "gear,length,price,stock\npolyester-12,50 m,220,\nsnatch-100-roller,,40,\n"
YARD = """
shop = "old yard"
[[item]]
gear = "polyester-12"
length = "50 m"
price = 190
[[item]]
gear = "snatch-100-roller"
price = 55
"""
LENT = (
    "gear,length,price,stock,lent,condition,shop\npolyester-12,40 m,{fee},1,true,used,neighbour\n"
)


@pytest.mark.parametrize(
    ("number", "stages"),
    cases([*((n, 1) for n in range(8)), (1, 2)], quick=[(0, 1), (6, 1)], seldom=[(4, 1), (5, 1)]),
)
def test_the_least_of_two_shops_and_a_lender_is_what_trying_every_set_finds(
    number: int, stages: int
) -> None:
    """Ten things in two shops, two of them in both, and two that are lent."""
    assert not compare(number, stages, shops=True).wrong


@pytest.fixture
def files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """At the hut a rope of some 27 m is missing, at the weir a block too."""
    monkeypatch.chdir(tmp_path)
    short = meadow().replace('length = "30 m"', 'length = "12 m"')
    (tmp_path / "hut.toml").write_text(short)
    begin = short.index('[[gear]]\nid = "snatch-100-roller"')
    few = short[:begin] + short[short.index('[[gear]]\nid = "shackle-11"') :]
    (tmp_path / "weir.toml").write_text(few)
    (tmp_path / "quay.csv").write_text(QUAY)
    (tmp_path / "yard.toml").write_text(YARD)
    (tmp_path / "lender.csv").write_text(LENT.format(fee=8))
    return tmp_path


def typed(capsys: pytest.CaptureFixture[str], words: str, code: int = 0) -> str:
    assert main(["buy", "--only-my-list", "--stages", "1", *words.split()]) == code
    printed = capsys.readouterr()
    return printed.err if code == 2 else printed.out


def answered(capsys: pytest.CaptureFixture[str], words: str) -> Any:
    bill = json.loads(typed(capsys, f"{words} --format json"))
    assert bill["proven"]
    return bill


def got(some: Any) -> dict[str, int]:
    return {f"{item['id']} of {item['shop']}": item["count"] for item in some}


def test_each_piece_is_bought_where_it_costs_least(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """220 + 40 at the quay, 190 + 55 in the yard: the rope there and the block here make 230."""
    bill = answered(capsys, "weir.toml --prices quay.csv --prices yard.toml")
    least = bill["options"][0]

    assert least["cost"] == 230
    assert got(least["items"]) == {"polyester-12 of old yard": 1, "snatch-100-roller of quay": 1}
    assert [(part["shop"], part["cost"]) for part in least["shops"]] == [
        ("old yard", 190),
        ("quay", 40),
    ]

    rows = typed(
        capsys, "weir.toml --prices quay.csv --prices yard.toml --format csv --table shops"
    )
    table = list(csv.DictReader(io.StringIO(rows)))
    assert [(row["place"], row["cost"]) for row in table[:2]] == [
        ("old yard", "190.0"),
        ("quay", "40.0"),
    ]
    for form in ("table", "markdown"):
        text = typed(capsys, f"weir.toml --prices quay.csv --prices yard.toml --format {form}")
        assert "To buy at old yard, 190:" in " ".join(text.split())
        assert "To buy at quay, 40:" in " ".join(text.split())


def test_a_shop_hears_inches_where_the_site_is_in_feet(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The catalogue's 12 mm are called 1/2 in (CI 1308-96), a sheave of 100 mm 4 in."""
    text = (files / "weir.toml").read_text().replace('units = "metric"', 'units = "imperial"')
    (files / "weir.toml").write_text(text)
    words = " ".join(typed(capsys, "weir.toml --prices quay.csv --prices yard.toml").split())

    assert "1 × polyester rope, three-strand, 1/2 in (nominal), 164 ft 1 in (polyester-12)" in words
    assert "4 in (nominal) sheave" in words


def test_what_is_short_in_one_shop_is_bought_in_the_next(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two ropes of 22 m, joined, do where one of 50 m would; the cheaper shop has one of them."""
    text = (files / "hut.toml").read_text().replace('length = "12 m"', 'length = "4 m"')
    text = text.replace('knots = ["bowline"]', 'knots = ["bowline", "double-sheet-bend"]')
    (files / "hut.toml").write_text(text)
    (files / "quay.csv").write_text("gear,length,price,stock\npolyester-12,22 m,30,1\n")
    (files / "yard.toml").write_text(YARD.replace("50 m", "22 m").replace("190", "45"))
    least = answered(capsys, "hut.toml --prices quay.csv --prices yard.toml")["options"][0]

    assert least["cost"] == 75
    assert got(least["items"]) == {"polyester-12 of quay": 1, "polyester-12 of old yard": 1}
    ropes = least["setup"]["joined"]
    assert {ropes["first"], ropes["second"]} == {
        "new polyester-12 x 22 m",
        "another new polyester-12 x 22 m",
    }


def test_what_is_lent_is_not_bought_and_goes_back(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lists = "--prices quay.csv --prices yard.toml --prices lender.csv"
    least = answered(capsys, f"weir.toml {lists}")["options"][0]

    assert (least["cost"], least["pieces"]) == (48, 2)
    assert got(least["items"]) == {"snatch-100-roller of quay": 1}
    assert got(least["lent"]) == {"polyester-12 of neighbour": 1}
    assert least["setup"]["rope"] == "lent polyester-12 x 40 m"

    text = " ".join(typed(capsys, f"hut.toml {lists}").split())
    assert "With what is lent nothing needs to be bought: no. 1." in text
    assert "Lent by neighbour for a fee of 8, to go back afterwards: 1 × polyester rope" in text
    assert "To buy" not in text
    in_full = " ".join(typed(capsys, f"hut.toml {lists} --show 1").split())
    assert "to go back afterwards" in in_full


def test_what_is_lent_counts_as_often_as_there_is_of_it(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """40 m for nothing are the least; of 14 m, too short, there is one: no two are joined."""
    lists = "--prices quay.csv --prices lender.csv"
    (files / "lender.csv").write_text(LENT.format(fee=0))
    free = answered(capsys, f"hut.toml {lists}")["options"][0]
    assert (free["cost"], got(free["items"])) == (0, {})

    (files / "lender.csv").write_text(LENT.format(fee=0).replace("40 m", "14 m"))
    short = answered(capsys, f"hut.toml {lists}")["options"][0]
    assert (short["cost"], got(short["lent"])) == (220, {})


def test_jobs_share_what_is_bought_and_what_is_lent(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lists = "--prices quay.csv --prices yard.toml --prices lender.csv"
    bill = answered(capsys, f"hut.toml weir.toml {lists}")
    least = bill["options"][0]

    assert least["cost"] == 48
    assert got(least["lent"]) == {"polyester-12 of neighbour": 1}
    assert [job["alone"]["cost"] for job in bill["jobs"]] == [8, 48]


@rare
def test_the_line_that_holds_the_load_takes_a_rope_besides_the_one_that_is_lent(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """8 for the lent one, 190 for another in the yard, 40 for the block."""
    lists = "--prices quay.csv --prices yard.toml --prices lender.csv"
    held = answered(capsys, f"weir.toml {lists} --hold")["options"][0]

    assert held["cost"] == 238
    assert got(held["lent"]) == {"polyester-12 of neighbour": 1}


def test_the_file_that_is_written_says_where_its_gear_is_from(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lists = "--prices quay.csv --prices yard.toml --prices lender.csv"
    promised = answered(capsys, f"weir.toml {lists}")["options"][0]["margin"]
    typed(capsys, f"weir.toml {lists} --write with.toml")
    text = (files / "with.toml").read_text()

    assert "# To buy at quay, 40: 1 × snatch block" in text
    assert "# Lent by neighbour for a fee of 8, to go back afterwards: 1 × polyester rope" in text
    rope = next(
        piece for piece in tomllib.loads(text)["gear"] if piece.get("name", "").startswith("lent")
    )
    assert (rope["length"], rope["condition"]) == ("40 m", "used")
    assert main(["rank", "with.toml", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["setups"][0]["margin"] >= promised - 1e-9


# ---- currencies ---------------------------------------------------------------------------------


def test_two_currencies_are_an_error_without_a_rate(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (files / "yard.toml").write_text('currency = "EUR"\n' + YARD)
    (files / "quay.csv").write_text("gear,length,price,currency\npolyester-12,50 m,220,USD\n")
    lists = "hut.toml --prices yard.toml --prices quay.csv"
    message = typed(capsys, lists, code=2)

    assert message.startswith("quay.csv:2: prices are in USD here and in EUR at yard.toml:4:")
    assert "--rate '1 USD = ... EUR'" in message


def test_a_price_in_another_currency_is_printed_as_it_is_written(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """200 USD at 0.9 are 180 EUR, less than 190 EUR; at 0.96 they are 192, more."""
    (files / "yard.toml").write_text('currency = "EUR"\n' + YARD)
    (files / "quay.csv").write_text("gear,length,price,currency\npolyester-12,50 m,200,USD\n")

    def bought(rate: str) -> Any:
        words = [
            "buy",
            "hut.toml",
            "--prices",
            "yard.toml",
            "--prices",
            "quay.csv",
            "--stages",
            "1",
        ]
        words += ["--only-my-list", "--rate", rate]
        assert main([*words, "--format", "json"]) == 0
        bill = json.loads(capsys.readouterr().out)
        assert main(words) == 0
        return bill, " ".join(capsys.readouterr().out.split())

    bill, text = bought("1 USD = 0.9 EUR")
    (rope,) = bill["options"][0]["items"]
    assert (bill["currency"], rope["price"]) == ("EUR", 180)
    assert (rope["price_stated"], rope["currency_stated"]) == (200, "USD")
    assert "To buy at quay, 180 EUR: 1 × polyester rope" in text
    assert "200 USD (180 EUR)." in text

    bill, text = bought("1 USD = 0.96 EUR")
    assert (bill["options"][0]["cost"], bill["options"][0]["items"][0]["shop"]) == (190, "old yard")
    bill, _ = bought("1 EUR = 1.25 USD")  # into the currency that the rate leads to
    assert (bill["currency"], bill["options"][0]["cost"]) == ("USD", 200)


def test_a_site_has_one_currency_with_its_price_lists(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (files / "hut.toml").read_text()
    (files / "hut.toml").write_text(text.replace("[preferences]", '[preferences]\ncurrency = "kr"'))
    (files / "quay.csv").write_text("gear,length,price,currency\npolyester-12,50 m,220,USD\n")
    message = typed(capsys, "hut.toml --prices quay.csv", code=2)

    assert message.startswith("quay.csv:2: prices are in USD here and in kr in the site file:")


def test_rates() -> None:
    assert read_rate("1 US$ = 0.9 EUR") == Rate("US$", 0.9, "EUR")
    assert Rate("USD", 0.8, "EUR").factor("eur", "usd") == 1.25
    for text in ("0.9", "2 USD = 1.8 EUR", "1 USD = 0 EUR", "1 USD = EUR"):
        with pytest.raises(ValueError, match="expected a rate such as"):
            read_rate(text)


# ---- placeholders -------------------------------------------------------------------------------


def test_every_sum_with_a_placeholder_in_it_is_marked(files: Path) -> None:
    """The rope is on the own list, the block of the weir on none."""
    (files / "quay.csv").write_text("gear,length,price\npolyester-12,50 m,1\n")
    block = "snatch-100-roller"
    items = merge_prices({block: load_prices()[block]}, "quay.csv")
    sites = [read_site("hut.toml"), read_site("weir.toml")]
    found = buy(sites, BuyQuestion(most_stages=1), items=items)
    text = " ".join(printed(report(sites, found), "table").split())
    cost = items[block].price

    assert [option.placeholder for option in found.options] == [True]
    assert [job.alone.placeholder for job in found.jobs] == [False, True]
    assert f"{cost + 1:g} (placeholder) 1.88" in text  # cost and margin of the only option
    assert text.count("(placeholder)") == 5  # spared, cost, by itself, saved, and the note
    assert "PLACEHOLDER PRICES" in text

    alone = buy(sites[1], BuyQuestion(most_stages=1), items=items)
    assert f"| {cost + 1:g} (placeholder) |" in printed(one_job.report(sites[1], alone), "markdown")
    in_full = printed(one_job.shown(sites[1], alone.options[0]), "table")
    assert f"for {cost + 1:g} (placeholder)." in in_full
