"""A hitch lower than what lies on the crest is hauled into it (statics: a rope cannot pull through it)."""

import pytest

from tests.edges.bank import bank
from tests.piped import answered


def site(height: float) -> str:
    """The trolley, its hitch so high, m, in front of it, and a pole that holds the rope 5 cm up."""
    return (
        bank(0.2, ring=(20.0, 6.3), beyond=3.0)
        .replace('height = "0.07 m"', f'height = "{height} m"')
        .replace('ahead = "0 m"', 'ahead = "0.7 m"')
        .replace('overhang = "0.2 m"', 'overhang = "1.2 m"')
    )


@pytest.mark.parametrize(("height", "works"), [(0.02, False), (0.5, True)])
def test_a_hitch_below_what_lies_on_the_crest_does_not_get_past_it(
    height: float, works: bool
) -> None:
    """The foot of the crest is 8.49 m along a path of 45°."""
    code, answer = answered(site(height), "rank")
    assert (code == 0) == works
    assert bool(answer["setups"]) == works


def test_stages_neither() -> None:
    """There is no other setup for the rest of the way."""
    assert answered(site(0.02), "stages")[0] == 3
