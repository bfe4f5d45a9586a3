"""Blocks, shackles, knots and splices stay off the edge that their rope runs over: a site file in, a
command's answer out."""

from math import floor
from typing import Any

import pytest

from tests.edges.bank import bank
from tests.piped import answered

SHACKLE = 0.09525
"""m, of the catalogue's shackle-25."""
SPLICE = 0.2
"""m from the bearing point of an end to the plain rope."""
CREST = 6.0 * 2**0.5


def stops(text: str) -> list[str]:
    """The cautions of the first setup that speak of it."""
    found: dict[str, Any] = answered(text, "show", "1")[1]
    return [
        c["text"] for c in found["cautions"] if "hauled onto what a rope runs over" in c["text"]
    ]


def test_the_load_is_stopped_a_hand_before_its_shackle_comes_to_the_edge() -> None:
    """The eye is over the load's reference point: splice, shackle and 10 cm before the crest."""
    at = floor((CREST - SPLICE - SHACKLE - 0.1) * 100) / 100
    (text, *_) = stops(bank(0.2))

    assert f"Stop with the load at {at:.2f} m" in text
    assert "(0.30 m long) comes within 0.10 m of where the rope bends" in text


def test_a_rope_that_hangs_free_before_that_stops_nobody() -> None:
    """An eye high above what lies on the crest, and a ring as high beyond."""
    high = bank(0.2, ring=(20.0, 8.0)).replace('height = "0.07 m"', 'height = "0.6 m"')
    found = answered(high, "show", "1")[1]

    (contact,) = found["contacts"]
    assert contact["load_to_m"] < CREST - SPLICE - SHACKLE - 0.1
    assert stops(high) == []


@pytest.mark.parametrize("behind", [0.9, 1.2])
def test_an_eye_far_enough_back_never_comes_there(behind: float) -> None:
    text = bank(0.2).replace('ahead = "0 m"', f'ahead = "{-behind} m"')

    assert not any(f"edge at {CREST:.2f} m" in one for one in stops(text))
