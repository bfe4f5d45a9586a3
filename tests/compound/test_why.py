"""The notation of two ropes, read back, and one such rig put to every check."""

from dataclasses import replace

import pytest

from catalogue.gear import Rope
from optimiser.jobs.why.two_ropes import explain
from optimiser.rig.notation import parse_lines, parse_reeving
from optimiser.rig.setup import Role
from optimiser.site.model import Site
from shared.errors import InputError
from tests.compound.test_setup import found


def test_a_listed_reeving_is_read_back() -> None:
    small, setup = found()
    first, second = parse_lines(setup.reeving, small)

    assert (first, second) == (setup.walk, setup.lines[1].walk)


def test_a_simple_reeving_is_one_line() -> None:
    small, _ = found()
    text = f"load > tree01 > {small.pullers[0].name}"

    assert parse_lines(text, small) == (parse_reeving(text, small),)


@pytest.mark.parametrize(
    ("text", "result"),
    [
        ("load > tree01 + tree00 > grip > tree00 > puller0", "ends at the grip"),
        ("tree01 > grip + tree00 > grip > tree00 > puller0", "never comes to the load"),
        ("load > grip + tree00 > grip > tree01 > puller0", "lead to one place"),
        ("load > grip + tree00 > grip > puller0", "leaves from there"),
        ("load > grip + tree00 > grip > tree00", "is the puller"),
        ("load > grip + tre00 > grip > tree00 > puller0", "no place 'tre00'"),
    ],
)
def test_two_ropes_that_do_not_meet_are_refused(text: str, result: str) -> None:
    small, _ = found()
    with pytest.raises(InputError) as refused:
        parse_lines(text, small)
    assert result in str(refused.value)


def test_why_finds_what_the_ranking_found() -> None:
    small, setup = found()
    again = explain(small, (setup.walk, setup.lines[1].walk))

    assert again.setup is not None
    assert again.setup.margin >= setup.margin - 1e-9
    assert again.setup.reeving == setup.reeving


def test_why_states_what_stops_it() -> None:
    small, setup = found()
    walks = (setup.walk, setup.lines[1].walk)
    plain = tuple(k for k in small.preferences.knots if not (k.grips_rope or k.in_bight))
    bare = replace(small, preferences=replace(small.preferences, knots=plain))
    heavy = replace(small, load=replace(small.load, weight=50.0 * small.load.weight))

    assert "nothing at hand grips a rope" in explain(bare, walks).stops[0]
    assert explain(heavy, walks).setup is None
    assert any("margin" in text for text in explain(heavy, walks).stops)


def test_why_states_what_would_cure_it() -> None:
    """A puller that gives nine tenths of what it takes: the one limit that is short, and by how much."""
    small, setup = found()
    walks = (setup.walk, setup.lines[1].walk)
    pull = next(part for part in setup.components if part.role is Role.PULLER)
    weak = 0.9 / pull.margin
    result = explain(_with_puller(small, weak), walks)

    assert result.setup is None
    cure = next(c for c in result.cures if "that pulls" in c.text)
    assert cure.amount == pytest.approx(pull.rating * weak * (1.0 / 0.9 - 1.0), rel=1e-2)
    assert explain(_with_puller(small, weak / 0.9 * 1.001), walks).works


def test_why_states_how_much_rope_is_missing() -> None:
    small, setup = found()
    walks = (setup.walk, setup.lines[1].walk)
    gear = tuple(
        replace(p, length=0.9 * setup.lines[0].rope_needed) if p.name == setup.rope.name else p
        for p in small.gear
        if not isinstance(p.gear, Rope) or p.name in {line.rope.name for line in setup.lines}
    )
    result = explain(replace(small, gear=gear), walks)

    if result.setup is None:  # else the ropes serve the other way round
        assert any(f"more rope like {setup.rope.name}" in c.text for c in result.cures)


def _with_puller(small: Site, factor: float) -> Site:
    def scaled(value: float | None) -> float | None:
        return None if value is None else value * factor

    pullers = tuple(
        replace(
            p, limit=p.limit * factor, weight=scaled(p.weight),
            driven_weight=scaled(p.driven_weight),
        )
        for p in small.pullers
    )  # fmt: skip
    return replace(small, pullers=pullers)


def test_why_states_how_far_the_line_pulls_sideways_and_how_far_it_may() -> None:
    small, setup = found()
    worst = max(abs(row.side_pull) for row in setup.profile)
    assert worst > 0.0
    tight = replace(small.preferences, side_pull_rolling=worst / 2, side_pull_sliding=worst / 2)
    result = explain(replace(small, preferences=tight), (setup.walk, setup.lines[1].walk))
    assert result.setup is None
    assert any(
        f"({worst:.2f} sideways for 1 forward, {worst / 2:.2f} is the limit)" in stop
        for stop in result.stops
    )
