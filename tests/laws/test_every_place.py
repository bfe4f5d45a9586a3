"""Every check bites at every place: one trouble at the first, the middle or the last stretch of the path, at
any spot of the puller's run, or at either end of a range, and nowhere else.

A check that looked at one station, spot or end only would pass two of the three. Every case is a site file
and the checks that `why` lists; what has to come out is worked out by hand beside it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin
from typing import Any

import pytest

from optimiser import read_site
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.site.model import Site
from tests.validation.jobs import answer

PLACES = ("first", "middle", "last")
Point = tuple[float, float, float]
WEIGHT = 200 * 9.80665
STRONG = "50 kN"
FAR = 60.0
"""m to the post and the tractor: their lines turn little while the load goes its 9 m."""


@dataclass(frozen=True)
class Job:
    """A drag on three stretches of ground, a post far ahead of it and a tractor beside the post."""

    path: tuple[Point, ...] = ((0, 0, 0), (3, 0, 0.3), (6, 0, 0.6), (9, 0, 0.9))
    resistance: tuple[str, ...] = ("0.2", "0.2", "0.2")
    obstacle: Point | None = None
    tractor: Point = (FAR, -6.0, 6.0)
    angle_limit: str = "30 deg"
    rise_limit: str = "30 deg"
    pull: str = STRONG
    efficiency: str = "0.9"
    rating: str = STRONG

    @property
    def text(self) -> str:
        """The site file."""
        legs = "".join(
            f'[[path.leg]]\nto = {_point(end)}\nsurface = "grass"\nresistance = "{c}"\n'
            for end, c in zip(self.path[1:], self.resistance, strict=True)
        )
        post = (
            f'[[obstacle]]\nname = "stake"\nat = {_point(self.obstacle)}\ndiameter = "8 cm"\nheight = "6 m"\n'
            if self.obstacle
            else ""
        )
        made = "".join(_GEAR).replace("RATING", self.rating).replace("EFFICIENCY", self.efficiency)
        return f"""title = "one trouble"
