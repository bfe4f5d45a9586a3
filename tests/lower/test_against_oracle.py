"""`lower` lists what the enumeration lists; on many sites by `tests.lower.against_oracle`."""

from collections import Counter

import pytest

from tests.long import cases
from tests.lower.against_oracle import differences
from tests.lower.small_sites import coarse_site


@pytest.mark.parametrize("number", cases(range(40), quick=[0, 2, 3, 5]))
def test_same_list_as_the_enumeration(number: int) -> None:
    assert not list(differences(coarse_site(number), Counter()))
