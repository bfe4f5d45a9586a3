"""`bankhaul buy` as it is called."""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from catalogue.prices import PricedItem
from optimiser.cli import main
from optimiser.jobs.buy import shop
from optimiser.jobs.buy.results import Purchases
from optimiser.jobs.question import BuyQuestion
from optimiser.site.model import Site

SLEDGE = str(Path(__file__).parents[2] / "examples" / "sledge.toml")


@pytest.fixture(scope="module", autouse=True)
def worked_out_once() -> Iterator[None]:
    """The tests here print one and the same purchase in several ways: it is looked for once."""
    known: list[tuple[object, Purchases]] = []
    buy = shop.buy

    def once(
        site: Site, question: BuyQuestion, *, items: Mapping[str, PricedItem], **rest: Any
    ) -> Purchases:
        wanted = (site, question, dict(items))
        for before, found in known:
            if before == wanted:
                return found
        found = buy(site, question, items=items, **rest)
        known.append((wanted, found))
        return found

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(shop, "buy", once)
        yield


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = main(["buy", *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_the_table_names_placeholder_prices_and_the_proof(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = answer(capsys, SLEDGE)
    assert code == 0
    assert "PLACEHOLDER PRICES" in out
    assert "NOTHING NEEDS TO BE BOUGHT" in out
    assert "Proven: nothing less hauls it in up to 4 stages" in out


def test_json_is_one_object(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = answer(capsys, SLEDGE, "--format", "json")
    assert code == 0
    found = json.loads(out)
    first = found["options"][0]
    assert first["cost"] == 0
    assert first["setup"]["margin"] >= found["margin_wanted"]
    assert found["proven"] is True


def test_an_option_is_spelt_out(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = answer(capsys, SLEDGE, "--show", "1")
    assert code == 0
    assert "What every piece carries" in out


def test_an_option_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = answer(capsys, SLEDGE, "--show", "99")
    assert code == 2
    assert "there is no option 99" in err


def test_a_price_list_that_is_none(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "own.csv"
    path.write_text("gear,price\nshackel-13,4\n", encoding="utf-8")
    code, _, err = answer(capsys, SLEDGE, "--prices", str(path))
    assert code == 2
    assert "did you mean 'shackle-13'" in err


def test_only_my_list_needs_a_list(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = answer(capsys, SLEDGE, "--only-my-list")
    assert code == 2
    assert "--prices" in err
