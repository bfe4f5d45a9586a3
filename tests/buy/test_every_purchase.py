"""A few of the sites that `python -m tests.buy.every_purchase` compares, and purchases of a rope that is
too short alone, as somebody types them."""

import json
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from optimiser.cli import main
from tests.buy.every_purchase import Compared, compare
from tests.long import cases, long

SITES = range(10)
QUICK = (0, 1, 2, 3, 6, 7, 9)
IN_STAGES = (11, 13, 14)
SHORT = (Path(__file__).parents[2] / "examples" / "short-rope.toml").read_text()


@cache
def compared(number: int, stages: int) -> Compared:
    return compare(number, stages)


@pytest.mark.parametrize(
    ("number", "stages"),
    cases(
        [*((n, 1) for n in SITES), *((n, 2) for n in IN_STAGES)],
        quick=[*((n, 1) for n in QUICK), (11, 2), (13, 2)],
        seldom=[(14, 2)],
    ),
)
def test_nothing_less_hauls_it_and_what_is_bought_does_as_promised(
    number: int, stages: int
) -> None:
    assert not compared(number, stages).wrong


@pytest.mark.parametrize(
    ("numbers", "share"), [(QUICK, 0.4), pytest.param(SITES, 1.0, marks=long)], ids=["quick", "all"]
)
def test_these_sites_lack_something_and_take_ropes_that_are_put_together(
    numbers: Sequence[int], share: float
) -> None:
    """Else the comparison above compares nothing."""
    found = [compared(number, 1) for number in numbers]
    assert sum(one.needed and one.helped for one in found) >= 5 * share
    assert sum(one.put_together for one in found) >= 3 * share
    assert sum(one.tried for one in found) >= 100 * share


# ---- as somebody types it -----------------------------------------------------------------------


@pytest.fixture
def files(tmp_path: Path) -> Path:
    """The meadow of the example with a short rope, whose owner has 12 m of it."""
    begin, end = SHORT.index('[[path.leg]]\nto = ["20.2 m"'), SHORT.index("[load]")
    text = (SHORT[:begin] + SHORT[end:]).replace('length = "30 m"', 'length = "12 m"')
    (tmp_path / "site.toml").write_text(text)
    return tmp_path


def answered(files: Path, capsys: pytest.CaptureFixture[str], prices: str, *words: str) -> Any:
    (files / "shop.csv").write_text(prices)
    shop = ["--prices", str(files / "shop.csv"), "--only-my-list", "--format", "json"]
    code = main(["buy", str(files / "site.toml"), *shop, "--stages", "1", *words])
    bill = json.loads(capsys.readouterr().out)
    assert code == (0 if bill["options"] else 3)
    return bill


def least(bill: Any) -> Any:
    return next(option for option in bill["options"] if "least money" in option["goals"])


def bought(option: Any) -> dict[str, int]:
    return {item["item"]: item["count"] for item in option["items"]}


def test_a_shorter_rope_that_an_owned_strap_lengthens_is_the_least(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It takes 27.2 m: 26 m for 110 and a strap of 2 m that is there do it, not only 50 m for 220."""
    prices = "gear,length,price\npolyester-12,26 m,110\npolyester-12,50 m,220\n"
    bill = answered(files, capsys, prices)
    option = least(bill)

    assert bill["proven"]
    assert bought(option) == {"polyester-12 x 26 m": 1}
    assert option["cost"] == 110
    assert option["setup"]["joined"]["first"] == "tree strap"
    assert option["setup"]["rope_needed_m"] > 26.0

    whole = least(answered(files, capsys, prices, "--whole-ropes"))
    assert bought(whole) == {"polyester-12 x 50 m": 1}


def test_what_is_bought_and_put_into_the_file_is_ranked_with_that_margin(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    prices = "gear,length,price\npolyester-12,26 m,110\npolyester-12,50 m,220\n"
    option = least(answered(files, capsys, prices))
    fields = 'name = "new"', 'length = "26 m"', 'condition = "new"', 'ends = ["bare", "bare"]'
    more = "\n".join(('[[gear]]\nid = "polyester-12"', *fields))
    text = (files / "site.toml").read_text().replace("[preferences]", f"{more}\n\n[preferences]")
    (files / "bought.toml").write_text(text)
    main(["rank", str(files / "bought.toml"), "--format", "json"])
    best = json.loads(capsys.readouterr().out)["setups"][0]

    assert best["margin"] >= option["margin"] - 1e-9
    assert best["joined"] == {"first": "tree strap", "second": "new", "bend": None}


def test_a_new_chain_lengthens_the_rope_that_is_there(
    files: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """24 m of rope is 3.2 m short, a strap of 2 m does not make up for that; a chain of 4 m does."""
    path = files / "site.toml"
    path.write_text(path.read_text().replace('length = "12 m"', 'length = "24 m"'))
    prices = "gear,length,price\nchain-8-g43,4 m,60\npolyester-12,50 m,220\n"
    option = least(answered(files, capsys, prices))

    assert option["cost"] == 60
    assert [item["name"] for item in option["items"]]
    assert option["setup"]["joined"]["second"] == "30 m rope"


def test_two_equal_new_ropes_are_joined(files: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two ropes of 22 m, joined by a bend, for 80 in all instead of 50 m for 220; without a bend among the
    knots nobody joins them. The rope that is there is no help."""
    path = files / "site.toml"
    path.write_text(path.read_text().replace('length = "12 m"', 'length = "4 m"'))
    prices = "gear,length,price\npolyester-12,22 m,40\npolyester-12,50 m,220\n"
    assert least(answered(files, capsys, prices))["cost"] == 220

    knots = 'knots = ["bowline", "double-sheet-bend"]'
    path.write_text(path.read_text().replace('knots = ["bowline"]', knots))
    option = least(answered(files, capsys, prices))

    assert bought(option) == {"polyester-12 x 22 m": 2}
    assert option["cost"] == 80
    joined = option["setup"]["joined"]
    assert joined["first"] == joined["second"]
    assert joined["bend"]
