"""What may hang on a sling between two trees, and what is refused, through a site file and a command."""

import pytest

from optimiser.site.reading import read_site
from shared.errors import InputError
from tests.piped import printed
from tests.shared.orchard import BOTH, orchard, setups


def _reevings(text: str) -> list[tuple[str, ...]]:
    return [tuple(found["reeving"]) for found in setups(text)]


def test_nothing_is_shared_unless_the_file_says_so() -> None:
    assert not any("&" in place for way in _reevings(orchard("")) for place in way)


def test_pairs_by_how_far_apart_they_stand() -> None:
    assert BOTH in _reevings(orchard('within = "2.1 m"'))
    assert BOTH not in _reevings(orchard('within = "1.9 m"'))


def test_one_line_on_a_sling_and_nothing_on_its_trees() -> None:
    ways = [way for way in _reevings(orchard()) if any("&" in place for place in way)]
    assert ways
    for way in ways:
        assert sum("&" in place for place in way) == 1
        assert not any(place.startswith(("ash@", "elm@")) for place in way)


def test_a_sling_that_does_not_reach() -> None:
    """Legs of 4 m, and a turn and a half round each trunk of 1.26 m girth: 6 m are not enough."""
    assert BOTH not in _reevings(orchard(sling="6 m"))


def test_the_bow_is_as_thick_as_the_sling() -> None:
    assert BOTH in _reevings(orchard())
    assert BOTH not in _reevings(orchard(shackle="shackle-13"))


def test_why_names_what_is_wrong() -> None:
    twice = "ash & elm@0.5 m > load > ash & elm@0.5 m > six of us"
    _, text = printed(orchard(), "why", twice)
    assert "trees that share carry one line" in " ".join(text.split())
    _, text = printed(orchard(sling="6 m"), "why", " > ".join(BOTH))
    assert "a sling reaches" in " ".join(text.split())


WRONG = {
    'trees = ["ash", "oak"]': "no [[tree]] is named 'oak'",
    'trees = ["ash", "ash"]': "'ash' cannot share with itself",
    'trees = ["ash", "elm"]\nangle = "130 deg"': "beyond 120 degrees each leg carries more",
    'trees = ["ash", "elm"]\nheight = "2 m"': "straps may go from 0.5 to 0.5 m on both",
    'within = "3 m"\ntrees = ["ash", "elm"]': "give either the names of two trees",
    'angle = "60 deg"': "give either the names of two trees",
}


@pytest.mark.parametrize("pair", WRONG)
def test_wrong_entries(pair: str) -> None:
    with pytest.raises(InputError) as error:
        read_site(orchard(pair))
    assert WRONG[pair] in str(error.value)
    assert "pair[1]" in str(error.value)
