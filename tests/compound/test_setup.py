"""A setup of tackle on tackle: what it states of itself, when it is looked for, and its re-check."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from catalogue.gear import Rope
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.naming import run_of_ropes
from optimiser.rig.setup import Setup
from optimiser.rig.two_ropes.pairs import grips_on
from optimiser.rig.walk import PlaceKind
from optimiser.search.two_ropes import search
from optimiser.site.model import Owned, Site
from optimiser.telling.detail import detail
from optimiser.telling.tables import setup_json
from optimiser.telling.words import proof
from tests.compound.sites import BIGHT, HITCH, site


@cache
def found() -> tuple[Site, Setup]:
    small = site(3)
    ranking = rank(small, RankQuestion(compound=True, everything=True, top=40, explain=False))
    return small, next(setup for setup in ranking if setup.second is not None)


def test_it_names_both_ropes_and_the_grip() -> None:
    small, setup = found()
    result = run_of_ropes(setup)

    assert setup.walk[-1].kind is PlaceKind.GRIP
    assert setup.lines[1].walk[-1].name == setup.puller.name
    assert f"main rope ({setup.rope.name})" in result
    assert f"Second rope ({setup.lines[1].rope.name})" in result
    assert HITCH.name in result or "loop in the bight" in result
    assert any("Two ropes" in str(block) for _, block in detail(small, setup))
    assert {"grip", "runs_back"} & {caution.key for caution in setup.cautions}


def test_json_has_the_lines() -> None:
    _, setup = found()
    result = setup_json(setup, full=True)

    assert [line["rope"] for line in result["lines"]] == [line.rope.name for line in setup.lines]
    assert result["rope_needed_m"] == pytest.approx(
        sum(line["rope_needed_m"] for line in result["lines"])
    )
    assert " + " in setup.reeving


def test_main_rope_carries_what_the_second_gives() -> None:
    _, setup = found()
    grip = next(c for c in setup.components if c.place == "grip" and c.item == setup.rope.name)
    etas = setup.lines[1].etas
    tau = [1.0]
    for eta in reversed(etas):
        tau.insert(0, tau[0] * eta)
    parts = [
        t
        for t, (a, b) in zip(
            tau, zip(setup.lines[1].walk, setup.lines[1].walk[1:], strict=False), strict=True
        )
        if PlaceKind.GRIP in (a.kind, b.kind)
    ]

    assert grip.demand == pytest.approx(setup.pull * sum(parts) * setup.puller.dynamic)


def _kit(change: Callable[[Owned], Owned | None]) -> Site:
    small = site(3)
    gear = tuple(new for piece in small.gear if (new := change(piece)) is not None)
    return replace(small, gear=gear)


def _compounds(small: Site) -> list[Setup]:
    ranking = rank(small, RankQuestion(compound=True, everything=True, top=40, explain=False))
    return [setup for setup in ranking if setup.second is not None]


def test_one_rope_is_not_enough() -> None:
    assert not _compounds(_kit(lambda piece: None if piece.name == "rope1" else piece))


def test_nothing_is_trusted_to_grip_a_slippery_rope() -> None:
    def slippery(piece: Owned) -> Owned:
        if not isinstance(piece.gear, Rope):
            return piece
        return replace(piece, gear=replace(piece.gear, material="HMPE"))

    assert not _compounds(_kit(slippery))


def test_who_cannot_tie_a_grip_has_none() -> None:
    small = site(3)
    plain = tuple(k for k in small.preferences.knots if not (k.grips_rope or k.in_bight))
    assert not _compounds(replace(small, preferences=replace(small.preferences, knots=plain)))


def test_looked_for_where_nothing_simpler_works(monkeypatch: pytest.MonkeyPatch) -> None:
    small = site(3)
    assert rank(small, RankQuestion(compound=False, explain=False)).compounds is None
    assert rank(small, RankQuestion(compound=None, explain=False)).compounds == 259
    monkeypatch.setattr(search, "FEW", 258)  # too much of it to be quick
    left = rank(small, RankQuestion(compound=None, explain=False))
    assert left.compounds is None
    assert left.compounds_left
    # So weak a puller that no simple rig moves the load.
    best = max(
        setup.actual_advantage
        for setup in rank(small, RankQuestion(compound=False, explain=False, everything=True))
    )
    most = max(s.actual_advantage for s in _compounds(small))
    assert most > best
    load = replace(small.load, weight=small.load.weight * 0.01)
    weak = replace(small.pullers[0], limit=small.pullers[0].limit * 0.01)
    heavy = replace(small, load=load, pullers=(weak,))
    simple = rank(heavy, RankQuestion(compound=False, explain=False))
    need = (
        min(s.pull for s in rank(small, RankQuestion(explain=False, everything=True, top=60)))
        * 0.01
    )
    between = replace(heavy, pullers=(replace(weak, limit=0.9 * need),))
    ranking = rank(between, RankQuestion(compound=None, explain=False))
    assert not ranking.compounds_left
    assert simple.setups
    assert ranking.setups
    assert all(setup.second is not None for setup in ranking)
    assert "pairs of walks of two ropes" in proof(ranking)


SPOILED: dict[str, Callable[[Setup], Setup]] = {
    "too little of the main rope": lambda s: replace(
        s, main_rope=s.main_rope - 3.0, rope_needed=s.rope_needed - 3.0
    ),
    "a sheave without friction": lambda s: replace(
        s, second=replace(s.lines[1], etas=tuple(1.0 for _ in s.lines[1].etas))
    ),
    "the grip never moved": lambda s: replace(
        s, moved=(), strokes=s.strokes - len(s.moved), stops=s.stops[len(s.moved) :]
    ),
    "more margin": lambda s: replace(s, margin=s.margin * 1.01),
    "one rope twice": lambda s: replace(s, second=replace(s.lines[1], rope=s.rope)),
    "no grip": lambda s: replace(s, gear=tuple(h for h in s.gear if h.role != "grip")),
    "less pull": lambda s: replace(s, pull=s.pull * 0.99),
}


@pytest.mark.parametrize("kind", SPOILED)
def test_a_spoiled_setup_is_refused(kind: str) -> None:
    small, setup = found()
    verify(small, setup)

    with pytest.raises(VerificationError):
        verify(small, SPOILED[kind](setup))


def test_it_is_reported_how_much_of_the_main_rope_leads_to_the_grip_between_two_moves() -> None:
    """One length for each way between moves, each shorter than the one before, as it is hauled in; all
    within the main rope."""
    for number in (0, 6, 8):
        for setup in _compounds(site(number)):
            assert len(setup.gripped) == len(setup.moved) + 1
            assert list(setup.gripped) == sorted(setup.gripped, reverse=True)
            assert max(setup.gripped) < setup.main_rope


def test_nothing_is_bought_where_two_ropes_owned_do() -> None:
    small = site(6)
    assert not rank(small, RankQuestion(compound=False, explain=False)).setups
    found = buy(small, BuyQuestion(most_stages=1, steps=0, explain=False))

    assert not found.needed
    assert [option.items for option in found.options] == [()]
    assert found.options[0].setup.second is not None


def test_of_what_holds_the_strongest_is_taken() -> None:
    """A loop in the bight keeps 0.55 of the rope, a friction hitch 0.5."""
    kit = kit_of(site(6))

    assert [knot.name for knot in grips_on(kit, kit.ropes[0])] == [BIGHT.name, HITCH.name]
