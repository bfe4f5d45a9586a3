"""From the site file to the printed answer: near balance nothing is called safe.

The closed forms are statics: a load on a slope of angle a presses on it with W cos a and is drawn down
by W sin a, so that a resistance c keeps it where tan a <= c. The factors are choices of the program.
"""

from math import atan, cos, hypot, sin, tan
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shared.units import STANDARD_GRAVITY
from tests.lower.slope_site import RUN, answer, site_text

WEIGHT = 400.0 * STANDARD_GRAVITY
SHARE, LEAST = 0.5, 0.25
ORDER = ("rests", "too close to call", "runs")
KNOTS = 'knots = ["bowline", "round-turn-two-half-hitches"]'


def lowered(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], rise: float, c: str, **words: Any
) -> dict[str, Any]:
    extra = "\n".join((KNOTS, words.pop("extra", "")))
    code, out = answer(tmp_path, capsys, site_text(rise, c, extra=extra, **words))
    assert code == (0 if out["feasible"] else 3)
    return out


def held(rise: float, c: float) -> float:
    """N along the ground, by the closed form."""
    a = atan(rise / RUN)
    return WEIGHT * max(sin(a) - SHARE * c * cos(a), LEAST * sin(a))


@pytest.mark.parametrize(
    ("rise", "c", "status"),
    [
        (0.0, 0.1, "rests"),
        (0.3, 0.1, "rests"),
        (0.499, 0.1, "rests"),  # tan a = 0.0499: half of 0.1 keeps it
        (0.51, 0.1, "too close to call"),
        (0.99, 0.1, "too close to call"),  # 1 cm below balance
        (1.01, 0.1, "runs"),  # 1 cm above
        (2.0, 0.1, "runs"),
        (0.01, 0.0001, "too close to call"),  # no tape distinguishes this slope from a level one
        (0.10, 0.0001, "runs"),
    ],
)
def test_status_and_force_on_both_sides_of_the_balance(
    rise: float, c: float, status: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = lowered(tmp_path, capsys, rise, str(c))
    (zone,) = out["zones"]

    assert zone["status"] == status
    assert out["needs_hold"] == (status != "rests")
    assert zone["force_N"] == pytest.approx(0.0 if status == "rests" else held(rise, c), rel=1e-6)
    if out["needs_hold"]:
        # The only rig: straight to the oak, 0.5 m up, from 0.4 m up; never less than the closed form.
        line = max(setup["line_N"] for setup in out["setups"])
        assert held(rise, c) * 0.99 <= line <= held(rise, c) * 1.2
    else:
        assert out["setups"] == []


@pytest.mark.parametrize("c", [0.05, 0.06, 0.07, 0.1, 0.12, 0.15, 0.2, 0.25, 0.3, 0.35])
def test_exactly_at_the_balance_it_runs(
    c: float, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As people write files, with round numbers: search and re-check fall on the same side."""
    assert lowered(tmp_path, capsys, round(RUN * c, 3), str(c))["zones"][0]["status"] == "runs"
    half = lowered(tmp_path, capsys, round(RUN * c / 2.0, 3), str(c))
    assert half["zones"][0]["status"] == "rests"


@settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    c=st.floats(0.001, 0.35).map(lambda x: round(x, 4)),
    edge=st.sampled_from((SHARE, 1.0)),
    tape=st.integers(-4, 4),
    by_friction=st.booleans(),
)
def test_no_small_step_goes_from_nothing_needed_to_runs_away(
    c: float, edge: float, tape: int, by_friction: bool, tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    """A step of the tape (1 cm of rise) or of the guess (a hundredth of the friction), about either edge
    of the band: statuses change to the next one only, and what is held never falls with the slope."""
    rise = max(round(edge * c * RUN, 2) + 0.01 * tape, 0.01)
    step = (rise, c * 0.99) if by_friction else (rise + 0.01, c)
    before, after = (
        lowered(tmp_path, capsys, *x) for x in ((rise, f"{c:.6f}"), (step[0], f"{step[1]:.6f}"))
    )
    places = [ORDER.index(out["zones"][0]["status"]) for out in (before, after)]
    forces = [out["zones"][0]["force_N"] for out in (before, after)]

    assert 0 <= places[1] - places[0] <= 1
    assert forces[0] <= forces[1]
    for out, x in ((before, (rise, c)), (after, step)):
        a = atan(x[0] / RUN)
        rests = tan(a) <= SHARE * x[1] + 1e-6
        assert (
            out["needs_hold"] or rests
        )  # nothing is called safe that half the friction would not keep


def test_the_site_may_state_how_much_friction_it_counts_on(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Slope 0.06 on 0.1: half of it is too little, seven tenths do."""
    plain = lowered(tmp_path, capsys, 0.6, "0.1")
    sure = lowered(tmp_path, capsys, 0.6, "0.1", extra="resistance_counted_on = 0.7")

    assert plain["zones"][0]["status"] == "too close to call"
    assert plain["resistance_counted_on"] == 0.5
    assert sure["zones"][0]["status"] == "rests"
    assert sure["resistance_counted_on"] == 0.7
    code, _ = answer_text(tmp_path, capsys, "resistance_counted_on = 1.2")
    assert code == 2


def answer_text(tmp_path: Path, capsys: pytest.CaptureFixture[str], extra: str) -> tuple[int, str]:
    from optimiser import cli

    path = tmp_path / "bad.toml"
    path.write_text(site_text(0.6, "0.1", extra=extra), encoding="utf-8")
    code = cli.main(["lower", str(path)])
    return code, capsys.readouterr().err


@pytest.mark.parametrize(("rise", "status"), [(0.6, "too close to call"), (2.0, "runs")])
def test_a_path_is_let_down_from_its_higher_end_whichever_way_it_is_written(
    rise: float, status: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same slope and load, the path written up and written down: the same holds to the last digit,
    and the second says that it is counted from the other end."""
    up = lowered(tmp_path, capsys, rise, "0.1")
    down = lowered(tmp_path, capsys, rise, "0.1", way="down")

    assert up["zones"][0]["status"] == down["zones"][0]["status"] == status
    assert (up["turned"], down["turned"]) == (False, True)
    assert up["notes"] == []
    assert "lower than it starts" in down["notes"][0]
    assert len(up["setups"]) == len(down["setups"]) > 0
    for one, other in zip(up["setups"], down["setups"], strict=True):
        for key in ("reeving", "turns", "from_m", "to_m", "line_N", "hand_N", "margin"):
            assert (
                one[key] == pytest.approx(other[key], rel=1e-9)
                if key != "reeving"
                else (one[key] == other[key])
            )


@pytest.mark.parametrize("way", ["up", "down"])
def test_a_path_that_falls_and_rises_states_where(
    way: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Lower end at 0, a dip to -1 m half way, the higher end at 1 m: it falls over the upper half and
    rises over the lower, where it would run back into the dip."""
    out = lowered(tmp_path, capsys, 1.0, "0.1", way=way, dip=1.5)
    half = hypot(RUN / 2.0, 1.0)
    falls, rises = out["zones"]

    assert (falls["kind"], falls["status"]) == ("runs", "runs")
    assert (rises["kind"], rises["status"]) == ("climbs", "runs")
    assert rises["from_m"] == pytest.approx(half)
    note = next(n for n in out["notes"] if n.startswith("The path falls and rises"))
    assert f"from {half:.2f} m down to 0.00 m" in note
    assert "goes up by 1.00 m" in note


def test_ends_of_one_height_are_reported(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = lowered(tmp_path, capsys, 0.0, "0.1", dip=1.0)

    assert "equally high" in out["notes"][0]
    assert [zone["kind"] for zone in out["zones"]] == ["runs", "climbs"]
