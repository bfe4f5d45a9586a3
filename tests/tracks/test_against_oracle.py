"""Where a puller stands, against the enumeration over every candidate spot (`python -m tests.tracks` compares
many)."""

import pytest

from tests.long import long
from tests.tracks.against_oracle import compared


@pytest.mark.parametrize("number", [0, 9])
def test_same_list_over_every_spot_of_a_track(number: int) -> None:
    assert len(compared(number)) == (10 if number == 0 else 1)


@long
@pytest.mark.parametrize("number", [1, 2, 3, 5])
def test_same_list_over_every_spot(number: int) -> None:
    compared(number)
