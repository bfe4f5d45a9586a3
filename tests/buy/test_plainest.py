"""The plainest purchase comes first, the least money is named beside it, and no further step of money brings
less than a quarter of margin or half of the resets."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

import optimiser.site
from optimiser.cli import main
from optimiser.search.buying.worth import worth
from tests.buy.plainest import compare
from tests.long import cases

DEMONSTRATION = Path(optimiser.site.__file__).parent / "demonstration.toml"
QUARTER = 0.25


def answer(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    assert main(["buy", *words, "--format", "json"]) == 0
    return json.loads(capsys.readouterr().out)


def bought(option: Any) -> dict[str, int]:
    return {item["item"]: item["count"] for item in option["items"]}


@pytest.fixture
def no_straps(tmp_path: Path) -> tuple[str, ...]:
    """The demonstration, whose owner has lost all straps; a shop that has one chain and one sling."""
    text = DEMONSTRATION.read_text(encoding="utf-8")
    for id in ("sling-60-3m", "strap-50-3m", "sling-30-2m"):
        text, many = re.subn(rf'\[\[gear\]\]\nid = "{id}"\n(?:.+\n)+\n', "", text)
        assert many == 1
    site, shop = tmp_path / "site.toml", tmp_path / "shop.csv"
    site.write_text(text, encoding="utf-8")
    shop.write_text("gear,length,price\nchain-8-g80,3 m,20\nsling-60-3m,,22\n", encoding="utf-8")
    return str(site), "--prices", str(shop), "--only-my-list"


def test_a_sling_comes_before_a_chain_that_costs_a_little_less(
    no_straps: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    found = answer(capsys, *no_straps)
    first, second = found["options"][:2]

    assert bought(first) == {"sling-60-3m": 1}
    assert "plainest" in first["goals"]
    assert first["unusual"] == []
    assert bought(second) == {"chain-8-g80 x 3 m": 1}
    assert "least money" in second["goals"]
    assert second["unusual"] == ["chain"]
    assert second["against_first"]["cost"] == -2
    assert found["plainest_proven"] is True
    assert found["plainest_within"] == 24.0


def test_the_words_name_the_least_money_and_what_is_plainer(
    no_straps: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["buy", *no_straps]) == 0
    found = " ".join(capsys.readouterr().out.split())

    assert (
        "The least money is 20, for 1 × chain-8-g80 3 m; plainer, at 22: 1 × sling-60-3m." in found
    )
    assert "Proven: nothing less hauls it" in found


def test_what_costs_more_than_a_fifth_above_the_least_is_not_called_plainer(
    no_straps: tuple[str, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "shop.csv").write_text(
        "gear,length,price\nchain-8-g80,3 m,20\nsling-60-3m,,25\n", encoding="utf-8"
    )
    first = answer(capsys, *no_straps)["options"][0]

    assert bought(first) == {"chain-8-g80 x 3 m": 1}
    assert {"least money", "plainest"} <= set(first["goals"])


def test_a_step_of_margin_that_brings_a_tenth_is_not_named(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The demonstration reaches 1.90 with the gear owned, and 2 is enough."""
    found = answer(capsys)

    assert [option["goals"] for option in found["options"]] == [["buy nothing"]]
    assert main(["buy"]) == 0
    assert "margin 2 or more" not in capsys.readouterr().out


def test_every_step_states_what_it_brings_and_brings_what_it_names(
    no_straps: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    options = answer(capsys, *no_straps)["options"]
    steps = [o for o in options if all(g.startswith("margin") for g in o["goals"])]

    assert steps
    reached = options[0]["margin"]
    for step in sorted(steps, key=lambda option: option["cost"]):
        assert step["margin"] >= reached + QUARTER - 1e-9
        assert step["margin"] >= max(float(goal.split()[1]) for goal in step["goals"]) - 1e-9
        assert step["against_first"]["margin"] == pytest.approx(
            step["margin"] - options[0]["margin"]
        )
        reached = step["margin"]


@pytest.mark.parametrize(
    ("reached", "enough", "wanted"),
    [(1.0, 2.0, 1.3), (1.04, 2.0, 1.3), (1.75, 2.0, 2.0), (1.76, 2.0, None), (1.9, 2.0, None)],
)
def test_the_next_margin_worth_naming(reached: float, enough: float, wanted: float | None) -> None:
    found = worth().next_margin(reached, enough)

    assert found == (None if wanted is None else pytest.approx(wanted))


@pytest.mark.parametrize(("resets", "left"), [(9, 4), (4, 2), (3, 1), (2, 1), (1, 0), (0, None)])
def test_the_next_resets_worth_naming(resets: int, left: int | None) -> None:
    assert worth().next_resets(resets) == left


@pytest.mark.parametrize("seed", cases([10, 14, 22, 32, 36, 62], quick=[36], seldom=[22, 32, 62]))
def test_the_plainest_is_what_trying_everything_finds(seed: int) -> None:
    """`python -m tests.buy.plainest` does so on 200 sites."""
    found = compare(seed)

    assert found.tried is not None
    assert found.stated == found.tried
