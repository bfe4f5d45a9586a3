"""What readings leave open of an answer: against closed forms, and against surveys made up at random."""

import json
from dataclasses import replace
from math import cos, radians, sin
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from optimiser.cli import cli
from optimiser.commands.options import measured_answers
from optimiser.jobs.lower.again import rest_left_open
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranges.breakeven import MOST, worth_measuring
from optimiser.jobs.ranges.kept_to import FigureKind
from optimiser.jobs.ranges.readings_off import LeftOpen, left_open
from optimiser.jobs.rank import rank
from optimiser.rig.ground import gaps
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.refit import reevaluate
from optimiser.rig.setup import Setup
from optimiser.site.measured.layout import Layout
from optimiser.site.measured.sighted import sighted
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from optimiser.site.survey.adjusted import Known
from optimiser.site.survey.network import Network
from optimiser.site.survey.solving import settled
from optimiser.telling.worst_ends import again
from tests.uncertainty import straight

EXAMPLES = Path(__file__).parents[2] / "examples"
READINGS = """
[[reading]]
from = "start"
to = "ring"
ahead = "15 m"
accuracy = "{accuracy}"

[[reading]]
from = "start"
to = "ring"
left = "0 m"
accuracy = "1 mm"

[[reading]]
from = "start"
to = "ring"
rise = "0 m"
accuracy = "1 mm"

[[anchor]]"""


def taped(accuracy: str, *, rope: str = "60 m", **values: str) -> str:
    """A straight level pull to a winch on a ring, of which a tape says how far it is from the start."""
    text = straight.text(slope="0", **values)
    at = next(line for line in text.splitlines() if line.startswith(f'at = ["{straight.FAR:.12f}'))
    text = text.replace(at, "").replace('length = "60 m"', f'length = "{rope}"')
    return text.replace("[[anchor]]", READINGS.format(accuracy=accuracy), 1)


def best(site: Site) -> Setup:
    """The straight pull."""
    found = rank(site, RankQuestion(top=20, everything=True, explain=False))
    return next(setup for setup in found if setup.reeving == "load > winch")


def opened(site: Site, setup: Setup) -> LeftOpen:
    found = left_open(site, setup)
    assert found is not None
    return found


def worst(found: LeftOpen, kind: FigureKind) -> float:
    one = found.of(kind)
    assert one is not None
    return one.worst


def printed(*arguments: str) -> str:
    found = CliRunner().invoke(cli, arguments)
    assert found.exit_code == 0, found.output
    return found.stdout


def test_of_a_straight_pull_the_rope_is_as_uncertain_as_the_tape() -> None:
    site = read_site(taped("20 cm"))
    setup = best(site)
    found = opened(site, setup)

    assert worst(found, FigureKind.ROPE) - setup.rope_needed == pytest.approx(1.96 * 0.2, abs=1e-4)
    # On the level, with a level line, the pull does not depend on how far the ring is.
    assert worst(found, FigureKind.MARGIN) == pytest.approx(setup.margin, rel=1e-4)
    assert found.readings[0].rope == pytest.approx(1.96 * 0.2, abs=1e-4)
    assert found.readings[0].accuracy == pytest.approx(1.96 * 0.2)


def test_two_parts_to_the_ring_take_twice_as_much() -> None:
    site = read_site(taped("20 cm"))
    setup = next(s for s in rank(site, RankQuestion(top=20, everything=True)) if s.parts == 2)

    by = worst(opened(site, setup), FigureKind.ROPE) - setup.rope_needed
    assert by == pytest.approx(2 * 1.96 * 0.2, rel=0.01)


@pytest.mark.parametrize(("accuracy", "short"), [("20 cm", 1.96 * 0.2 - 0.1), ("4 cm", None)])
def test_a_rope_just_long_enough_may_be_too_short(
    tmp_path: Path, accuracy: str, short: float | None
) -> None:
    needed = best(read_site(taped(accuracy))).rope_needed
    file = tmp_path / "site.toml"
    file.write_text(taped(accuracy, rope=f"{needed + 0.1:.6f} m"), encoding="utf-8")

    text = printed("rank", str(file), "--top", "1")
    answer = json.loads(printed("rank", str(file), "--top", "1", "--format", "json"))
    (found,) = answer["left_open"]
    assert ("may be 0.30 m too short" in text) is (short is not None)
    assert ("NOT CERTAIN" in text) is (short is not None)
    assert found["holds"] is (short is None)
    rope = next(one for one in found["figures"] if one["figure"] == "rope_needed")
    assert rope["worst"] - rope["limit"] == pytest.approx(
        short if short is not None else 1.96 * 0.04 - 0.1, abs=1e-3
    )


def test_a_rope_that_ends_where_it_must_is_seen_from_one_side() -> None:
    """With no rope to spare the rig works one way only; the other way is as much worse."""
    needed = best(read_site(taped("20 cm"))).rope_needed
    site = read_site(taped("20 cm", rope=f"{needed + 1e-6:.9f} m"))
    setup = best(site)

    by = worst(opened(site, setup), FigureKind.ROPE) - setup.rope_needed
    assert by == pytest.approx(1.96 * 0.2, abs=1e-4)


