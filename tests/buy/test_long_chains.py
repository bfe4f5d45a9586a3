"""A few of the winding paths that `python -m tests.buy.long_chains` compares."""

import pytest

from tests.buy.long_chains import compare
from tests.long import cases


@pytest.mark.parametrize("seed", cases([1, 2], quick=[1], seldom=[2]))
def test_no_set_of_pieces_for_less_money_does_in_any_number_of_stages(seed: int) -> None:
    found = compare(seed)

    assert not found.wrong
    assert found.stages >= 4
    assert found.tried > 5
