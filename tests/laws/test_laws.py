"""Laws of the trade on made-up banks, site file in, JSON out; many more by `python -m tests.laws`."""

from itertools import count
from pathlib import Path

import pytest

from tests.laws.banks import FEATURES, bank, features
from tests.laws.judged import BALANCE, LAWS, answer, best, changed, listed, violated
from tests.laws.statics import faults, plain


@pytest.mark.parametrize("law", [law for law in LAWS if law != BALANCE])
def test_it_holds_on_a_bank(law: str, tmp_path: Path) -> None:
    """One bank in the tests; which one is as good as any on which there is something to change."""
    able = (number for number in count(40 + 7 * LAWS.index(law)) if changed(law, number))
    assert violated(law, next(able), tmp_path) == ""


@pytest.mark.parametrize("number", [2, 8, 16])
def test_statics_by_hand(number: int, tmp_path: Path) -> None:
    """Balance along the way at every place, blocks as sums of their parts, margins as quotients."""
    without = frozenset({"ranges", "stuck", "track", "edge", "bridle", "made anchors"})
    document = bank(number, without=without)
    shown = answer(document, tmp_path, "show", "1")
    assert plain(document, shown)
    assert len(shown["path"]) > 10
    assert faults(document, shown) == []


def test_where_one_rope_does_none_is_joined_whatever_margin_that_would_bring(
    tmp_path: Path,
) -> None:
    """With a third more pull bank 39 is hauled with one rope, with less margin than with two before."""
    before, after = changed("more pull", 39) or (None, None)
    assert before is not None
    assert after is not None
    (two,), (one,) = listed(before, tmp_path), listed(after, tmp_path)
    assert two["joined"] is not None
    assert one["joined"] is None
    assert one["margin"] < two["margin"]
    assert violated("more pull", 39, tmp_path) == ""


def test_within_a_band_of_margin_the_puller_is_moved_for_less_rope(tmp_path: Path) -> None:
    """On rougher ground the tractor of bank 595 stays where margin is a trifle greater."""
    before, after = changed("rougher", 595) or (None, None)
    assert before is not None
    assert after is not None
    one, other = listed(before, tmp_path)[0], listed(after, tmp_path)[0]
    assert one["margin"] < other["margin"] < one["margin"] * 1.001
    assert one["rope_needed_m"] < other["rope_needed_m"]
    assert (one["standing"]["refined"], other["standing"]["refined"]) == (True, False)
    assert violated("rougher", 595, tmp_path) == ""


def test_the_banks_are_no_empty_claim(tmp_path: Path) -> None:
    """Every feature comes up, and most of the banks can be hauled."""
    assert {name for number in range(30) for name in features(number)} == set(FEATURES)
    found = [best(bank(number), tmp_path) for number in (2, 8, 16, 21)]
    assert all(margin > 1.0 for margin in found)
