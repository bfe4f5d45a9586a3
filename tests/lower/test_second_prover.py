"""The one search lists the same ways down as another prover; on 500 sites by `tests.lower.second_prover`."""

import pytest

from tests.lower.second_prover import differences, proved, searched, small_site


@pytest.mark.parametrize("seed", [1, 2, 3, 5, 6, 14, 20])
def test_two_provers_list_the_same_ways_down(seed: int) -> None:
    site = small_site(seed)
    found = searched(site)

    assert found
    assert differences(found, proved(site)) == []
