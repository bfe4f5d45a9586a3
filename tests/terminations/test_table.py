"""Every knot, splice and fitting is used where it holds, and nowhere else."""

from dataclasses import replace
from pathlib import Path

import pytest

from catalogue.gear import MadeTo, Needs, Termination
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.setup import Setup
from optimiser.site.reading import read_site
from shared.errors import InputError
from tests.terminations.places import (
    ANCHOR,
    BOOK,
    NOT,
    PLACES,
    TREES,
    VEHICLE,
    WEAK,
    Job,
    table,
)
from tests.terminations.reading import READ


def test_every_kind_is_in_the_table() -> None:
    assert set(READ) == set(BOOK)


@pytest.mark.parametrize("kind", BOOK)
def test_a_kind_is_used_where_it_holds_and_nowhere_else(kind: str) -> None:
    """Each cell is a small job in which nothing else could make that end fast."""
    ((_, cells),) = table([kind])
    read = dict(zip(PLACES, READ[kind].split(), strict=True))
    assert dict(zip(PLACES, cells, strict=True)) == read


def test_every_value_states_where_it_is_from() -> None:
    for knot in BOOK.values():
        stated = dict(knot.value_sources)
        wanted = {"eats", "eats_diameters", "made_to", "needs"}
        wanted |= {"turns"} if knot.turns else set()
        wanted |= {"least_trunk"} if MadeTo.TRUNK in knot.made_to else set()
        wanted |= {"besides"} if knot.besides else set()
        assert wanted <= set(stated), knot.id


def test_what_is_bent_to_a_rope_or_holds_along_one_makes_no_end_fast() -> None:
    ropes = {MadeTo.ROPE, MadeTo.ROPE_END}
    for knot in BOOK.values():
        assert knot.made_to
        assert not knot.made_to & ropes or len(knot.made_to) == 1, knot.id


# ---- turns round a trunk ---------------------------------------------------------------------------


def _on_the_tree() -> Setup:
    return rank(
        Job(anchors=TREES, puller=WEAK).site(BOOK["trunk-wraps"]),
        RankQuestion(explain=False, compound=False),
    )[0]


def test_turns_round_a_trunk_need_no_strap_and_eat_their_girths() -> None:
    """Four turns of 0.4 m pi, 30 diameters of 12 mm and 0.3 m: 5.686 m, more than what a bowline takes
    there: one turn, 45 diameters and 0.3 m (common practice)."""
    wrapped = _on_the_tree()
    bowline = rank(
        Job(anchors=TREES, puller=WEAK).site(BOOK["bowline"]),
        RankQuestion(explain=False, compound=False),
    )[0]
    girth = 3.14159265 * 0.4

    assert [h.role for h in wrapped.gear if h.nodes == (0,)] == ["tie"]
    assert not any(h.role == "strap" for h in wrapped.gear)
    more = 3.0 * girth + (30.0 - 45.0) * 0.012
    assert wrapped.rope_needed - bowline.rope_needed == pytest.approx(more, abs=1e-6)


@pytest.mark.parametrize(("girth", "works"), [("0.31 m", True), ("0.29 m", False)])
def test_turns_want_a_trunk_of_eight_rope_diameters(girth: str, works: bool) -> None:
    """8 x 12 mm = 96 mm, a girth of 0.302 m (tensionless-hitch)."""
    post = ANCHOR.format(kind="post", more=f'girth = "{girth}"')
    site = Job(anchors=post, puller=WEAK).site(BOOK["trunk-wraps"])
    assert bool(rank(site, RankQuestion(explain=False, compound=False)).setups) is works


# ---- ends of the rope ------------------------------------------------------------------------------


def test_a_knot_that_needs_a_bare_end_is_not_tied_behind_an_eye() -> None:
    """Both ends are spliced and there is no shackle: the bowline, good on that hitch, has no end."""
    site = Job(helper=True).site(BOOK["bowline"])
    eye = BOOK["eye-splice"]

    def setups(ends: tuple[Termination | None, Termination | None]) -> int:
        gear = tuple(
            replace(p, ends=ends) if p.name == "rope 0" else p
            for p in site.gear
            if not p.name.startswith("shackle")
        )
        return len(
            rank(replace(site, gear=gear), RankQuestion(explain=False, compound=False)).setups
        )

    assert setups((eye, eye)) == 0
    assert setups((eye, None)) > 0


