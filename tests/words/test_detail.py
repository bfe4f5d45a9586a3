"""One setup spelt out, and as JSON."""

import json
from dataclasses import replace
from math import hypot

from optimiser.rig.setup import Hung, Role, StationRow
from optimiser.telling.detail import components, detail, path, path_notes, places
from optimiser.telling.tables import miss_json, ranking_json, setup_json
from shared.listing import Listing, as_json
from shared.report import printed
from tests.words.hand_made import MISS, RANKING, SETUP, SITE, row


def test_every_place_of_the_rope_with_what_hangs_there() -> None:
    rows = places(SETUP, "metric").rows

    assert [r["rope"] for r in rows] == [
        "standing end",
        "turns on a block",
        "turns on a block",
        "hauling end",
    ]
    assert rows[0]["hangs"] == "end of long rope: bowline"
    assert rows[3]["hangs"] == "shackle big shackle > end of long rope: bowline"
    assert rows[1]["hangs"] == (
        "strap green strap (basket) > shackle big shackle > block red block"
    )


def test_weakest_piece_comes_first_with_every_factor_and_its_source() -> None:
    first = components(SETUP, "metric").rows[0]

    assert first["name"] == "standing end"
    assert first["derivation"] == (
        "breaking strength 25.00 kN [ci-1308]; design factor 5 [ci-1401]; bowline 0.6 [knot-tables]"
    )


def test_unrated_piece_comes_before_all_and_is_shouted() -> None:
    unknown = replace(SETUP.components[0], capacity=None, name="old hook")
    listing = components(replace(SETUP, components=(*SETUP.components, unknown)), "metric")

    assert listing.rows[0]["name"] == "old hook"
    assert "UNRATED" in listing.table()
    assert listing.records()[0]["margin"] is None


def test_legs_of_a_bridle_have_a_row_of_their_own() -> None:
    leg = Hung(
        place="load", role=Role.SHACKLE, item="small shackle", how="to the ring", nodes=(-2,)
    )
    rows = places(replace(SETUP, gear=(*SETUP.gear, leg)), "metric").rows

    assert rows[-1]["hangs"] == "shackle small shackle (to the ring)"


def test_path_keeps_ends_worst_pull_resets_and_leg_ends() -> None:
    length = hypot(10.0, 3.0)
    rows: tuple[StationRow, ...] = tuple(row(length * i / 400, 400.0) for i in range(401))
    rows = (*rows[:200], replace(rows[200], pull=900.0, surface="mud"), *rows[201:])
    long = replace(SETUP, profile=rows)
    shown = path(long, "metric").rows
    notes = path_notes(long, "metric")

    assert len(shown) < 40
    assert {r["at"] for r in shown} >= {rows[i].at for i in notes}
    assert notes[0] == ["start"]
    assert notes[400] == ["finish"]
    assert "worst pull" in notes[200]
    assert "end of a leg" in notes[199]
    assert sum("reset" in note for found in notes.values() for note in found) == 3


def test_setup_as_json_has_the_keys_that_programs_rely_on() -> None:
    found = setup_json(SETUP)

    assert found["reeving"] == ["load", "ash@0.4 m", "load", "winch"]
    assert found["gear"][1] == {
        "place": "ash@0.4 m",
        "item": "green strap",
        "role": "strap",
        "how": "basket",
        "nodes": [1],
    }
    expected = {
        "rank": 1,
        "parts": 3,
        "ideal_advantage": 2.9,
        "actual_advantage": 2.5,
        "pull_N": 420.0,
        "margin": 3.149,
        "weakest": "standing end",
        "unrated": [],
        "rope_needed_m": 43.219,
        "rope_owned_m": 50.0,
        "resets": 3,
    }
    assert {key: found[key] for key in expected} == expected
    assert found["pull_at_m"] == SETUP.pull_at


def test_full_json_has_components_and_the_whole_path() -> None:
    found = json.loads(as_json(setup_json(SETUP, full=True)))

    assert len(found["path"]) == len(SETUP.profile)
    assert found["components"][1]["factors"][2] == {
        "name": "bowline",
        "value": 0.6,
        "unit": "",
        "source": "knot-tables",
    }


def test_ranking_as_json() -> None:
    found = ranking_json(RANKING)

    assert [setup["rank"] for setup in found["setups"]] == [1, 2]
    assert found["proven"] is True
    assert found["order"] == ["margin", "resets", "rope"]
    assert found["rules"] == ["one-height", "no-tail"]
    assert found["space"] == 1234


def test_miss_as_json() -> None:
    found = miss_json(MISS)

    assert found["short_by"] == 1.2
    assert found["change"] == {"text": "a puller of 9.60 kN", "amount": 1600.0, "unit": "N"}


def test_detail_is_reported_in_every_form() -> None:
    blocks = detail(SITE, SETUP)

    assert [title for title, _ in blocks][:2] == ["Setup 1", "Where the rope goes"]
    assert sum(isinstance(body, Listing) for _, body in blocks) == 3
    assert max(len(line) for line in printed(blocks, "table").split("\n")) <= 100


def test_results_show_in_a_notebook() -> None:
    assert "<table>" in RANKING._repr_html_()
    assert "Proven: no better setup" in RANKING._repr_html_()
    assert "bowline" in SETUP._repr_html_()
