"""The search against the enumeration on banks with crests; `python -m tests.edges.against_enumeration`
compares hundreds of them."""

from collections import Counter

from tests.edges.against_enumeration import differences
from tests.edges.sites import site

SOME = range(1, 37, 3)


def test_same_list_as_the_enumeration() -> None:
    met: Counter[str] = Counter()
    wrong = [f"{number}: {text}" for number in SOME for text in differences(site(number), met)]
    assert not wrong
    assert met["lists"] >= 5
    assert met["bent"] >= 10