def test_a_loop_in_the_bight_needs_no_bare_end() -> None:
    knot = BOOK["bowline-on-bight"]
    site = Job(hitches="", helper=True).site(knot)
    gear = tuple(
        replace(p, ends=(BOOK["hook-spliced"],) * 2) if p.name == "rope 0" else p for p in site.gear
    )
    hooked = replace(
        site,
        load=replace(
            site.load,
            hitches=tuple(replace(h, kind=MadeTo.HOOK) for h in site.load.hitches),
        ),
        gear=tuple(p for p in gear if not p.name.startswith("shackle")),
    )
    (setup,) = rank(hooked, RankQuestion(explain=False, compound=False)).setups[:1]
    assert [h.how for h in setup.gear if h.nodes == (0,)] == [knot.name]
    assert knot.needs is Needs.BIGHT


def test_knots_left_out_are_those_that_take_nothing_but_the_rope() -> None:
    known = read_site(Path("examples/two-tackles.toml")).preferences.knots
    assert known
    assert all(not knot.besides for knot in known)


@pytest.mark.parametrize(
    ("end", "stated"),
    [
        ("two-half-hitches", "made on the spot"),
        ("friction-hitch", "made on the spot"),
        ("short-splice", "made on the spot"),
        ("wire-socket", "made on wire"),
    ],
)
def test_what_no_such_rope_has_on_its_end_is_refused(end: str, stated: str) -> None:
    text = Path("examples/bend.toml").read_text(encoding="utf-8")
    assert 'ends = ["bare", "bare"]' in text
    changed = text.replace('ends = ["bare", "bare"]', f'ends = ["{end}", "bare"]')
    with pytest.raises(InputError, match=stated):
        read_site(changed)


@pytest.mark.parametrize(
    ("job", "where"),
    [
        (Job(), "the load, nor on any anchor"),
        (Job(puller=VEHICLE), "the eye of tractor"),
    ],
)
def test_what_stops_it_is_reported_where_no_end_can_be_made_fast(job: Job, where: str) -> None:
    """A trunk's knot, and no trunk: once a reason of its own among the misses."""
    misses = rank(job.site(BOOK["timber-hitch"])).misses
    (found,) = [miss.text for miss in misses if miss.limit == "rope's end"]
    assert where in found


# ---- the re-check ----------------------------------------------------------------------------------


def _swapped(setup: Setup, nodes: tuple[int, ...], knot: Termination) -> Setup:
    gear = tuple(
        replace(h, how=knot.name) if h.role == "end" and h.nodes == nodes else h for h in setup.gear
    )
    return replace(setup, gear=gear)


@pytest.mark.parametrize("kind", [k for k, row in READ.items() if row.split()[0] == NOT])
def test_the_re_check_refuses_a_knot_that_does_not_hold_on_the_load(kind: str) -> None:
    """A right answer with another knot written in, and all knots known."""
    site = Job(helper=True).site(BOOK["bowline"])
    known = tuple(k for k in BOOK.values() if k.tied)
    site = replace(site, preferences=replace(site.preferences, knots=known))
    (setup,) = rank(site, RankQuestion(explain=False, compound=False)).setups[:1]
    verify(site, setup)
    with pytest.raises(VerificationError):
        verify(site, _swapped(setup, (0,), BOOK[kind]))


def test_the_re_check_refuses_turns_on_a_trunk_that_is_too_thin() -> None:
    site = Job(anchors=TREES, puller=VEHICLE, besides=("trunk-wraps",)).site(BOOK["bowline"])
    (setup,) = rank(site, RankQuestion(explain=False, compound=False)).setups[:1]
    verify(site, setup)
    assert any(h.role == "tie" for h in setup.gear)
    choosy = tuple(replace(k, least_trunk=40.0) for k in site.preferences.knots)
    with pytest.raises(VerificationError):
        verify(replace(site, preferences=replace(site.preferences, knots=choosy)), setup)