def test_the_slope_of_the_phone_decides_whether_a_load_rests() -> None:
    """Half of the resistance is counted on: c / 2 cos a - sin a is to spare, and a is good to 2 degrees."""
    text = straight.text(resistance="0.2").replace('surface = "grass"\n', "")
    path = next(part for part in text.split("\n\n") if part.startswith("[[path.leg]]"))
    way = next(line for line in path.splitlines() if line.startswith("to ="))
    start = next(line for line in text.splitlines() if line.startswith("start ="))
    at = next(line for line in text.splitlines() if line.startswith("at ="))
    text = text.replace(way, 'length = "10 m"\nslope = "4 deg"').replace(start, "")
    text = text.replace(at, 'at = ["15 m", "0 m", "1 m"]')
    found = rest_left_open(lower(read_site(text)))
    assert found is not None
    rest = found.of(FigureKind.REST)
    assert rest is not None

    a, off = radians(4.0), 1.96 * radians(2.0)
    low = read_site(text).legs[0].resistance_low / 2
    assert rest.figure.value == pytest.approx(low * cos(a) - sin(a), abs=1e-6)
    assert rest.by == pytest.approx(off * (low * sin(a) + cos(a)), rel=0.002)
    assert low == pytest.approx(0.1)
    assert not found.holds


def test_every_listed_way_down_has_its_verdict_with_the_turns_that_it_has() -> None:
    """Its rope is out by no more than its places are: the turns round its trunk stay."""
    gully = str(EXAMPLES / "gully-stone.toml")
    checked = CliRunner().invoke(cli, ["check", gully, "--format", "json"])
    off = {place["name"]: place["uncertainty_m"] for place in json.loads(checked.stdout)["places"]}
    listed = CliRunner().invoke(cli, ["lower", gully, "--format", "json"])
    answer = json.loads(listed.stdout)

    assert [each["answer"] for each in answer["left_open"]] == [
        "Hold 1",
        "Hold 2",
        "Hold 3",
        "Hold 4",
        "Hold 5",
    ]
    for hold, found in zip(answer["setups"], answer["left_open"], strict=True):
        rope = next(each for each in found["figures"] if each["figure"] == "rope_needed")
        walk = [place.split("@")[0] for place in hold["reeving"][1:]]
        most = 2 * sum(off[name] for name in walk) + off["start"] + off["end"]
        assert 0.0 < rope["worst"] - rope["as_measured"] < most


def resurveyed(site: Site, chance: np.random.Generator) -> Site:
    """The site as somebody else would have measured it: normal errors, adjusted anew without shortcuts."""
    outcome, origin = site.surveyed, site.origin
    assert outcome is not None
    assert origin is not None
    layout = outcome.layout
    assert isinstance(layout, Layout)
    seen = sighted(layout.read, layout.spots)
    adjusted = outcome.survey.adjusted
    places = {p.name: np.array(p.at) for p in adjusted.places}
    read = [
        replace(
            one,
            value=float(one.calculated([places[p] for p in one.points], adjusted.north or 0.0))
            + (0.0 if one.defined else one.sigma * chance.normal()),
        )
        for one in seen.observations
    ]
    given = layout.spots.given
    points = {name: Known.at(given[name]) if name in given else Known() for name in places}
    network = Network(points, read, seen.sides)
    found, _ = network.arranged(settled(network, network.packed(places, adjusted.north), 60).x)
    return origin.moved({name: tuple(found[name]) for name in outcome.spots})


def test_surveys_made_anew_stay_within_what_is_left_open() -> None:
    """95 of 100 by the convention, some more where the worse of two ways counts."""
    site = read_site(EXAMPLES / "dinghy.toml")
    setup = rank(site, RankQuestion(top=1)).setups[0]
    found = opened(site, setup)
    chance = np.random.default_rng(4)
    again = [
        reevaluate(other, setup, stations=lay_stations(other))
        for other in (resurveyed(site, chance) for _ in range(60))
    ]
    worked = [one for one in again if one is not None]
    assert len(worked) == len(again)

    def share(kind: FigureKind, values: list[float]) -> float:
        one = found.of(kind)
        assert one is not None
        return float(np.mean(np.abs(np.array(values) - one.figure.value) <= one.by))

    ropes = share(FigureKind.ROPE, [s.rope_needed for s in worked])
    margins = share(FigureKind.MARGIN, [s.margin for s in worked])
    pulls = share(FigureKind.PULL, [s.pull for s in worked])
    assert ropes >= 0.88
    assert margins >= 0.88
    assert pulls >= 0.88


