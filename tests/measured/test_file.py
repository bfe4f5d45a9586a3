"""Site files without coordinates: what was measured in, the same site as by coordinates out."""

import json
from math import atan2, cos, degrees, hypot, pi, radians, sin

import pytest
from click.testing import CliRunner

from optimiser import rank
from optimiser.cli import cli
from optimiser.site.model import Site
from optimiser.site.reading import measured_starter_text, read_site

STARTER = measured_starter_text()

FRAME = """\
title = "measured"

{path}

[load]
weight = "260 kg"
rests_on = "skids"
length = "2 m"
overhang = "1 m"

[[load.hitch]]
name = "bar"
ahead = "1 m"
left = "0 m"
height = "0.4 m"
rating = "10 kN"

[[tree]]
name = "oak"
diameter = "0.4 m"
species = "unknown"
strap_heights = ["0.5 m"]

[[puller]]
kind = "people"
name = "we"
count = 3
per_head = "200 N"
at = ["10 m", "-8 m", "1 m"]
heading = "-120 deg"
run = "6 m"

[[gear]]
id = "polyester-14"
name = "rope"
length = "60 m"
ends = ["eye-splice", "bare"]
condition = "good"
"""
ONE_LEG = '[[path.leg]]\nlength = "10 m"\nslope = "0 deg"\nsurface = "grass-sliding"\n'


def placed(site: Site, name: str) -> tuple[float, float, float]:
    """Where a place is, in the coordinates of the file."""
    assert site.surveyed is not None
    return next(p.at for p in site.surveyed.places if p.name == name)


def test_legs_by_length_slope_and_turn_are_what_trigonometry_makes_of_them() -> None:
    """Worked out by hand: a leg of length L at slope s goes L cos s and rises L sin s."""
    path = (
        '[[path.leg]]\nlength = "20 ft"\nslope = "30 deg"\nsurface = "grass-sliding"\n'
        '[[path.leg]]\nlength = "5 m"\nrise = "3 m down"\nturn = "60 deg left"\nsurface = "grass-sliding"\n'
        '[[path.leg]]\nlength = "2 m"\nslope = "0 deg"\nturn = "90 deg right"\nsurface = "grass-sliding"\n'
    )
    reading = '[[reading]]\nfrom = "start"\nto = "oak"\nlevel = "4 m"\nturn = "90 deg left"\nrise = "1 m"\n'
    site = read_site(FRAME.format(path=path) + reading)
    going, up = 20 * 0.3048 * cos(pi / 6), 20 * 0.3048 * 0.5
    bend = (going + 4 * cos(pi / 3), 4 * sin(pi / 3), up - 3)

    assert placed(site, "end of leg 1") == pytest.approx((going, 0, up), abs=1e-6)
    assert placed(site, "end of leg 2") == pytest.approx(bend, abs=1e-6)
    assert placed(site, "end") == pytest.approx(
        (bend[0] + 2 * cos(-pi / 6), bend[1] + 2 * sin(-pi / 6), bend[2]), abs=1e-6
    )
    assert placed(site, "oak") == pytest.approx((0, 4, 1), abs=1e-6)


OAK = (13.0, 4.0, 2.0)


def far(x: float, y: float, z: float = 0.0) -> str:
    """The tape from a place to the oak."""
    return f"{hypot(OAK[0] - x, OAK[1] - y, OAK[2] - z):.9f} m"


WAYS = {
    "two tapes and a rise": f"""
[[reading]]
from = "start"
to = "oak"
tape = "{far(0, 0)}"
side = "left"
rise = "2 m"
[[reading]]
from = "end"
to = "oak"
tape = "{far(10, 0)}"
""",
    "a turn, a level tape, a slope": f"""
[[reading]]
from = "start"
to = "oak"
turn = "{degrees(atan2(4, 13)):.9f} deg left"
level = "{hypot(13, 4):.9f} m"
slope = "{degrees(atan2(2, hypot(13, 4))):.9f} deg up"
""",
    "an offset from beyond the path": """
[[reading]]
from = "start"
facing = "end"
to = "oak"
ahead = "13 m"
left = "4 m"
rise = "2 m up"
""",
    "an offset beyond the end": """
[[reading]]
from = "end"
to = "oak"
ahead = "3 m"
left = "4 m"
rise = "2 m up"
""",
    "square from a peg": """
[[mark]]
name = "peg"
at = ["13 m", "0 m", "0 m"]
[[reading]]
from = "peg"
facing = "end"
to = "oak"
right = "4 m"
rise = "2 m up"
""",
    "a turn back at the end": f"""
[[reading]]
from = "end"
to = "oak"
turn = "{degrees(atan2(4, 3)):.9f} deg left"
tape = "{far(10, 0)}"
rise = "2 m"
""",
    "a place of the path": f"""
[[reading]]
from = "4 m of the path"
to = "oak"
tape = "{far(4, 0)}"
rise = "2 m"
[[reading]]
from = "10 m of the path"
to = "oak"
tape = "{far(10, 0)}"
side = "left"
""",
    "in line with": f"""
[[mark]]
name = "gate"
at = ["6.5 m", "2 m", "0 m"]
[[reading]]
from = "start"
facing = "gate"
to = "oak"
turn = "0 deg"
tape = "{far(0, 0)}"
slope = "{degrees(atan2(2, hypot(13, 4))):.9f} deg"
""",
    "from the oak to the path": f"""
[[reading]]
from = "oak"
to = "start"
tape = "{far(0, 0)}"
rise = "2 m down"
[[reading]]
from = "oak"
to = "end"
tape = "{far(10, 0)}"
[[reading]]
from = "start"
to = "oak"
side = "left"
""",
}


