"""What is said of a rope that runs over an edge: table, steps, cautions, JSON."""

from dataclasses import replace
from math import exp, radians

import pytest

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion
from optimiser.jobs.stages.changeover import moves
from optimiser.jobs.stages.words import move
from optimiser.rig.cautions.hauling import cautions
from optimiser.rig.edge_words import steps
from optimiser.rig.laid_edges import edges, led
from optimiser.rig.setup import Ranking, Role, Setup
from optimiser.site.model import Site
from optimiser.telling.detail import detail
from optimiser.telling.tables import ranking_listing, setup_json
from shared.listing import Listing
from tests.lower.bank import bank
from tests.words.over_edges import AT, contact, over_an_edge, piece


@pytest.fixture(scope="module")
def made() -> tuple[Site, Setup]:
    return over_an_edge()


def blocks_of(site: Site, setup: Setup) -> dict[str, str]:
    """Every block of what is said of a setup."""
    blocks = detail(site, setup)
    return {title: body.table() if isinstance(body, Listing) else body for title, body in blocks}


def test_the_step_states_what_is_laid_where_and_what_it_has_to_stand(
    made: tuple[Site, Setup],
) -> None:
    text = blocks_of(*made)["Over the edge, step by step"]
    first = next(line for line in text.splitlines() if line.startswith("1. "))
    for part in (
        "log of 20 cm with its bark on, cut on the spot",
        "2.00 m long",
        "the edge at 6.20 m",
        "from 1.15 m right to 0.85 m left",
        "from 0.40 m right to 0.10 m left",
        "two stakes at each end",
        "up to 1.24 kN",
        "must hold 0.46 kN along the line",
    ):
        assert part in first


def test_the_friction_is_reported_with_its_range_and_what_it_does(made: tuple[Site, Setup]) -> None:
    text = blocks_of(*made)["Over the edge, step by step"]
    assert "planned with 0.60" in text
    high, low = exp(0.6 * radians(31.0)), exp(0.2 * radians(31.0))
    assert round(high, 2) == 1.38
    assert f"up to {high + 0.005:.2f} times" in text  # rounded up
    assert f"({low:.2f} times" in text


@pytest.mark.parametrize(
    ("load_to", "says"),
    [
        (3.0, "hangs free of the edge since the load was at 3.00 m"),
        (6.0, "until the load is at 6.00 m"),
        (None, "may still run over it"),
    ],
)
def test_the_load_is_stopped_before_it_comes_to_what_lies_there(
    made: tuple[Site, Setup], load_to: float | None, says: str
) -> None:
    site, setup = made
    setup = replace(setup, contacts=(contact(load_to=load_to),))
    step = steps(site, led(setup)[0])[-1]
    at = AT - 0.25 - site.load.overhang  # its log covers half a metre
    assert f"Stop with the load at {at:.2f} m" in step
    assert says in step


def test_a_load_that_does_not_come_so_far_is_not_stopped(made: tuple[Site, Setup]) -> None:
    site, setup = made
    short = replace(setup, to_m=4.0)
    (step,) = steps(site, led(short)[0])
    assert "Stop" not in step


def test_contacts_near_each_other_are_one_edge_and_wide_ones_take_more_pieces(
    made: tuple[Site, Setup],
) -> None:
    site, setup = made
    near = contact(from_m=AT + 0.4, to_m=AT + 0.4, part=2, left_from=1.0, left_to=1.5, force=5e3)
    far = contact(from_m=AT + 0.6, to_m=AT + 0.6)
    first, second = edges(site, led(replace(setup, contacts=(contact(), near, far)))[0])
    assert (first.parts, first.pieces) == ((1, 2), 2)  # 1.9 m and 0.3 m: two logs
    # What keeps it in place holds both parts.
    assert (first.force, first.shift) == (1234.0 + 5e3, 2 * 456.0)
    assert (second.parts, second.pieces, second.from_m) == ((1,), 1, AT + 0.6)


def test_cautions_call_for_watching_and_state_how_sharp_the_bend_is(
    made: tuple[Site, Setup],
) -> None:
    site, setup = made
    keys = {c.key: c.text for c in cautions(site, setup)}
    assert {"edge_rope", "edge_jumps", "edge_friction"} <= set(keys)
    assert "edge_bend" not in keys  # a radius of 100 mm under a rope of 12 mm
    owned = contact().owned
    assert owned is not None
    sharp = replace(owned, gear=replace(owned.gear, bend_radius=0.03))
    bent = replace(setup, contacts=(contact(owned=sharp),))
    text = {c.key: c.text for c in cautions(site, bent)}["edge_bend"]
    least = 4 * setup.rope.gear.diameter * 1000
    assert f"30 mm, less than {least:.0f} mm" in text
    plain = replace(setup, contacts=())
    assert not {key for key in (c.key for c in cautions(site, plain)) if "edge_" in key}


def test_json_names_every_contact_and_none_where_no_line_touches(made: tuple[Site, Setup]) -> None:
    _, setup = made
    (only,) = setup_json(setup)["contacts"]
    assert only["angle_deg"] == pytest.approx(31.0)
    assert {k: only[k] for k in ("part", "from_m", "to_m", "left_from_m", "left_to_m")} == {
        "part": 1, "from_m": AT, "to_m": AT, "left_from_m": -0.4, "left_to_m": 0.1,
    }  # fmt: skip
    assert (only["friction"], only["force_N"], only["protector"]) == (0.6, 1234.0, "log-bark-20")
    assert setup_json(replace(setup, contacts=()))["contacts"] == []


def test_a_changeover_lays_moves_and_takes_up(made: tuple[Site, Setup]) -> None:
    _, setup = made
    bare = replace(setup, gear=tuple(h for h in setup.gear if h.role is not Role.PROTECTOR))
    further = replace(bare, gear=(piece(AT + 3.0), *bare.gear))
    for before, after, says in (
        (bare, setup, "Lay log-bark-20 on the edge at 6.20 m"),
        (setup, bare, "Take up log-bark-20 from the edge at 6.20 m"),
        (setup, further, "from the edge at 6.20 m of the path on the edge at 9.20 m"),
    ):
        moved, _ = moves(before, after)
        (line,) = [move(m, {}) for m in moved if m.role is Role.PROTECTOR]
        assert says in line


def test_a_list_of_setups_marks_what_has_to_be_laid(made: tuple[Site, Setup]) -> None:
    _, setup = made
    ranking = Ranking(
        setups=(setup,), proven=True, order=(), rules=(), space=1, looked_at=1, confirmed=1
    )
    assert (
        "Over the edge: lay log-bark-20 on the edge at 6.20 m of the path."
        in ranking_listing(ranking).table()
    )


def test_what_the_load_has_to_pass_first_is_laid_behind_it() -> None:
    """Down a bank the log can be laid only once the load is below it."""

    site = bank()
    hold = lower(site, LowerQuestion(top=1))[0]
    middle = (hold.from_m + hold.to_m) / 2
    at = middle + site.load.overhang + 0.25
    held = replace(hold, contacts=(contact(from_m=at, to_m=at),))
    (line,) = led(held)
    (step,) = steps(site, line)
    assert step.startswith(
        f"Stop with the load at {middle:.2f} m, past the edge, and chock it. Lay a "
    )
