"""Pulls that were read, from the site file to the answer: by hand, before and after, misuse."""

from math import atan2, cos, sin
from pathlib import Path
from typing import Any

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.site.reading import read_site
from shared.errors import InputError
from tests.oracle.enumeration import enumerate_setups
from tests.piped import answered, printed, replaced

PRESS = (Path(__file__).parents[2] / "examples" / "read-pull.toml").read_text(encoding="utf-8")
BEGIN = PRESS.index("[[pulled]]")
END = PRESS.index("[[tree]]")
SLOPE = atan2(2.4, 9.4)
LIGHT, HEAVY = 310 * 9.80665, 460 * 9.80665
G = 9.80665


def press(pulled: str, *changes: tuple[str, str]) -> str:
    """The example with other pulls."""
    return replaced(PRESS[:BEGIN] + pulled + "\n" + PRESS[END:], *changes, count=1)


def pull(at: str, force: str, *more: str) -> str:
    lines = [f'at = "{at}"', f'force = "{force}"', *more]
    return "\n".join(["[[pulled]]", *lines, ""])


def fault(text: str) -> str:
    with pytest.raises(InputError) as error:
        read_site(text)
    return str(error.value)


def test_what_a_scale_leaves_of_the_guesses_by_hand() -> None:
    """205 to 220 kg on a scale that is good to 3 %: F from 205 g x 0.97 to 220 g / 0.97. The heaviest load
    has the least resistance, 0.3: W = F / (sin + 0.3 cos); the lightest the most."""
    _, answer = answered(PRESS, "check")
    low, high = 205 * G * 0.97, 220 * G / 0.97
    found = {one["key"]: one for one in answer["pulled"]["narrowed"]}
    (along,) = answer["pulled"]["along_the_ground"]

    assert found["load.weight"]["before"] == pytest.approx([LIGHT, HEAVY])
    assert found["load.weight"]["after"] == pytest.approx(
        [LIGHT, high / (sin(SLOPE) + 0.3 * cos(SLOPE))]
    )
    assert found["path.leg[1].resistance"]["after"] == pytest.approx(
        [0.3, (high / LIGHT - sin(SLOPE)) / cos(SLOPE)]
    )
    assert along["after_N"] == pytest.approx([low, high])
    assert along["before_N"] == pytest.approx(
        [LIGHT * (sin(SLOPE) + 0.3 * cos(SLOPE)), HEAVY * (sin(SLOPE) + 0.65 * cos(SLOPE))]
    )


def test_a_haul_is_planned_for_no_more_than_was_pulled_and_works_now() -> None:
    """Straight from the load to the hoist, nearly along the ground: the pull is the most the scale read."""
    code, before = answered(press(""), "rank")
    _, after = answered(PRESS, "show")

    assert code == 3
    assert before["setups"] == []
    assert after["pull_N"] == pytest.approx(220 * G / 0.97, rel=0.02)
    assert after["pulled"]["margin_before_pulls"] < 1.2 <= after["margin"]
    assert after["pulled"]["worth_going_on"]
    _, text = printed(PRESS, "show")
    assert "worth going on" in text


def test_a_harder_pull_than_was_hoped_is_not_worth_going_on() -> None:
    """Nearly as hard as the worst guess: the setup that is looked at has less than the margin wanted."""
    hard = pull("1.5 m", "380 kg", 'accuracy = "1 %"')
    code, text = printed(press(hard), "rank")
    _, answer = answered(press(hard), "check")

    assert code == 3
    assert "NO SETUP WORKS" in text
    assert answer["pulled"]["narrowed"][0]["after"][0] > LIGHT


@pytest.mark.parametrize("command", ["rank", "stages", "lower"])
def test_every_command_says_that_it_took_account_of_the_pulls(command: str) -> None:
    _, text = printed(PRESS, command)
    assert "The pulls that were read are taken account of" in " ".join(text.split())
    assert "load.weight 422 kg" in " ".join(text.split())


def test_the_least_that_is_left_serves_what_holds_the_load() -> None:
    """Pulled much harder than the light end of the guesses: the smooth end of the ground goes, the heavy end
    of the weight stays."""
    heavy = press(pull("1.5 m", "330 kg", 'accuracy = "1 %"'))
    site = read_site(heavy)
    low = (330 * G * 0.99 / HEAVY - sin(SLOPE)) / cos(SLOPE)

    assert site.load.weight == pytest.approx(HEAVY)
    assert site.legs[0].resistance_least == pytest.approx(low)
    assert site.legs[0].resistance_low == pytest.approx(
        0.3
    )  # the catalogue's least for such ground