@pytest.mark.parametrize("way", WAYS)
def test_whatever_was_measured_leads_to_the_same_tree(way: str) -> None:
    """The oak at (13, 4, 2), and what each instrument reads of it, worked out by Pythagoras and by angles."""
    site = read_site(FRAME.format(path=ONE_LEG) + WAYS[way])

    assert placed(site, "oak") == pytest.approx(OAK, abs=1e-5)
    assert site.anchors[0].position == pytest.approx(OAK, abs=1e-5)


def test_bearings_of_a_path_and_of_a_tree() -> None:
    """North lies where the first leg's bearing puts it; the oak is 50 degrees to the right of that leg."""
    path = (
        '[[path.leg]]\nlength = "10 m"\nslope = "0 deg"\nbearing = "340 deg"\nsurface = "grass-sliding"\n'
        '[[path.leg]]\nlength = "5 m"\nslope = "0 deg"\nbearing = "10 deg"\nsurface = "grass-sliding"\n'
    )
    reading = (
        '[[reading]]\nfrom = "start"\nto = "oak"\nbearing = "30 deg"\nlevel = "8 m"\nrise = "0 m"\n'
    )
    site = read_site(FRAME.format(path=path) + reading)
    way, bend = radians(-50), radians(-30)

    assert placed(site, "oak") == pytest.approx((8 * cos(way), 8 * sin(way), 0), abs=1e-6)
    assert placed(site, "end") == pytest.approx((10 + 5 * cos(bend), 5 * sin(bend), 0), abs=1e-6)


def test_readings_mix_with_coordinates() -> None:
    """What has coordinates keeps them; the oak is measured from it, in the file's own axes."""
    path = (
        '[path]\nstart = ["100 m", "50 m", "7 m"]\n'
        '[[path.leg]]\nto = ["100 m", "60 m", "8 m"]\nsurface = "grass-sliding"\n'
    )
    reading = (
        '[[reading]]\nfrom = "start"\nto = "oak"\nleft = "3 m"\nahead = "12 m"\nrise = "1 m"\n'
    )
    site = read_site(FRAME.format(path=path) + reading)

    assert placed(site, "oak") == pytest.approx((97, 62, 8), abs=1e-6)
    assert placed(site, "end") == (100, 60, 8)


def test_a_measured_site_is_answered_as_the_same_site_by_coordinates() -> None:
    """The starter, once by its readings and once by the coordinates these lead to."""
    measured = read_site(STARTER)
    lines = STARTER.replace('towards = "hedge"', f"towards = {written(measured, 'hedge')}")
    for name in ("alder", "ash", "two of us"):
        lines = lines.replace(
            f'name = "{name}"', f'name = "{name}"\nat = {written(measured, name)}'
        )
    for name, slope in (("end of leg 1", 'length = "4.1 m"'), ("end", 'length = "6.0 m"')):
        lines = lines.replace(slope, f"to = {written(measured, name)}\n# ")
    lines = lines.replace('slope = "10 deg"', "#").replace('slope = "6.5 deg"', "#")
    head, rest = lines.split("[[reading]]", 1)
    rest = rest.split("[load]", 1)[1]
    start = '[path]\nstart = ["0 m", "0 m", "0 m"]\n[[path.leg]]'
    given = read_site(head.replace("[[path.leg]]\n", f"{start}\n", 1) + "[load]" + rest)

    assert given.surveyed is None
    here, there = rank(measured).setups, rank(given).setups
    assert [s.walk for s in here] == [s.walk for s in there]
    assert [s.margin for s in here] == pytest.approx([s.margin for s in there], rel=1e-4)


def written(site: Site, name: str) -> str:
    """A place as a site file has it."""
    return str([f"{value:.6f} m" for value in placed(site, name)]).replace("'", '"')


def test_a_file_without_readings_is_not_touched() -> None:
    """Nothing of it is adjusted: `check` has the places of the file, of which nobody states how sure they
    are."""
    site = read_site()

    assert site.surveyed is None
    answer = json.loads(CliRunner().invoke(cli, ["check", "--format", "json"]).stdout)
    assert {place["uncertainty_m"] for place in answer["places"]} == {None}
    assert answer["readings"] == []
