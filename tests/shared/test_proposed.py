"""Anchors that are not there yet, proposed where nothing works with those that are."""

from pathlib import Path

import pytest

from optimiser.jobs.rank import rank
from optimiser.site.reading import read_site
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
        begin = text.index('name = "short rope"')
        begin, end = text.rindex("[[gear]]", 0, begin), text.index("[[", begin)
        text = text[:begin] + text[end:]
    _, found = answered(text, "buy", "--stages", "1", "--no-compound")
    assert found["with_sling"] is not None
    sling = found["with_sling"]
    assert sling["sling"]["trees"] == ["left birch", "right birch"]
    assert bool(sling["items"]) == lacking
    bought = "".join(
        f'\n[[gear]]\nid = "{item["gear"]}"\nname = "bought {number}"\ncount = {item["count"]}\n'
        'condition = "new"\n'
        + (
            f'length = "{item["length_m"]} m"\nends = ["bare", "bare"]\n'
            if item["length_m"]
            else ""
        )
        for number, item in enumerate(sling["items"])
    )
    best = rank(read_site(f"{text}{bought}\n{PAIR}")).setups[0]
    assert best.margin == pytest.approx(sling["margin"], abs=1e-6)
    assert best.resets == sling["resets"]
