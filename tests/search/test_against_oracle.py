"""The search against the exhaustive enumeration: the same list, order and numbers.

The enumeration tries every walk, efficiency, rope, end and piece of gear on small made-up sites; it
shares no code with the search. Sites are of every kind the program knows (see `sites.py`).
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import islice
from typing import Any

import pytest

from catalogue.gear import Rope, Strap
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.order import BAND
from optimiser.rig.setup import Ranking, Setup
from optimiser.search import prove
from optimiser.search.rules import same_setup
from optimiser.site.model import Owned, Site
from tests.generated import Recipe, made_up
from tests.long import cases, rare
from tests.oracle.enumeration import Answer, Found, enumerate_setups
from tests.search.sites import recipe, site

TOO_MANY = (1, 4, 29, 37, 50, 78, 79, 82, 101, 104, 105, 109, 111, 119)
"""Of so many walks that trying all of them takes ten to ninety seconds each."""
SITES = [number for number in range(120) if number not in TOO_MANY]
QUICK = (0, 2, 3, 25, 26, 27, 48, 49, 73, 74, 97, 98)
"""Of few walks; the others take up to half a minute each."""
SELDOM = (
    5, 14, 20, 21, 22, 24, 28, 30, 36, 38, 41, 44, 45, 54, 56, 57, 59, 64, 71, 72, 81, 95, 96, 110, 112,
    115, 117,
)  # fmt: skip
"""Of those the dearest."""
NEAR = 1e-9


def _agree(ranking: Ranking, answer: Answer) -> None:
    assert ranking.proven
    assert ranking.space == answer.space
    assert len(ranking) == len(answer.setups)
    for setup, found in zip(ranking, answer.setups, strict=True):
        _same(setup, found)


def _same(setup: Setup, found: Found) -> None:
    assert same_setup(setup.walk) == found.identity
    assert setup.resets == found.resets
    assert setup.rope_needed == pytest.approx(found.rope, rel=NEAR)
    figures = (setup.margin, setup.pull)
    assert any(figures == pytest.approx(other, rel=NEAR) for other in found.as_good)
    assert bool(setup.unrated) == found.unrated


@pytest.mark.parametrize("number", cases(SITES, quick=QUICK, seldom=SELDOM))
def test_same_list_as_the_enumeration(number: int) -> None:
    small = site(number)
    _agree(rank(small, RankQuestion(explain=False, compound=False)), enumerate_setups(small))


@pytest.mark.parametrize("number", cases(range(3, 15, 3), quick=[3]))
def test_same_list_with_those_beaten_on_every_count(number: int) -> None:
    small = site(number)
    _agree(
        rank(small, RankQuestion(explain=False, everything=True, top=25, compound=False)),
        enumerate_setups(small, everything=True, top=25),
    )


def test_the_sites_are_of_every_kind() -> None:
    """A list of empty lists would agree too."""
    met: Counter[str] = Counter()
    for number in SITES:
        kind = recipe(number)
        met.update(
            name
            for name in (
                "mixed",
                "mirrored",
                "twins",
                "bridle",
                "wire",
                "boulder",
                "rough",
                "off",
                "ranged",
            )
            if getattr(kind, name)
        )
        met.update((kind.puller, kind.regime, f"order {kind.order[0]}"))
        met.update(["several ropes"] if kind.ropes > 1 else [])
        met.update(["unrated"] if kind.unrated else [])
    assert min(met.values()) >= 10, met
    assert len(met) >= 20


# ---- scarce straps ------------------------------------------------------------------------------


@pytest.mark.parametrize("number", cases([2, 8, 25], quick=[25], seldom=[2, 8]))
def test_a_strap_is_a_leg_of_the_bridle_or_holds_a_block(number: int) -> None:
    """Two short straps and some that are so long that they stand far off the trunk: the short ones would
    be of use at the trees, but they are the only ones that make a bridle."""
    plain = Recipe(
        trees=3, heights=1, sheaves=2, items=12, spacing=2.0, light=0.3, protected=True, bridle=True
    )
    site = made_up(plain, number)
    scarce = tuple(_scarce(p) if isinstance(p.gear, Strap) else p for p in site.gear)
    small = replace(
        site, gear=scarce, preferences=replace(site.preferences, knots=site.preferences.knots[:1])
    )
    answer = enumerate_setups(small)
    assert answer.setups
    _agree(rank(small, RankQuestion(explain=False, compound=False)), answer)


def _scarce(piece: Owned) -> Owned:
    strap: Any = piece.gear
    return replace(
        piece, count=2, gear=strap if piece.name == "strap0" else replace(strap, length=5.0)
    )


# ---- ropes too short by themselves ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("numbers", "many"),
    [pytest.param((1, 2), 2, id="few"), pytest.param((3, 4, 5, 7, 8), 4, id="more", marks=rare)],
)
def test_ropes_too_short_alone_are_lengthened_by_a_strap(numbers: Sequence[int], many: int) -> None:
    """The rope is a little shorter than the least that does: a strap at its standing end makes up for it,
    and is one less to hang."""
    lengthened = 0
    for number in numbers:
        recipe = Recipe(
            trees=3, heights=1, sheaves=2, items=12, spacing=2.0, light=0.4, protected=True,
            bridle=number % 3 == 0,
        )  # fmt: skip
        long = made_up(recipe, number)
        found = rank(long, RankQuestion(explain=False, by=("rope",), top=1, compound=False))
        if not found.setups:
            continue
        length = found[0].rope_needed - 0.3 - (number % 4) * 0.5
        gear = [replace(p, length=length) if isinstance(p.gear, Rope) else p for p in long.gear]
        short = replace(long, gear=tuple(gear))
        ranking = rank(short, RankQuestion(explain=False, compound=False))
        _agree(ranking, enumerate_setups(short))
        assert not rank(short, RankQuestion(explain=False, join_ropes=False, compound=False)).setups
        lengthened += any(setup.rope.joined is not None for setup in ranking)
    assert lengthened >= many


TOO_SHORT = (12, 25, 33, 34, 49)
"""Sites of few walks where a rope of one piece does that is too short for the strongest setup."""


@cache
def shortened(number: int) -> Site:
    """The site with its ropes 0.3 m too short for the setup of the greatest margin."""
    small = site(number)
    found = rank(small, RankQuestion(explain=False, compound=False))
    length = max(found, key=lambda setup: setup.margin).rope_needed - 0.3
    gear = (
        replace(p, length=min(p.length or length, length)) if isinstance(p.gear, Rope) else p
        for p in small.gear
    )
    return replace(small, gear=tuple(gear))


@pytest.mark.parametrize("number", cases(TOO_SHORT, quick=TOO_SHORT[:2]))
def test_lengthened_ropes_are_listed_with_the_others_on_request(number: int) -> None:
    """And without a request it is stated truly whether they bring a band of margin more, and how much at
    least."""
    short = shortened(number)
    answer = enumerate_setups(short, lengthened=True)
    _agree(rank(short, RankQuestion(explain=False, compound=False, join_ropes=True)), answer)

    plain = rank(short, RankQuestion(compound=False))
    best = max(setup.margin for setup in plain)
    most = max(margin for each in answer.setups for margin, _ in each.as_good)
    if plain.put_together is None:
        assert best >= short.preferences.enough or most < best + BAND + NEAR
    else:
        assert plain.put_together.margin is not None
        assert best + BAND - NEAR <= plain.put_together.margin <= most + NEAR


def test_on_some_of_these_sites_they_bring_more() -> None:
    every = [rank(shortened(n), RankQuestion(compound=False)).put_together for n in TOO_SHORT]
    assert None in every
    assert sum(more is not None for more in every) >= 3


# ---- ties ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("numbers", "many"),
    [pytest.param((4,), 5, id="few"), pytest.param(range(4), 0, id="more", marks=rare)],
)
def test_mirror_images_are_one_setup(numbers: Sequence[int], many: int) -> None:
    """Equal trees to the left and the right: every setup has its mirror image, equal in every figure;
    the two are one entry of the list, and a list cut behind one is cut at the same place."""
    tied = 0
    plain = Recipe(trees=4, heights=1, sheaves=2, items=12, spacing=2.0, light=0.3, protected=True)
    for number in numbers:
        mirror = made_up(replace(plain, mirrored=True), number)
        for top in (3, 4, 10):
            ranking = rank(mirror, RankQuestion(explain=False, top=top, compound=False))
            _agree(ranking, enumerate_setups(mirror, top=top))
            tied += sum(len(setup.alike) for setup in ranking)
    assert tied >= many


# ---- what must not matter -----------------------------------------------------------------------


@cache
def _some() -> tuple[tuple[int, Site, Ranking], ...]:
    """Sites with a list of some length, and the list."""
    every = (
        (n, s, rank(s, RankQuestion(explain=False, compound=False)))
        for n in range(100)
        for s in (site(n),)
    )
    return tuple(islice((one for one in every if len(one[2]) >= 5), 6))


def _listed(ranking: Ranking) -> list[tuple[object, ...]]:
    return [
        (same_setup(s.walk), round(s.margin, 9), s.resets, round(s.rope_needed, 9)) for s in ranking
    ]


@pytest.mark.parametrize("beam", cases([0, 1, 10], quick=[0, 1]))
def test_the_first_list_does_not_matter(beam: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The proof alone finds the same list as the proof after a good first list."""
    for number, small, listed in _some():
        with monkeypatch.context() as patch:
            patch.setattr(prove, "BEAM", beam)
            if beam == 0:
                patch.setattr(prove, "_beam", lambda *_: False)
            assert _listed(rank(small, RankQuestion(explain=False, compound=False))) == _listed(
                listed
            ), number


def test_order_of_entries_does_not_matter() -> None:
    for number, small, listed in _some():
        turned = replace(
            small,
            anchors=small.anchors[::-1],
            gear=small.gear[::-1],
            pullers=small.pullers[::-1],
            load=replace(small.load, hitches=small.load.hitches[::-1]),
        )
        assert _listed(rank(turned, RankQuestion(explain=False, compound=False))) == _listed(
            listed
        ), number
