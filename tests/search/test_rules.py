"""Each rule that leaves rigs out: on, no listed rig breaks it; off, rigs come in that break it. Either
way the list is the enumeration's."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Setup
from optimiser.rig.walk import LOAD, Place, PlaceKind, Walk
from optimiser.search.rules import same_setup
from optimiser.site.model import Site
from optimiser.site.rules import RULES
from tests.holding.test_steering import aside
from tests.oracle.enumeration import enumerate_setups


def _pulls_back(setup: Setup) -> bool:
    """A part from the load to the tree abeam, which the load passes on its way."""
    return any(
        {a.kind, a.name, b.kind, b.name} >= {"load", "left"} for a, b in pairwise(setup.walk)
    )


def _two_heights(setup: Setup) -> bool:
    return any(
        a.kind == b.kind is PlaceKind.ANCHOR and a.name == b.name for a, b in pairwise(setup.walk)
    )


def _three_in_a_row(setup: Setup) -> bool:
    kinds = [place.kind for place in setup.walk]
    return any(kinds[i : i + 3] == ["anchor"] * 3 for i in range(len(kinds)))


def _block_behind_standing(setup: Setup) -> bool:
    return [place.kind for place in setup.walk[:2]] == ["anchor", "anchor"]


BREAKS: dict[str, Callable[[Setup], bool]] = {
    "no-backward-part": _pulls_back,
    "one-height-per-leg": _two_heights,
    "two-anchors-in-a-row": _three_in_a_row,
    "no-block-behind-standing-anchor": _block_behind_standing,
}


def _site(*, on: frozenset[str]) -> Site:
    site = aside()
    anchors = tuple(replace(a, heights=(0.5, 6.0)) for a in site.anchors)  # type: ignore[type-var]
    counts = {"block": 3, "strap": 4}
    straps = tuple(replace(p, count=counts.get(p.name, p.count)) for p in site.gear)
    straps = tuple(replace(p, length=p.length and 150.0) for p in straps)
    preferences = replace(site.preferences, rules=on, side_pull_rolling=3.0, most_sheaves=3)
    return replace(site, anchors=anchors, gear=straps, preferences=preferences)


def _walk(*names: str) -> Walk:
    """Names to a walk: "load", anchors, and the puller last."""
    inner = [LOAD if name == "load" else Place(PlaceKind.ANCHOR, name, 0.5) for name in names[:-1]]
    return (*inner, Place(PlaceKind.PULLER, names[-1]))


def test_what_is_one_setup() -> None:
    """The load is pulled by the same parts to the same trees whichever way round a run of anchors between
    two visits is rove, and whichever run comes first. Lead blocks and the standing end are not alike."""
    rove = same_setup(_walk("load", "a", "b", "load", "c", "load", "d", "tractor"))
    assert rove == same_setup(_walk("load", "b", "a", "load", "c", "load", "d", "tractor"))
    assert rove == same_setup(_walk("load", "c", "load", "a", "b", "load", "d", "tractor"))
    assert rove != same_setup(_walk("load", "d", "load", "a", "b", "load", "c", "tractor"))
    assert rove != same_setup(_walk("a", "load", "b", "load", "c", "load", "d", "tractor"))
    assert rove != same_setup(_walk("load", "a", "b", "load", "c", "load", "d", "winch"))


def test_every_rule_is_tried() -> None:
    assert set(BREAKS) == set(RULES)


@pytest.mark.parametrize("rule", RULES)
def test_on_and_off(rule: str) -> None:
    others = frozenset(RULES) - {rule}
    strict = rank(
        _site(on=others | {rule}),
        RankQuestion(top=60, explain=False, everything=True, compound=False),
    )
    loose = rank(
        _site(on=others), RankQuestion(top=60, explain=False, everything=True, compound=False)
    )

    assert not any(BREAKS[rule](setup) for setup in strict)
    assert any(BREAKS[rule](setup) for setup in loose)
    for ranking, rules in ((strict, others | {rule}), (loose, others)):
        expected = enumerate_setups(_site(on=rules), top=60, everything=True)
        assert ranking.space == expected.space
        assert [s.rope_needed for s in ranking] == pytest.approx(
            [f.rope for f in expected.setups], rel=1e-9
        )
        assert [s.resets for s in ranking] == [f.resets for f in expected.setups]
