"""Anchors that are not there yet, proposed where nothing works with those that are."""

from pathlib import Path

import pytest

from catalogue.gear import Rope
from catalogue.prices import load_prices
from optimiser import BuyQuestion, buy
from optimiser.jobs.rank import rank
from optimiser.site.reading import read_site
from optimiser.telling.buy import purchases_json, report
from tests.piped import answered

EXAMPLES = Path(__file__).parents[2] / "examples"


def _cures(text: str) -> list[str]:
    code, found = answered(text, "rank")
    assert code == 3
    return [miss["change"]["text"] for miss in found["misses"]]


def test_a_sling_between_the_birches() -> None:
    """Without the pair nothing works; what is proposed is what the file had."""
    pair = '[[pair]]\ntrees = ["left birch", "right birch"]\n'
    text = (EXAMPLES / "two-birches.toml").read_text()
    cures = " ".join(_cures(text.replace(pair, "")))
    assert "tie short rope as a sling between left birch and right birch" in cures
    assert '[[pair]] trees = ["left birch", "right birch"]' in cures


def test_pickets_beyond_the_end_of_the_path() -> None:
    """What is proposed does when it is written into the file."""
    text = (EXAMPLES / "meadow.toml").read_text()
    begin, end = text.index("[[made]]"), text.index("[[puller]]")
    (cure,) = [c for c in _cures(text[:begin] + text[end:]) if "pickets" in c]
    assert "ask first where cables, pipes and drains lie" in cure
    entry = cure[cure.index("[[made]] with ") :].removesuffix(")")
    made = (
        entry.replace(" with ", "\n")
        .replace(", spots", "\nspots")
        .replace(", holdfast", "\nholdfast")
    )
    made += "\n\n"
    assert rank(read_site(text[:begin] + made + text[end:])).setups


PAIR = '[[pair]]\ntrees = ["left birch", "right birch"]\n'
BIRCHES = (EXAMPLES / "two-birches.toml").read_text()
APART = BIRCHES.replace(PAIR, "")
REEVING = "load > right birch@0.3 m > load > five of us"


def test_why_proposes_the_sling_in_place_of_the_birch_that_is_too_weak() -> None:
    """The same reeving with both birches in the place of one does, once the file has the pair."""
    assert APART != BIRCHES
    code, found = answered(APART, "why", REEVING)
    assert code == 3
    (weak,) = [c for c in found["checks"] if not c["passed"] and "right birch" in c["where"]]
    assert "in place of right birch tie a rope as a sling" in weak["change"]["text"]
    code, found = answered(
        BIRCHES, "why", REEVING.replace("right birch@", "left birch & right birch@")
    )
    assert code == 0
    assert all(check["passed"] for check in found["checks"])


@pytest.mark.parametrize("lacking", [False, True], ids=["gear enough", "no rope for the sling"])
def test_buy_proposes_the_sling_and_what_it_takes(lacking: bool) -> None:
    """Only ropes are for sale. What is printed does when it is written into the file and bought."""
    text = APART
    if lacking:
        at = text.index('name = "short rope"')
        text = text[: text.rindex("[[gear]]", 0, at)] + text[text.index("[[", at) :]
    ropes = {id: item for id, item in load_prices().items() if isinstance(item.gear, Rope)}
    question = BuyQuestion(compound=False, most_stages=1)
    site = read_site(text)
    found = buy(site, question, items=ropes)
    assert found.tied is not None
    sling, option = found.tied.sling, found.tied.option
    assert sling.trees == ("left birch", "right birch")
    assert bool(option.items) == lacking
    assert "Tie a rope as a sling between left birch and right birch" in str(report(site, found))
    assert purchases_json(found)["with_sling"]["cost"] == option.cost
    bought = "".join(
        f'\n[[gear]]\nid = "{item.gear}"\nname = "bought"\nlength = "{item.length} m"\n'
        'ends = ["bare", "bare"]\ncondition = "new"\n'
        for item in option.items
    )
    best = rank(read_site(f"{text}{bought}\n{PAIR}")).setups[0]
    assert best.margin == pytest.approx(option.margin, abs=1e-6)
    assert best.resets == option.resets
