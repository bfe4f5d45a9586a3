"""The one search lists the same ways down as another prover on sites too large to try all of them
(`test_against_oracle.py`); on 500 sites by `tests.lower.second_prover`."""

import pytest

from tests.lower.second_prover import differences, proved, searched
from tests.lower.small_sites import small_site


@pytest.mark.parametrize("seed", [3, 20])
def test_two_provers_list_the_same_ways_down(seed: int) -> None:
    site = small_site(seed)
    found = searched(site)

    assert found
    assert differences(found, proved(site)) == []
