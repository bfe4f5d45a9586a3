"""What may hang on a sling between two trees, and what is refused, through a site file and a command."""

from math import cos, radians, sin

import pytest

from optimiser.site.reading import read_site
from shared.errors import InputError
from tests.piped import answered, printed, replaced
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


def carries(text: str, reeving: str) -> bool:
    """Whether `why` lets the two trees of a reeving share its pull."""
    _, found = answered(text, "why", reeving)
    (check,) = (c for c in found["checks"] if c["check"] == "trees that share carry one line")
    return bool(check["passed"])


PAIR = "ash & elm@0.5 m"
BESIDE = replaced(
    orchard(), ('["20 m", "-4 m"', '["20 m", "-20 m"'), ('["60 m", "-12 m"', '["10 m", "-60 m"')
)
"""The people haul to the side, so that no line passes the trees straight."""
LED = f"load > {PAIR} > six of us"


@pytest.mark.parametrize(
    "reeving",
    [
        f"elm@0.5 m > load > {PAIR} > six of us",
        f"{PAIR} > load > elm@0.5 m > six of us",
    ],
)
def test_whichever_node_of_the_rope_is_on_one_of_its_trees(reeving: str) -> None:
    assert not carries(BESIDE, reeving)


@pytest.mark.parametrize(("to", "free"), [(19.4, True), (19.6, False)])
def test_the_load_stays_out_of_the_reach_of_the_shackle(to: float, free: bool) -> None:
    """Legs of 4 m over trees 2 m apart: the shackle comes 2 m from the middle at most, which the eye, 0.5 m
    ahead of the load, must not come as near to."""
    there = replaced(
        BESIDE, ('to = ["4 m"', f'to = ["{to} m"'), ('start = ["0 m"', 'start = ["19 m"')
    )
    assert carries(there, LED) == free
    assert carries(there, " > ".join(BOTH)) == free


@pytest.mark.parametrize(("turned", "stands"), [(36.0, True), (28.0, False)])
def test_a_line_that_passes_them_almost_straight(turned: float, stands: bool) -> None:
    """On to a post: of a rope that is turned by an angle, tight with 1 and behind a sheave with 0.9, the pull
    on the sling is sqrt(1 + 0.81 - 1.8 cos): 0.59 and 0.47. As the shackle comes to rest the line turns by
    some 4 degrees less: 0.53 and 0.41. Half of the tighter part is the project's own limit. How tight that is
    itself, behind a second sheave, does not count."""
    x, y = 22.0 + 200.0 * cos(radians(turned)), 200.0 * sin(radians(turned))
    post = f"""[[anchor]]
kind = "post"
name = "post"
at = ["{x} m", "{-y} m", "0 m"]
girth = "60 cm"
top = "1 m"
rating = "20 kN"
strap_heights = ["0.5 m"]
[[gear]]"""
    block, trees = 'id = "snatch-100-bronze"\ncount = 1', 'trees = ["ash", "elm"]'
    text = replaced(
        BESIDE,
        (block, f"{block[:-1]}2\nefficiency = 0.9"),
        (trees, f'{trees}\nangle = "110 deg"'),
    )
    text = text.replace("[[gear]]", post, 1)
    assert carries(text, f"load > {PAIR} > post@0.5 m > six of us") == stands


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
