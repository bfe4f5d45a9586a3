"""`lower` lists what the enumeration lists; on many sites by `tests.lower.against_oracle`."""

from collections import Counter
from dataclasses import replace

import pytest

from tests.long import cases
from tests.lower.against_oracle import differences
from tests.lower.small_sites import coarse_site


@pytest.mark.parametrize("number", cases(range(40), quick=[0, 2, 3, 29]))
def test_same_list_as_the_enumeration(number: int) -> None:
    assert not list(differences(coarse_site(number), Counter()))


def test_a_bridle_counts_where_it_comes_to_rest_with_sheaves_that_run_free() -> None:
    """One way down here pulls 0.0887 aside with its sheaves as rated, and as much with the ring
    straight ahead; with the ring at rest and sheaves that run free, 0.0897. The limit lies between."""
    site = coarse_site(42)
    tight = replace(site.preferences, side_pull_rolling=0.0892, margin_wanted=0.01)

    assert not list(differences(replace(site, preferences=tight), Counter()))
