"""Pickets face half way between the pulls that lead furthest to either side, so these may be twice as far
apart as a pull may lead aside: the angle between them is plain geometry."""

from math import atan, degrees

import pytest

from tests.made import meadow
from tests.piped import printed, replaced

AWAY = 13.5, 5.5
"""m along the path from the hitch to the anchor, where the load starts and where it is in the end."""
EITHER_WAY = 10.0
"""degrees, `pull_aside`: the project's own choice."""


def beside(aside: float) -> str:
    """The meadow with the pickets so many m to the right of the path, so that the pull on them swings to one
    side all the way; people pull almost straight ahead."""
    moves = {
        'at = ["14 m", "0 m", "0 m"]': f'at = ["14 m", "-{aside} m", "0 m"]',
        'at = ["14 m", "6 m", "0 m"]': 'at = ["13 m", "2.5 m", "0 m"]',
        'towards = ["14 m", "40 m", "0 m"]': 'towards = ["30 m", "6 m", "0 m"]',
    }
    return replaced(meadow.pickets("1-1"), *moves.items())


@pytest.mark.parametrize(("aside", "stands"), [(4.0, True), (4.2, False)])
def test_pulls_may_spread_twice_as_far_as_one_may_lead_aside(aside: float, stands: bool) -> None:
    first, last = (degrees(atan(aside / away)) for away in AWAY)
    assert (last - first <= 2.0 * EITHER_WAY) == stands

    code, text = printed(beside(aside), "why", "the anchor > load > six of us")

    assert code == (0 if stands else 3)
    assert ("1 check fails: anchor pulled in its own line" in text) != stands
