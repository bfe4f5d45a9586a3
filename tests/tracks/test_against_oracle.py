"""Where a puller stands, against the enumeration over every candidate spot (`python -m tests.tracks` compares
many)."""

import pytest

from tests.long import cases
from tests.tracks.against_oracle import compared


@pytest.mark.parametrize("number", [0, 9])
def test_same_list_over_every_spot_of_a_track(number: int) -> None:
    assert len(compared(number)) == (10 if number == 0 else 1)


@pytest.mark.parametrize("number", cases([1, 2, 3, 5], quick=[], seldom=[2]))
def test_same_list_over_every_spot(number: int) -> None:
    compared(number)