[path]
start = {_point(self.path[0])}
{legs}
[load]
name = "drag"
weight = "200 kg"
rests_on = "skids"
length = "1 m"
overhang = "0.5 m"
[[load.hitch]]
name = "eye"
ahead = "0 m"
left = "0 m"
height = "0.4 m"
rating = "{self.rating}"
eye = "30 mm"
[[anchor]]
name = "post"
kind = "post"
at = ["{FAR} m", "6 m", "6 m"]
rating = "{self.rating}"
girth = "0.8 m"
top = "1 m"
strap_heights = ["0.4 m"]
{post}
[[puller]]
kind = "vehicle"
name = "tractor"
at = {_point(self.tractor)}
heading = "0 deg"
run = "12 m"
pull = "{self.pull}"
weight = "2000 kg"
hitch_height = "0.4 m"
hitch_rating = "{self.rating}"
hitch_eye = "30 mm"
angle_limit = "{self.angle_limit}"
rise_limit = "{self.rise_limit}"
dynamic = 1.0
{made}
[preferences]
margin_wanted = 1.0
enough = 1.0
clearance = "0 m"
ground_known_within = "0 m"
most_sheaves = 2
side_pull_sliding = 1.0
knots = ["bowline"]
"""

    def checks(self, *reeving: str) -> list[dict[str, Any]]:
        """What `why` lists of a rig."""
        return list(answer(self.text, "why", " > ".join(reeving))["checks"])


_GEAR = (
    '[[gear]]\nkind = "rope"\nname = "rope"\nmaterial = "polyester"\ndiameter = "14 mm"\nlength = "200 m"\n'
    'rating = "RATING"\nstretch_at_break = 0.2\nmass_per_length = "0.1 kg/m"\nleast_bend = 1\n'
    'ends = ["eye-splice", "eye-splice"]\ncondition = "new"\n',
    '[[gear]]\nkind = "block"\nname = "block"\ncount = 2\nopens = true\nrope_least = "8 mm"\n'
    'rope_most = "16 mm"\nsheave_diameter = "100 mm"\nrating = "RATING"\nbearing = "bronze"\n'
    'efficiency = "EFFICIENCY"\nlength = "0.2 m"\neye = "30 mm"\ncondition = "new"\n',
    '[[gear]]\nkind = "shackle"\nname = "shackle"\ncount = 6\nbow = "16 mm"\npin = "19 mm"\njaw = "27 mm"\n'
    'length = "60 mm"\nrating = "RATING"\ncondition = "new"\n',
    '[[gear]]\nkind = "strap"\nname = "strap"\ncount = 2\nlength = "3 m"\nwidth = "60 mm"\n'
    'rating = "RATING"\nchoker = 0.8\nbasket = 2\ncondition = "new"\n',
)
PLAIN = Job()
TACKLE = ("post@0.4 m", "load", "tractor")
"""A block on the load: the line from there goes straight to the tractor."""
ROUND_THE_POST = ("load", "post@0.4 m", "tractor")


def _point(at: Sequence[float]) -> str:
    return "[" + ", ".join(f'"{value:.6f} m"' for value in at) + "]"


def _at(place: str) -> int:
    return PLACES.index(place)


def _stretch(job: Job, place: str) -> tuple[float, float]:
    """Where a stretch begins and ends, m along the path."""
    ends = [0.0]
    for a, b in zip(job.path[:-1], job.path[1:], strict=True):
        ends.append(ends[-1] + hypot(*(y - x for x, y in zip(a, b, strict=True))))
    return ends[_at(place)], ends[_at(place) + 1]


def _of(checks: Sequence[dict[str, Any]], name: str) -> list[dict[str, Any]]:
    found = [check for check in checks if check["check"] == name]
    assert found, f"{name} is none of {sorted({check['check'] for check in checks})}"
    return found


def _fails(checks: Sequence[dict[str, Any]], name: str) -> list[dict[str, Any]]:
    """Those that fail; a check that concerns nobody here is not listed."""
    return [check for check in checks if check["check"] == name and not check["passed"]]


def _changed(values: Sequence[Any], at: int, new: Any) -> tuple[Any, ...]:
    return (*values[:at], new, *values[at + 1 :])


# ---- what the pieces bear -----------------------------------------------------------------------


@pytest.mark.parametrize("reeving", [TACKLE, ROUND_THE_POST], ids=["tackle", "round the post"])
@pytest.mark.parametrize("place", PLACES)
def test_every_load_where_the_ground_is_rough(place: str, reeving: tuple[str, ...]) -> None:
    """Twice the resistance on one stretch: there every piece carries its most, and fails there alone."""
    rough = Job(resistance=_changed(PLAIN.resistance, _at(place), "0.4"))
    plain = {
        check["where"]: check["value"] for check in _of(PLAIN.checks(*reeving), "stands its load")
    }
    begin, end = _stretch(rough, place)
    listed = _of(rough.checks(*reeving), "stands its load")
    assert len(listed) >= 9
    for check in listed:
        assert begin - 1e-6 <= check["at_m"] <= end + 1e-6, check["where"]
        # W (sin + c cos) grows by 0.4 / 0.3 and a little: the slope is 1 in 10.
        assert check["value"] == pytest.approx(plain[check["where"]] * 5 / 3, rel=0.05)
    weak = f"{1.2 * max(plain.values()):.1f} N"
    too_weak = Job(resistance=rough.resistance, rating=weak, pull=weak)
    failing = _fails(too_weak.checks(*reeving), "stands its load")
    assert failing
    for check in failing:
        assert begin - 1e-6 <= check["at_m"] <= end + 1e-6, check["where"]
    assert not _fails(Job(rating=weak).checks(*reeving), "stands its load")


# ---- what the load does -------------------------------------------------------------------------


@pytest.mark.parametrize("place", PLACES)
def test_a_stretch_that_falls_where_it_runs_on_by_itself(place: str) -> None:
    """It falls 1 in 3 on ground that holds it at 1 in 5."""
    heights = [0.0]
    for other in PLACES:
        heights.append(heights[-1] + (-1.0 if other == place else 0.3))
    falling = Job(path=tuple((3.0 * n, 0.0, z) for n, z in enumerate(heights)))
    name = "the load needs pulling"
    begin, end = _stretch(falling, place)
    (failing,) = _fails(falling.checks(*TACKLE), name)
    assert begin - 1e-6 <= failing["at_m"] <= end + 1e-6
    assert not _fails(PLAIN.checks(*TACKLE), name)


@pytest.mark.parametrize("place", PLACES)
def test_the_low_end_of_a_range_on_which_it_runs_on(place: str) -> None:
    """It falls 1 in 10: the low end of 0.05..0.3 does not hold it, that of 0.15..0.3 does."""
    heights = [0.0]
    for other in PLACES:
        heights.append(heights[-1] + (-0.3 if other == place else 0.3))
    path = tuple((3.0 * n, 0.0, z) for n, z in enumerate(heights))
    name = "the load needs pulling"
    slippery, holding = (
        Job(path=path, resistance=_changed(PLAIN.resistance, _at(place), f"{low}..0.3"))
        for low in (0.05, 0.15)
    )
    assert _fails(slippery.checks(*TACKLE), name)
    assert not _fails(holding.checks(*TACKLE), name)


@pytest.mark.parametrize("place", PLACES)
def test_a_stretch_that_leads_aside(place: str) -> None:
    """At 60° to the line, where 45° is the most: sideways 1.7 for 1 forward."""
    points: list[Point] = [(0.0, 0.0, 0.0)]
    for other in PLACES:
        angle = radians(60.0) if other == place else 0.0
        x, y, z = points[-1]
        points.append((x + 3.0 * cos(angle), y + 3.0 * sin(angle), z + 0.3))
    aside = Job(path=tuple(points))
    begin, end = _stretch(aside, place)
    name = "the pull is in line with the path"
    (failing,) = _fails(aside.checks(*TACKLE), name)
    assert begin - 1e-6 <= failing["at_m"] <= end + 1e-6
    assert failing["value"] == pytest.approx(1.73, abs=0.3)
    assert not _fails(PLAIN.checks(*TACKLE), name)


# ---- lines --------------------------------------------------------------------------------------


@pytest.mark.parametrize("reeving", [TACKLE, ROUND_THE_POST], ids=["tackle", "round the post"])
@pytest.mark.parametrize(("place", "gone"), [("first", 0.0), ("middle", 4.5), ("last", 9.0)])
def test_a_stake_in_the_line_to_the_post(place: str, gone: float, reeving: tuple[str, ...]) -> None:
    """The post stands near and to the left, so that its line sweeps round; the stake is met at one place."""
    near = (12.0, 9.0)
    share = 0.5
    stake = (gone + share * (near[0] - gone), share * near[1], 0.0)
    job = Job(obstacle=stake)
    text = job.text.replace(
        f'at = ["{FAR} m", "6 m", "6 m"]', f'at = ["{near[0]} m", "{near[1]} m", "1 m"]'
    )
    clear = text.replace(_point(stake), _point((50.0, 40.0, 0.0)))
    checks, without = (answer(one, "why", " > ".join(reeving))["checks"] for one in (text, clear))
    meets = [check for check in _fails(checks, "line runs free") if "stake" in check["note"]]
    assert meets, place
    assert meets[0]["at_m"] == pytest.approx(gone, abs=0.6)
    assert not _fails(without, "line runs free")


@pytest.mark.parametrize("gone", [0.0, 3.0, 9.0, 12.0])
def test_a_stake_in_the_line_to_one_spot_of_the_run(gone: float) -> None:
    """From the post to the tractor, which drives on: half way between them for one spot of its 12 m."""
    blocked = Job(obstacle=(FAR + gone / 2.0, 0.0, 5.0))
    names = {check["where"] for check in _fails(blocked.checks(*ROUND_THE_POST), "line runs free")}
    assert names == {"post@0.4 m to tractor"}
    beside = Job(obstacle=(FAR - 1.0, 0.0, 5.0))
    assert not _fails(beside.checks(*ROUND_THE_POST), "line runs free")


@pytest.mark.parametrize("gone", [0.0, 3.0, 9.0])
def test_the_re_check_sees_the_stake_at_that_spot(gone: float) -> None:
    """A setup of the same site without it, told to be one of the site with it: the tractor goes aside at 60°,
    and the stake stands half way to the post."""

    def aside(obstacle: Point | None) -> Site:
        text = Job(obstacle=obstacle, angle_limit="45 deg").text
        return read_site(text.replace('heading = "0 deg"', 'heading = "-60 deg"'))

    site = aside(None)
    listed = rank(site, RankQuestion(top=60, compound=False, everything=True))
    setup = next(found for found in listed if found.reeving == " > ".join(ROUND_THE_POST))
    verify(site, setup)
    verify(aside((FAR - 1.0, 0.0, 5.0)), setup)
    stake = (FAR + gone * cos(radians(60.0)) / 2.0, -gone * sin(radians(60.0)) / 2.0, 5.0)
    with pytest.raises(VerificationError, match="meets a post"):
        verify(aside(stake), setup)


BULGES = {
    "first": (2.0, 0.0, 0.0, 0.0),
    "middle": (0.0, 2.0, 2.0, 0.0),
    "last": (0.0, 0.0, 0.0, 2.0),
}
"""m aside, or up, at the four points of the path."""


@pytest.mark.parametrize("place", PLACES)
def test_the_hauling_line_off_the_run_where_the_path_bulges(place: str) -> None:
    """Straight from the load to the tractor 30 m away and in line with the path: 2 m aside are 3.8° to
    5.4°, and 3° is the limit."""
    path = tuple((3.0 * n, y, 0.3 * n) for n, y in enumerate(BULGES[place]))
    name, straight = "line in line with the puller's run", (30.0, 0.0, 3.0)
    bulging = Job(path=path, tractor=straight, angle_limit="3 deg")
    assert _fails(bulging.checks(*TACKLE), name)
    assert not _fails(Job(tractor=straight, angle_limit="3 deg").checks(*TACKLE), name)


@pytest.mark.parametrize("place", PLACES)
def test_the_hauling_line_off_level_where_the_path_bulges(place: str) -> None:
    """The same upwards."""
    path = tuple((3.0 * n, 0.0, z) for n, z in enumerate(BULGES[place]))
    name, straight = "line level with the puller's run", (30.0, 0.0, 0.0)
    bulging = Job(path=path, tractor=straight, rise_limit="3 deg")
    flat = Job(
        path=tuple((3.0 * n, 0.0, 0.0) for n in range(4)), tractor=straight, rise_limit="3 deg"
    )
    assert _fails(bulging.checks(*TACKLE), name)
    assert not _fails(flat.checks(*TACKLE), name)


@pytest.mark.parametrize("place", PLACES)
def test_what_is_left_of_a_pull_where_the_line_rises_from_the_tractor(place: str) -> None:
    """Straight from the load, which is higher than the tractor on one stretch: a pull that is stated for a
    level line loses its own part upwards, P / (1 + sin), at worst (statics). Where the pull is needed most,
    the line rises most, so both stand in one row."""
    hump = {
        "first": (2.0, 2.3, 2.0, 1.7),
        "middle": (1.7, 2.0, 2.3, 2.0),
        "last": (1.4, 1.7, 2.0, 2.3),
    }
    path = tuple((3.0 * n, 0.0, z) for n, z in enumerate(hump[place]))
    c = _changed(("0.3", "0.3", "0.3"), _at(place), "0.6")
    job = Job(path=path, resistance=c, tractor=(30.0, 0.0, 0.0), pull="2 kN")
    (row,) = (
        r for r in _of(job.checks(*TACKLE), "stands its load") if r["where"] == "tractor: pull"
    )
    begin, end = _stretch(job, place)
    assert begin - 1e-6 <= row["at_m"] <= end + 1e-6
    n = _at(place)
    gone = (row["at_m"] - begin) / (end - begin)
    x, z = (path[n][k] + gone * (path[n + 1][k] - path[n][k]) for k in (0, 2))
    rises = z / hypot(
        30.0 - x, z
    )  # hitch and towing hook are equally high; from the near end of its run
    assert row["limit"] == pytest.approx(2000.0 / (1.0 + rises), rel=1e-3)


def test_the_re_check_knows_what_is_left_of_a_stated_pull() -> None:
    """The line rises from the tractor all the way: the answer is printed, and what is left of the pull is
    worked out by hand at the end, where the line is steepest and as much is needed as before."""
    path = tuple((3.0 * n, 0.0, 4.0 + 0.3 * n) for n in range(4))
    job = Job(path=path, tractor=(30.0, 1.0, 0.0), pull="1 kN")
    found = answer(job.text, "show", "1", "--no-compound")
    rises = 4.9 / hypot(21.0, 1.0, 4.9)
    limit = next(c["capacity"] for c in found["components"] if c["name"] == "tractor: pull")
    assert limit == pytest.approx(1000.0 / (1.0 + rises), rel=1e-3)


# ---- ranges -------------------------------------------------------------------------------------


def test_both_ends_of_a_sheave_s_efficiency() -> None:
    """A poor sheave takes more pull; a good one passes more on to the standing end: each carries its most at
    its own end, as on two files that state that end."""
    poor, good, between = (
        {c["where"]: c["value"] for c in _of(Job(efficiency=e).checks(*TACKLE), "stands its load")}
        for e in ("0.8", "0.96", "0.8..0.96")
    )
    ranked = answer(Job(efficiency="0.8..0.96").text, "show", "1", "--no-compound")
    assert ranked["margin"] > 0.0
    assert between["tractor: pull"] == pytest.approx(poor["tractor: pull"], rel=1e-6)
    standing = "rope: standing end, eye splice"
    assert good[standing] > poor[standing]
    assert between[standing] >= good[standing] * (1.0 - 1e-6)
