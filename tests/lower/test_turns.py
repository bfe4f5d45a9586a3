"""How many turns go on, and on what: no more than the hand needs, no trunk thinner than the rope bends."""

from math import exp, pi
from typing import Any

import pytest

from catalogue.book import load_catalogue
from tests.lower.slope_site import on_a_post, site_text
from tests.piped import answered

COMFORT = 75.0
"""N: half of the 150 N that a person is asked to start or stop (HSE), where a margin of 2 is enough."""
MOST = 2
"""Turns of fibre rope beyond which it no longer runs evenly (navedtra-14160, as in the data)."""
KNOTS = 'knots = ["bowline", "round-turn-two-half-hitches"]\nenough = 2'


def best(text: str) -> dict[str, Any]:
    return dict(answered(text, "lower")[1]["setups"][0])


@pytest.mark.parametrize("rise", [0.8, 1.2, 2.2, 3.8])
def test_the_fewest_turns_with_which_the_hand_has_no_more_than_is_comfortable(rise: float) -> None:
    """Capstan: each turn leaves e^(-2 pi mu) of what it holds."""
    setup = best(site_text(rise, "0.1", extra=KNOTS))
    line, turns, mu = (setup[key] for key in ("line_N", "turns", "friction"))
    hand = line * exp(-2.0 * pi * mu * turns)
    assert setup["hand_N"] == pytest.approx(hand)
    assert hand <= COMFORT or turns == MOST
    assert turns == 1 or line * exp(-2.0 * pi * mu * (turns - 1)) > COMFORT


@pytest.mark.parametrize(("more", "held"), [(1.02, True), (0.98, False)])
def test_no_turns_on_what_is_thinner_than_the_rope_bends(more: float, held: bool) -> None:
    rope = load_catalogue().ropes["polyester-12"]
    girth = f"{100.0 * pi * rope.least_bend_ratio * 0.012 * more} cm"
    code, out = answered(on_a_post(site_text(2.0, "0.1", extra=KNOTS), girth), "lower")
    assert (code == 0) == bool(out["setups"]) == held
