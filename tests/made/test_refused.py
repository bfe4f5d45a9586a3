"""Anchors that are made, entered wrongly: each misuse has a message of its own."""

import pytest

from optimiser.site.reading import read_site
from shared.errors import InputError
from tests.made import meadow

HOLDFAST = 'holdfast = { systems = ["1-1"], pickets = "wood", soil = "loam", owned = 2 }'
SPOT = 'spots = [["14 m", "0 m", "0 m"]]'
BOULDER = 'weight = "2 t", foot = "1 m", tall = "1 m"'
WRONG = {
    "a deadman for pickets": (
        meadow.meadow("picket holdfast", meadow.LOG.format(
            thick="1 ft", long="4 ft", depth="4 ft", run="2", soil="loam", sling="9 kN")),
        "is for a buried log, not for a picket holdfast",
    ),
    "nothing to go by": (
        meadow.meadow("buried log", 'strap_heights = ["0.1 m"]'),
        "or deadman = { ... } to have it worked out",
    ),
    "both": (
        meadow.meadow("buried log", 'rating = "5 kN"\n' + meadow.LOG.format(
            thick="1 ft", long="4 ft", depth="4 ft", run="2", soil="loam", sling="9 kN")),
        "give either the rating or deadman, not both",
    ),
    "a slender log": (meadow.log(long="2 m"), "more than 5 times as long as thick"),
    "a shallow log": (meadow.log(depth="0.5 m"), "must be within 3 .. 7"),
    "a flat trench": (meadow.log(run="6"), "the published table goes from 1 to 4"),
    "no such system": (meadow.pickets("4-3-2-1"), "expected '1', '1-1'"),
    "a strap on pickets": (
        meadow.meadow("picket holdfast", 'strap_heights = ["0.5 m"]\n' + meadow.PICKETS.format(
            system="1-1", pickets="wood", soil="loam")),
        "leave it out: a line takes hold of a picket holdfast at the ground",
    ),
    "a vehicle without chocks": (
        meadow.meadow("parked vehicle",
            f'strap_heights = ["0.5 m"]\nresting = {{ {BOULDER}, ground = "grass" }}'),
        "without chocks it rolls",
    ),
    "ground unknown for boulders": (
        meadow.meadow("boulder",
            f'strap_heights = ["0.5 m"]\nresting = {{ {BOULDER}, ground = "grass" }}'),
        "nothing is known of 'grass'",
    ),
    "neither ground nor friction": (
        meadow.meadow("boulder", f'strap_heights = ["0.5 m"]\nresting = {{ {BOULDER} }}'),
        "give either the ground it stands on, or a friction",
    ),
    "a stump without girth": (
        meadow.meadow("stump", 'strap_heights = ["0.2 m"]\nrating = "5 kN"'),
        "the tape round the stump",
    ),
    "nowhere to make it": (meadow.with_part(f'[[made]]\nname = "m"\n{HOLDFAST}'), "spots"),
    "nothing to make": (meadow.with_part(f'[[made]]\nname = "m"\n{SPOT}'), "what is made there"),
    "a row without a spacing": (
        meadow.with_part('[[made]]\nname = "m"\n' + HOLDFAST
            + '\nrow = [["14 m", "0 m", "0 m"], ["14 m", "4 m", "0 m"]]'),
        "how far apart its spots are",
    ),
    "too many spots": (
        meadow.with_part('[[made]]\nname = "m"\nevery = "1 mm"\n' + HOLDFAST
            + '\nrow = [["14 m", "0 m", "0 m"], ["14 m", "4 m", "0 m"]]'),
        "40 at most",
    ),
    "on the path": (
        meadow.with_part('[[made]]\nname = "m"\n' + HOLDFAST + '\nspots = [["4 m", "0 m", "0 m"]]'),
        "stands on the path",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_refused_with_words_of_its_own(what: str) -> None:
    text, words = WRONG[what]
    with pytest.raises(InputError) as error:
        read_site(text)
    assert words in str(error.value)
    assert str(error.value).count("\n") == 0  # one fault, one line
