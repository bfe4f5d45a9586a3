"""A shackle's pin has to go through the eye of what hangs and the eye that it hangs in."""

import pytest

from tests.piped import answered
from tests.uncertainty.straight import text

PIN = 22.0
"""mm, of a 3/4 in bow shackle, as trade sheets have it (in the catalogue)."""


@pytest.mark.parametrize(
    ("ring", "block", "hung"),
    [
        (60.0, 30.0, True),
        (PIN + 1.0, 30.0, True),
        (60.0, PIN + 1.0, True),
        (PIN - 1.0, 30.0, False),
        (60.0, PIN - 1.0, False),
    ],
)
def test_a_block_hangs_on_a_ring_where_the_pin_goes_through_both(
    ring: float, block: float, hung: bool
) -> None:
    site = text().replace('eye = "60 mm"', f'eye = "{ring} mm"')
    site = site.replace('eye = "30 mm"', f'eye = "{block} mm"')
    site = site.replace(
        'condition = "good"\n\n[[gear]]\nid', 'condition = "good"\ncount = 3\n\n[[gear]]\nid'
    )
    _, found = answered(site, "rank", "--all", "--top", "20")
    at_ring = {
        piece["how"]
        for setup in found["setups"]
        for piece in setup["gear"]
        if piece["role"] == "block" and piece["place"].startswith("ring")
    }
    assert bool(at_ring) == hung
