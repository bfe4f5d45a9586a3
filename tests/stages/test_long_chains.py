"""A few of the winding paths that `python -m tests.stages.long_chains` compares."""

import pytest

from tests.long import cases
from tests.stages.long_chains import compare


@pytest.mark.parametrize("seed", cases(range(6), quick=[0, 1], seldom=[2, 4]))
def test_no_chain_of_four_or_more_stages_is_better(seed: int) -> None:
    found = compare(seed)

    assert not found.wrong
    assert found.stages == 0 or found.stages >= 4


def test_no_chain_round_nine_or_ten_bends_is_better() -> None:
    found = compare(3, 9, 10, grain=50.0)  # stages end at bends: the command has more ends

    assert not found.wrong
    assert found.stages >= 9