def test_a_line_that_may_come_to_the_ground_is_stopped_there() -> None:
    """The slopes alone, two standard deviations off together: the ground rises into the line."""
    site = read_site(EXAMPLES / "gully-stone.toml")
    setup = rank(site, RankQuestion(top=1)).setups[0]
    found = opened(site, setup)
    outcome, origin = site.surveyed, site.origin
    assert outcome is not None
    assert origin is not None
    above = found.of(FigureKind.ABOVE)
    assert above is not None
    assert above.over > 0.0

    slopes = [m for m in outcome.movements() if m.reading.words.startswith("slope")]
    works = {
        signs: reevaluate(
            origin.moved(outcome.moved(list(zip(slopes, signs, strict=False)))), setup
        )
        is not None
        for signs in ((2.0, 2.0), (-2.0, -2.0), (2.0, -2.0), (-2.0, 2.0), (0.0, 0.0))
    }
    assert works.pop((0.0, 0.0))
    assert not all(works.values())


def test_gaps_agree_with_what_is_called_free() -> None:
    site = read_site()
    scene = next(iter(scenes(site, lay_stations(site))))
    clearance = site.preferences.clearance
    pairs = [
        (a, b) for a in range(1, scene.puller_number) for b in range(a + 1, scene.puller_number + 1)
    ]
    free = dict.fromkeys(range(len(pairs)), True)
    for gap in gaps.of_runs(scene, pairs):
        free[gap.run] &= gap.least >= (0.0 if gap.past else clearance)

    assert [free[n] for n in range(len(pairs))] == [bool(scene.clear[pair]) for pair in pairs]
    assert {True, False} == set(free.values())


def test_without_readings_nothing_is_left_open() -> None:
    site = straight.site()
    assert left_open(site, best(site)) is None
    assert measured_answers(site, [("Setup 1", best(site))]) == ()


def test_what_is_read_counts_once() -> None:
    """Slopes have their readings, so that no guess at the slope stands beside them; a range of the file
    stays at the end that is planned for."""
    site = read_site(EXAMPLES / "dinghy.toml")
    setup = rank(site, RankQuestion(top=1)).setups[0]
    found, worth = opened(site, setup), worth_measuring(site, setup, many=MOST)
    (text,) = [
        str(row["what"]) for row in again(site, found, worth).rows if "weight" in row["what"]
    ]
    margin = found.of(FigureKind.MARGIN)

    assert text == "weight of the load"
    assert not any("steepest leg" in one.name for one in worth)
    assert margin is not None
    assert margin.figure.value == pytest.approx(setup.margin, rel=1e-9)
    assert sum(found.deciding.shares) == pytest.approx(1.0)


def test_every_listed_setup_has_its_verdict() -> None:
    """The same as if it were looked at by itself, as `show` does."""
    path = EXAMPLES / "dinghy.toml"
    answer = json.loads(printed("rank", str(path), "--format", "json"))
    verdicts = answer["left_open"]
    assert [one["answer"] for one in verdicts] == [f"Setup {s['rank']}" for s in answer["setups"]]
    assert {one["holds"] for one in verdicts} == {True, False}

    site = read_site(path)
    setup = rank(site, RankQuestion(explain=False)).setups[-1]
    alone = opened(site, setup)
    assert verdicts[-1]["holds"] is alone.holds
    for one, figure in zip(verdicts[-1]["figures"], alone.figures, strict=True):
        assert one["worst"] == pytest.approx(figure.worst, rel=1e-9)


def test_a_purchase_has_the_verdict_of_each_of_its_options(tmp_path: Path) -> None:
    """With a rope that is 10 cm longer than the haul needs, and a tape that is good to 20 cm."""
    needed = best(read_site(taped("20 cm"))).rope_needed
    file = tmp_path / "site.toml"
    file.write_text(taped("20 cm", rope=f"{needed + 0.1:.6f} m"), encoding="utf-8")
    prices = tmp_path / "prices.csv"
    prices.write_text("id,price\nshackle-16,5\n", encoding="utf-8")
    arguments = ("buy", str(file), "--prices", str(prices), "--only-my-list", "--stages", "1")

    answer = json.loads(printed(*arguments, "--format", "json"))
    names = [one["answer"] for one in answer["left_open"]]
    assert names == [f"Option {number}" for number, _ in enumerate(answer["options"], 1)]
    text = printed(*arguments).replace("\n    ", " ")
    may_fail = sum(not one["holds"] for one in answer["left_open"])
    assert may_fail
    assert text.count("NOT CERTAIN by the readings") == may_fail


@pytest.mark.parametrize(
    "arguments",
    [("show",), ("stages",), ("why",), ("lower",)],
)
def test_every_question_has_it(arguments: tuple[str, ...]) -> None:
    command, *options = arguments
    text = printed(command, str(EXAMPLES / "gully-stone.toml"), *options)

    assert text.startswith("NOT CERTAIN")
    assert "too near to the ground" in text.partition("\n\n")[0].replace("\n", " ")


def test_a_sheet_has_it_as_its_first_caution(tmp_path: Path) -> None:
    file = tmp_path / "haul.html"
    printed("sheet", str(EXAMPLES / "gully-stone.toml"), "-o", str(file))

    text = file.read_text(encoding="utf-8")
    assert "NOT CERTAIN: Setup 1 may fail" in text