def test_a_break_out_is_narrowed_by_the_pull_that_started_it() -> None:
    """Up to twice what keeps it moving was guessed; the pull as it came loose says how much."""
    stuck = ('resistance = "0.3..0.65"', 'resistance = "0.3..0.65"\nbreakout = "1..2"')
    starting = pull("0 m", "280 kg", 'accuracy = "1 %"', 'moment = "starting"')
    moving = pull("2 m", "210 kg", 'accuracy = "1 %"')
    site = read_site(press(starting + "\n" + moving, stuck))
    guess = next(g for g in site.guesses if g.key.endswith("breakout"))
    planned = site.legs[0]

    assert guess.worst == pytest.approx(280 / 0.99 / (210 * 0.99))
    assert guess.best == pytest.approx(280 * 0.99 / (210 / 0.99))
    need = site.load.weight * planned.moved * (sin(SLOPE) + planned.resistance * cos(SLOPE))
    assert need == pytest.approx(210 * G / 0.99)
    assert need * planned.breakout == pytest.approx(280 * G / 0.99)


def test_a_line_at_an_angle_counts_with_its_lift() -> None:
    """To a strap 4 m up a walnut the line lifts the press a little: the same reading says more of it."""
    straight = read_site(press(pull("7 m", "215 kg")))
    steep = read_site(press(pull("7 m", "215 kg", 'to = "walnut"', 'height = "2.5 m"')))

    assert steep.legs[0].moved * steep.load.weight * steep.legs[0].resistance > 0
    assert steep.load.weight != straight.load.weight


def test_the_enumeration_finds_the_same_setups_with_the_same_margins() -> None:
    """Of a site with pulls that were read, at its planned end, with no range of its own left."""
    for text in (
        PRESS,
        press(pull("7 m", "215 kg", 'to = "walnut"', 'height = "2.5 m"')),
    ):
        site = read_site(text)
        assert site.legs[0].moved < 1.0
        ranking = rank(site, RankQuestion(explain=False, compound=False))
        answer = enumerate_setups(site)
        assert [s.margin for s in ranking] == pytest.approx(
            [f.as_good[0][0] for f in answer.setups]
        )


MISUSES: tuple[tuple[str, str], ...] = (
    (pull("1.5 m", "0 kN"), "force: must be more than 0"),
    (pull("30 m", "210 kg"), "lies 20.30 m beyond the end of the path, which is 9.70 m long"),
    (pull("-1 m", "210 kg"), "at: must not be negative"),
    (pull("1.5 m", "2 m"), "expected a force with its unit"),
    (pull("1.5 m", "210 kg", "parts = 2"), "hang the scale between the load and the rope"),
    (pull("1.5 m", "210 kg", 'moment = "starting"'), "has no break-out that it could tell of"),
    (pull("1.5 m", "210 kg", 'accuracy = "80 %"'), "must be 0.5 or less"),
    (pull("1.5 m", "210 kg", 'height = "1 m"'), "only used with `to`"),
    (pull("1.5 m", "210 kg", 'to = "walnut"'), "missing: how high the line was there"),
    (pull("1.5 m", "210 kg", 'to = "walnit"', 'height = "1 m"'), "did you mean 'walnut'?"),
    (pull("1.5 m", "210 kg", 'to = "start"', 'height = "1 m"'), "does not pull the load on"),
    (
        pull("1.5 m", "50 kg"),
        "does not agree with the file: 50 kg (0.46 kN to 0.52 kN with what the scale may be off)",
    ),
    (
        pull("1.5 m", "210 kg") + "\n" + pull("6 m", "300 kg"),
        "by the reading at 1.50 m, 210 kg (1.95 kN to 2.17 kN with what the scale may be off), the pull "
        "at 6.00 m would be 1.95 kN to 2.17 kN",
    ),
)


@pytest.mark.parametrize(("pulled", "message"), MISUSES, ids=[m[1][:30] for m in MISUSES])
def test_what_does_not_fit_has_a_message_of_its_own(pulled: str, message: str) -> None:
    found = fault(press(pulled))
    assert message in found
    assert "pulled[" in found


def test_two_readings_of_different_weights_are_named_with_both() -> None:
    """On ground that is known a pull is a weighing: two legs, two weights."""
    legs: Any = (
        ('resistance = "0.3..0.65"', "resistance = 0.4"),
        ("[load]", '[[path.leg]]\nto = ["12.4 m", "0 m", "2.9 m"]\nsurface = "grass-sliding"\n'
         "resistance = 0.4\n\n[load]"),
        ('weight = "310..460 kg"', 'weight = "100..900 kg"'),
    )  # fmt: skip
    both = (
        pull("1.5 m", "150 kg", 'accuracy = "1 %"')
        + "\n"
        + pull("11 m", "250 kg", 'accuracy = "1 %"')
    )

    assert (
        "the reading at 1.50 m says 233 kg to 239 kg, the one at 11.00 m says 442 kg to 452 kg"
        in fault(press(both, *legs))
    )


def test_where_weight_and_ground_are_certain_there_is_nothing_to_narrow() -> None:
    known = (('resistance = "0.3..0.65"', "resistance = 0.4"), ('"310..460 kg"', '"330 kg"'))
    assert 'write what they may be, as in weight = "220..300 kg"' in fault(
        press(pull("1.5 m", "210 kg"), *known)
    )
