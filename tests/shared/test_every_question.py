"""Two trees that share a pull, asked every question: the example whose birches serve only together."""

from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.book import load_catalogue
from catalogue.prices import NEW
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.setup import Setup
from optimiser.site.model import Owned, Site
from optimiser.site.reading import read_site
from tests.piped import answered, printed
from tests.shared.orchard import in_full, orchard, shared

FILE = Path(__file__).parents[2] / "examples" / "two-birches.toml"
TEXT = FILE.read_text()
SHORT = TEXT.index('[[gear]]\nid = "polyester-14"\nname = "short rope"')
NO_SLING = TEXT[:SHORT] + TEXT[TEXT.index("[[gear]]", SHORT + 5) :]
NO_PAIR = TEXT.replace('[[pair]]\ntrees = ["left birch", "right birch"]\n', "")
BOTH = "left birch & right birch@0.3 m"


@pytest.fixture(scope="module")
def first() -> tuple[Site, Setup]:
    site = read_site(FILE)
    return site, rank(site, RankQuestion(explain=False))[0]


def test_the_birches_serve_only_together(first: tuple[Site, Setup]) -> None:
    _, setup = first
    assert str(setup.walk[1]) == BOTH
    assert setup.margin >= 1.2
    assert answered(NO_PAIR, "rank")[0] == answered(NO_SLING, "rank")[0] == 3


def test_the_shortest_rope_that_does_is_the_sling() -> None:
    """Beside one like it that is 3 m longer, whichever is named first."""
    short = TEXT[SHORT : TEXT.index("[[gear]]", SHORT + 5)]
    more = short.replace('"short rope"', '"yellow rope"').replace(_length(short), '"13 m"')
    for gear in (more + short, short + more):
        text = NO_SLING.replace("[[gear]]", f"{gear}[[gear]]", 1)
        (made,) = rank(read_site(text), RankQuestion(top=1, explain=False))[0].made
        assert made.slung is not None
        assert made.slung.rope == "short rope"


def _length(gear: str) -> str:
    return next(
        line.split(" = ")[1].split(" #")[0].strip()
        for line in gear.splitlines()
        if line.startswith("length")
    )


def test_stages_and_a_sweep_have_it() -> None:
    _, plan = answered(TEXT, "stages")
    assert BOTH in str(plan)
    _, swept = answered(TEXT, "sweep", "load.weight=280..310 kg")
    assert BOTH in str(swept)


SALE = (
    ("polyester-8", 10, 9),
    ("polyester-10", 6, 12),
    ("polyester-10", 12, 22),
    ("polyester-12", 12, 35),
)
"""Ropes for sale: kind, m, price."""


def test_the_sling_that_is_bought_is_the_cheapest_that_does(tmp_path: Path) -> None:
    """What buying finds is what trying one rope after the other finds: not the one that does not reach."""
    shop = tmp_path / "shop.csv"
    lines = [f"{kind},{long} m,{price}" for kind, long, price in SALE]
    shop.write_text("\n".join(["gear,length,price", *lines]))
    _, found = answered(NO_SLING, "buy", "--prices", str(shop), "--only-my-list")
    least = found["options"][0]

    site = replace(read_site(NO_SLING), origin=None)
    tried = []
    for kind, long, price in SALE:
        rope = Owned(
            name="bought",
            gear=load_catalogue().ropes[kind],
            count=1,
            condition=NEW,
            length=float(long),
        )
        more = replace(site, gear=(*site.gear, rope))
        if rank(more, RankQuestion(top=1, explain=False, compound=False)).setups:
            tried.append(price)
    assert tried
    assert least["cost"] == min(tried)
    assert min(tried) > min(price for _, _, price in SALE)
    assert "&" in str(least)


OAK = """
[[tree]]
name = "oak"
at = ["21 m", "0.1 m", "4.6 m"]
diameter = "40 cm"
species = "birch-yellow"
strap_lowest = "0.3 m"
strap_highest = "0.9 m"
"""
"""A trunk to ease the rope round, where both birches are taken."""


def test_a_line_eased_down_may_hang_on_it() -> None:
    text = TEXT.replace("[[pair]]", f"{OAK}\n[[pair]]")
    found = lower(read_site(text), LowerQuestion(top=30))
    assert any("&" in place.name for setup in found.setups for place in setup.walk)


def test_a_sheet_says_how_it_is_tied(tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    printed(TEXT, "sheet", "1", "-o", str(page))
    text = " ".join(page.read_text().split())
    assert "Tie short rope as a sling between left birch and right birch" in text
    assert "Under load the legs are 60° apart" in text
    assert "Nobody between the two trees" in text
    assert "Between left birch and right birch, inside the legs of their sling" in text


WRONG = {
    "even": 0.9, "tighter": 0.9, "pull": 1.1, "angle_least": 0.98, "angle_most": 1.02, "legs": 0.9,
    "height": 2.0, "angle": 0.95,
}  # fmt: skip


@pytest.mark.parametrize("what", WRONG)
def test_the_recheck_notices_a_wrong_figure(first: tuple[Site, Setup], what: str) -> None:
    site, setup = first
    made = setup.made[0]
    assert made.slung is not None
    slung = replace(made.slung, **{what: getattr(made.slung, what) * WRONG[what]})
    verify(site, setup)
    with pytest.raises(VerificationError):
        verify(site, replace(setup, made=(replace(made, slung=slung),)))


def test_the_recheck_wants_what_a_single_tree_stands(first: tuple[Site, Setup]) -> None:
    site, setup = first
    made = setup.made[0]
    assert made.slung is not None
    share, other = made.slung.alone
    assert share is not None
    for wrong in ((None, other), (share * 1.1, other), (other, None)):
        slung = replace(made.slung, alone=wrong)
        with pytest.raises(VerificationError, match="birch alone"):
            verify(site, replace(setup, made=(replace(made, slung=slung),)))


def test_the_recheck_wants_the_trees_for_themselves(first: tuple[Site, Setup]) -> None:
    site, setup = first
    puller = replace(setup.puller, anchor="left birch")
    with pytest.raises(VerificationError):
        verify(replace(site, pullers=(puller,)), replace(setup, puller=puller))
    with pytest.raises(VerificationError):
        verify(site, replace(setup, made=()))


def test_a_weight_holds_up_to_where_show_says() -> None:
    """One tree stands further off, so that the shackle comes to rest beside the middle: the pull that counts
    is the one with the shackle there. With the weight that `show` names the rig is just at its limit, and
    never beyond it: `show` looks for it to a hundred-thousandth."""
    text = orchard(sling="30 m").replace('at = ["22 m", "-1 m"', 'at = ["14 m", "-2 m"')
    text = text.replace(
        'at = ["20 m", "-4 m"', 'at = ["20 m", "-4.4 m"'
    )  # their line keeps off that tree
    found = in_full(text, shared(text)["rank"])
    weight = next(one for one in found["break_even"] if one["key"] == "load.weight")
    at_limit = text.replace('"150 kg"', f'"{weight["holds_up_to"]} N"')
    assert 1.0 <= shared(at_limit)["margin"] <= 1.0 + 1e-5
