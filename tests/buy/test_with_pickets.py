"""Where nothing stands to hold on, or what stands there costs more gear: `buy` says what to buy with pickets
driven, and what it says holds once they are written into the site file."""

import tomllib
from pathlib import Path

import pytest

from catalogue.gear import Rope
from catalogue.prices import load_prices
from optimiser import read_site
from optimiser.jobs.buy.anchors_besides import driven
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.search.clock import Clock

MEADOW = (Path(__file__).parents[2] / "examples" / "meadow.toml").read_text()
BARE = MEADOW[: MEADOW.index("[[made]]")] + MEADOW[MEADOW.index("[[puller]]") :]
"""The meadow where nobody has thought of an anchor."""
LACKING = BARE.replace('length = "60 m"', 'length = "40 m"')


@pytest.mark.parametrize("text", [BARE, LACKING], ids=["gear enough", "rope too short"])
def test_pickets_do_where_nothing_stands_there(text: str) -> None:
    site = read_site(text)
    alone = RankQuestion(top=1, explain=False, compound=False)
    assert not rank(site, alone).setups
    ropes = {id: item for id, item in load_prices().items() if isinstance(item.gear, Rope)}

    found = driven(site, BuyQuestion(compound=False), ropes.values(), Clock(None, None))
    assert found is not None
    assert bool(found.option.items) == (text == LACKING)
    assert found.pickets.system == "1-1"  # the least work
    assert found.pickets.pieces == 2

    # The line that is printed for the site file, and the rope that is bought, give there what was promised.
    _, _, line = found.pickets.in_words.partition("[[made]] with ")
    keys = line.removesuffix(")").replace(", spots", "\nspots").replace(", holdfast", "\nholdfast")
    assert tomllib.loads(keys)["holdfast"]["owned"] == 2
    gear = "".join(
        f'\n[[gear]]\nid = "{item.gear}"\nname = "bought"\nlength = "{item.length} m"\n'
        'ends = ["bare", "bare"]\ncondition = "new"\n'
        for item in found.option.items
    )
    with_them = read_site(f"{text}{gear}\n[[made]]\n{keys}\n")
    best = rank(with_them, alone).setups[0]
    assert best.margin == pytest.approx(found.option.margin, abs=1e-6)
    assert best.resets == found.option.resets
