"""Rigs in words: no doubt which end is which, nor how parts are counted."""

from dataclasses import replace

from optimiser.rig.naming import counting, run_of_rope, spot
from optimiser.rig.setup import Hung, Role
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.site.counts import Count
from optimiser.telling import words
from shared.interrupt import note_limit
from tests.words.hand_made import ASH, NOTHING, PULLER, RANKING, SETUP, WALK

OAK = Place(PlaceKind.ANCHOR, "oak", 0.6)


def test_run_begins_at_the_standing_end_and_ends_at_the_puller() -> None:
    found = run_of_rope(WALK, SETUP.gear)

    assert found == (
        "standing end made fast to the load; round a block on ash (strap 0.40 m up); "
        "back round a block on the load; hauling end to winch, which pulls"
    )


def test_straight_pull() -> None:
    found = run_of_rope((LOAD, PULLER))

    assert found == "standing end made fast to the load; hauling end to winch, which pulls"


def test_second_block_at_a_place_is_distinguished_from_the_first() -> None:
    found = run_of_rope((ASH, LOAD, OAK, LOAD, PULLER))

    assert "; round a block on the load; round a block on oak (0.60 m up); " in found
    assert "back round a second block on the load" in found


def test_sheaves_of_one_block_are_distinguished() -> None:
    double = Hung(place="load", role=Role.BLOCK, item="double block", how="", nodes=(1, 3))
    found = run_of_rope((ASH, LOAD, OAK, LOAD, PULLER), (double,))

    assert "; round the first sheave of double block on the load" in found
    assert "back round the second sheave of double block on the load" in found


def test_rope_tied_round_a_trunk_has_no_strap() -> None:
    tie = Hung(place="ash@0.4 m", role=Role.TIE, item="timber hitch", how="", nodes=(0,))
    found = run_of_rope((ASH, LOAD, PULLER), (tie,))

    assert found.startswith("standing end made fast to ash (tied round it 0.40 m up); ")


def test_heights_in_the_units_of_the_answer() -> None:
    assert spot(ASH, SETUP.gear, "imperial") == "ash (strap 15.7 in up)"


def test_two_fixed_blocks_and_one_at_the_load_with_the_standing_end_there_are_three_parts() -> None:
    """The miscount newcomers make: 3 parts, not 2."""
    found = counting(replace(SETUP, walk=(LOAD, ASH, LOAD, OAK, PULLER), parts=3))

    assert found == (
        "3 parts of line pull on the load: the standing end made fast to it counts as one, "
        "and 2 more run to the block on it"
    )


def test_counting_note_names_the_setups_it_is_about() -> None:
    assert "(setup 1)" in words.counting_note(RANKING.setups)
    assert words.counting_note(RANKING.setups[1:]) == ""
    many = [replace(SETUP, rank=rank) for rank in (1, 3, 4, 5, 7)]
    assert "(setups 1, 3 to 5 and 7)" in words.counting_note(many)


def test_proven_is_printed_only_of_a_finished_search() -> None:
    assert words.proof(RANKING) == (
        "Proven: no better setup exists among 1,234 walks of the rope under the rules: "
        "one-height and no-tail."
    )
    note_limit(2.0)
    assert words.proof(replace(RANKING, proven=False)).startswith("NOT proven (time limit)")
    note_limit(None)
    assert "time limit" not in words.proof(replace(RANKING, proven=False))
    assert words.proof(NOTHING).startswith("Proven: no setup works")
    assert words.proof(replace(NOTHING, proven=False)).startswith("NOT proven")


def test_every_count_of_a_ranking_has_its_words() -> None:
    assert set(words.CRITERIA) == set(Count)
