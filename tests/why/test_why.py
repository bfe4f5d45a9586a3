"""Every check of one reeving: what a ranking lists passes, and what was taken away is what fails."""

from dataclasses import replace

import pytest

from catalogue.gear import Block, Rope, Strap
from optimiser.jobs.question import RankQuestion, WhyQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.why.why import Explained, explain
from optimiser.rig.setup import Role, Setup
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.model import Owned, Site
from optimiser.site.reading import read_site
from tests.generated import HOME, Recipe, made_up


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(HOME, 2)


@pytest.fixture(scope="module")
def setup(site: Site) -> Setup:
    return next(
        s for s in rank(site, RankQuestion(top=10)).setups if s.parts >= 2 and len(s.walk) >= 4
    )


def failed(explained: Explained) -> set[str]:
    return {check.name for check in explained.failed}


def changed(site: Site, kind: type, **fields: object) -> Site:
    """The site with every piece of a kind changed."""

    def one(piece: Owned) -> Owned:
        return replace(piece, **fields) if isinstance(piece.gear, kind) else piece  # type: ignore[arg-type]

    return replace(site, gear=tuple(one(piece) for piece in site.gear))


def test_a_listed_setup_passes_with_the_same_gear_and_margin(site: Site, setup: Setup) -> None:
    explained = explain(site, setup.walk)
    assert explained.works
    assert explained.setup is not None
    assert explained.setup.margin == pytest.approx(setup.margin)
    assert explained.setup.gear == setup.gear
    stands = [c for c in explained.checks if c.name == "stands its load"]
    assert len(stands) == len(setup.components)
    least = min(c.limit / c.value for c in stands if c.limit and c.value)
    assert least == pytest.approx(setup.margin / site.preferences.margin_wanted)


def test_a_short_rope_is_short_by_what_is_missing(site: Site, setup: Setup) -> None:
    length = setup.rope_needed - 5.0
    explained = explain(changed(site, Rope, length=length), setup.walk)
    assert failed(explained) == {"rope is long enough"}
    (check,) = explained.failed
    assert check.value is not None
    assert check.change is not None
    # Another knot may eat a little less rope than the ranked one.
    assert check.value <= setup.rope_needed + 1e-9
    assert check.change.amount == pytest.approx(check.value - length)
    cured = changed(site, Rope, length=length + check.change.amount)
    assert explain(cured, setup.walk).works


def test_a_block_that_is_not_there_is_missing(site: Site, setup: Setup) -> None:
    kept: list[Owned] = []
    for piece in site.gear:
        if not isinstance(piece.gear, Block):
            kept.append(piece)
        elif not any(isinstance(p.gear, Block) for p in kept):
            kept.append(replace(piece, count=1))
    explained = explain(replace(site, gear=tuple(kept)), setup.walk)
    assert "pieces at hand" in failed(explained)
    missing = sum(
        c.change.amount for c in explained.failed if c.change and c.name == "pieces at hand"
    )
    assert missing == len(setup.walk) - 2 - 1  # every sheave but one


def test_no_straps_at_all_are_reported_from_the_catalogue(site: Site, setup: Setup) -> None:
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Strap)))
    explained = explain(bare, setup.walk)
    assert "pieces at hand" in failed(explained)
    assert not explained.works


def test_a_tree_too_weak_is_cured_by_a_lower_strap(site: Site, setup: Setup) -> None:
    explained = explain(site, setup.walk)
    trees = [c for c in explained.checks if c.where.endswith("(tree)") and c.value is not None]
    name = max(trees, key=lambda c: c.value or 0.0).where.removesuffix(" (tree)")
    heights = {p.height for p in setup.walk if p.name == name}
    if len(heights) != 1 or min(heights) <= 0.31:
        pytest.skip("this tree's strap cannot go lower")
    demand = next(c.value for c in trees if c.where.startswith(name))
    assert demand is not None
    anchors = tuple(
        replace(a, strength=replace(a.strength, capacity=demand * 0.9)) if a.name == name else a  # type: ignore[type-var]
        for a in site.anchors
    )
    weak = replace(site, anchors=anchors)
    why = explain(weak, setup.walk)
    (check,) = (c for c in why.failed if c.where.startswith(name))
    assert check.change is not None
    assert "lower" in check.change.text
    lowered = tuple(
        Place(PlaceKind.ANCHOR, p.name, p.height - check.change.amount) if p.name == name else p
        for p in setup.walk
    )
    again = explain(weak, lowered)
    assert not [c for c in again.failed if c.where.startswith(name)]


def test_an_unrated_piece_fails_and_a_rated_one_is_called_for(site: Site, setup: Setup) -> None:
    explained = explain(changed(site, Rope, unrated=True), setup.walk)
    assert "rated" in failed(explained)
    assert any("rated one" in c.change.text for c in explained.failed if c.change)


def test_margin_wanted_moves_the_limits(site: Site, setup: Setup) -> None:
    wanted = setup.margin * 1.2
    more = replace(site, preferences=replace(site.preferences, margin_wanted=wanted))
    explained = explain(more, setup.walk)
    assert failed(explained) == {"stands its load", "the margin wanted"}


def test_a_broken_rule_is_reported_and_may_be_switched_off(site: Site) -> None:
    walk = (
        LOAD,
        Place(PlaceKind.ANCHOR, "tree00", 0.3),
        Place(PlaceKind.ANCHOR, "tree00", 1.5),
        Place(PlaceKind.PULLER, "puller0"),
    )
    explained = explain(site, walk)
    assert "rule one-height-per-leg" in failed(explained)
    loose = explain(site, walk, WhyQuestion(without=("one-height-per-leg",)))
    assert "rule one-height-per-leg" not in failed(loose)


def test_a_tree_too_thin_to_be_an_anchor_fails_with_its_reason(site: Site, setup: Setup) -> None:
    thin = tuple(
        replace(a, strength=replace(a.strength, capacity=0.0, governs="too thin"))  # type: ignore[type-var]
        for a in site.anchors
    )
    explained = explain(replace(site, anchors=thin), setup.walk)
    checks = [c for c in explained.failed if c.where.endswith("(tree)")]
    assert checks
    assert all(c.limit == 0.0 and c.note == "too thin" for c in checks)
    assert all(c.change and "an anchor that stands" in c.change.text for c in checks)
    assert not explained.works


def test_a_reeving_of_more_blocks_than_are_owned_on_a_site_with_ranges() -> None:
    """It is looked at with bearings of the catalogue, and reported to lack pieces."""
    site = read_site()
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Block)))
    walk = rank(site, RankQuestion(top=1)).setups[0].walk
    explained = explain(bare, walk)
    assert "pieces at hand" in failed(explained)


def test_every_shackle_of_a_rig_is_looked_at_those_of_a_bridle_too() -> None:
    recipe = Recipe(
        trees=3, heights=1, sheaves=2, items=12, spacing=2.0, light=0.4, protected=True, bridle=True
    )
    ranked = (
        (s, rank(s, RankQuestion(everything=True))) for s in (made_up(recipe, i) for i in range(40))
    )
    site, setup = next(
        (site, setup)
        for site, ranking in ranked
        for setup in ranking
        if setup.attachment.startswith("bridle") and explain(site, setup.walk).setup == setup
    )
    explained = explain(site, setup.walk)
    hung = [piece.place for piece in setup.gear if piece.role is Role.SHACKLE]
    checked = [check.where for check in explained.checks if check.name == "a shackle fits"]

    assert hung.count("load") >= 2
    assert sorted(checked) == sorted(hung)
