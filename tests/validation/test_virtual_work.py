"""Virtual work: without friction, rope taken in times pull is path gained times force on the load.

So the ideal advantage at a place of the path equals the rate at which the rope between standing end
and puller shortens there. The rate is a numeric derivative of a length that is put together from
coordinates of the site file alone; the advantage is what the program says of each of its stations.
"""

from dataclasses import replace
from itertools import pairwise
from math import cos, dist, hypot, pi, sin
from pathlib import Path

import pytest

from catalogue.ground import Motion
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.mechanics.values import Vec
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.setup import Setup, StationRow
from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.model import Leg, Site
from optimiser.site.reading import read_site
from tests.long import cases
from tests.validation.sample_rigs import SAMPLES, SampleRig, evaluated, points

EXAMPLES = Path(__file__).parents[2] / "examples"
# Ropes here run straight from place to place; bent ones are held against a physics engine in tests/edges.
BENT = ("crest-air", "crest-log", "lane", "meadow")
SITES = (None, *sorted(p for p in EXAMPLES.glob("*.toml") if p.stem not in BENT))
STEP = 1e-3
"""m, of a difference of fourth order: its error is far below what is required."""
AGREES = 1e-6


def _named(path: Path | None) -> str:
    return path.stem if path else "demonstration"


def _plus(*vectors: Vec) -> Vec:
    x, y, z = (sum(parts) for parts in zip(*vectors, strict=True))
    return x, y, z


def _times(factor: float, vector: Vec) -> Vec:
    return factor * vector[0], factor * vector[1], factor * vector[2]


def _between(start: Vec, end: Vec) -> Vec:
    return end[0] - start[0], end[1] - start[1], end[2] - start[2]


def hitch_at(leg: Leg, gone: float, grip: tuple[float, float, float]) -> Vec:
    """Where the line takes hold of the load, `gone` metres from the leg's start. `grip`: ahead of
    the reference point, left of it and plumb above it."""
    way = _between(leg.start, leg.end)
    along = _times(1.0 / hypot(*way), way)
    level = hypot(along[0], along[1])
    left = (-along[1] / level, along[0] / level, 0.0)
    ahead, aside, up = grip
    return _plus(
        leg.start, _times(gone + ahead, along), _times(aside, left), _times(up, (0.0, 0.0, 1.0))
    )


def rope_length(site: Site, walk: Walk, hitch: Vec, puller: Vec) -> float:
    """Rope from the standing end to the puller, m."""
    nodes = []
    for place in walk:
        if place.kind is PlaceKind.LOAD:
            nodes.append(hitch)
        elif place.kind is PlaceKind.PULLER:
            nodes.append(puller)
        else:
            nodes.append(_plus(site.anchor(place.name).position, (0.0, 0.0, place.height)))
    return sum(dist(a, b) for a, b in pairwise(nodes))


def shortens(site: Site, setup: Setup, walk: Walk, leg: Leg, gone: float, spot: float) -> float:
    """- dL / ds with the puller `spot` of its run away from the near end."""
    attachment = next(a for a in attachments(site) if a.name == setup.attachment)
    grip = (attachment.ahead, attachment.left, attachment.height)
    run = _times(spot * setup.puller.run, setup.puller.heading)
    puller = _plus(setup.puller.position, run, (0.0, 0.0, setup.puller.height))

    def length(by: float) -> float:
        return rope_length(site, walk, hitch_at(leg, gone + by, grip), puller)

    near = length(-STEP) - length(STEP)
    far = length(-2 * STEP) - length(2 * STEP)
    return (8.0 * near - far) / (12.0 * STEP)


def legs_of(site: Site, rows: tuple[StationRow, ...]) -> list[tuple[Leg, float]]:
    """The leg each row is on, and how far along it. At a vertex the first row of two is still on
    the leg behind; a stretch that begins at a vertex is on the leg ahead."""
    ends = [0.0]
    for leg in site.legs:
        ends.append(ends[-1] + dist(leg.start, leg.end))
    out = []
    for i, row in enumerate(rows):
        on = [k for k in range(len(site.legs)) if ends[k] - 1e-9 <= row.at <= ends[k + 1] + 1e-9]
        ahead = i == 0 or abs(rows[i - 1].at - row.at) < 1e-9
        k = on[-1] if ahead and i + 1 < len(rows) else on[0]
        out.append((site.legs[k], row.at - ends[k]))
    return out


def check(site: Site, setup: Setup) -> int:
    """Every row of the setup's profile; the number of them."""
    straight = setup.walk[-2].kind is PlaceKind.LOAD
    spots = (0.0, 0.5, 1.0) if straight else (0.0,)  # the row is of the spot with the worst pull
    for row, (leg, gone) in zip(setup.profile, legs_of(site, setup.profile), strict=True):
        rates = [shortens(site, setup, setup.walk, leg, gone, spot) for spot in spots]
        nearest = min(rates, key=lambda rate: abs(rate - row.ideal_advantage))
        assert nearest == pytest.approx(row.ideal_advantage, rel=0, abs=AGREES), (
            f"{setup.reeving} at {row.at:.2f} m"
        )
        assert row.advantage <= row.ideal_advantage + AGREES  # friction never gains
    return len(setup.profile)


NO_SINGLE_LINE = ("bend", "short-rope", "two-tackles")
"""Examples where no setup of one line serves the whole path."""
QUICK = ("demonstration", "sledge", "side-tree", "log")
TWO_LINES = ("side-tree", "two-tackles")
"""Examples that need a second line; tackle on tackle is in tests/compound/test_virtual_work.py."""


@pytest.mark.parametrize(
    "path", cases(SITES, quick=[s for s in SITES if _named(s) in QUICK]), ids=_named
)
def test_every_reeving_found_over_the_whole_path(path: Path | None) -> None:
    """All setups, those that another one beats on every count included."""
    site = read_site(path)
    steered = _named(path) == "side-tree"  # nothing goes there without a steering line
    question = RankQuestion(top=40, everything=True, explain=False, compound=False)
    ranking = rank(site, replace(question, hold=steered))
    for setup in ranking:
        assert check(site, setup) > 2
    assert bool(ranking.setups) == (_named(path) not in NO_SINGLE_LINE)


@pytest.mark.parametrize(
    "path",
    cases(
        [p for p in SITES if _named(p) not in TWO_LINES],
        quick=[p for p in SITES if _named(p) == "short-rope"],
    ),
    ids=_named,
)
def test_every_reeving_of_the_staged_plans(path: Path | None) -> None:
    site = read_site(path)
    stages = plan_stages(site).stages
    assert stages
    for setup in stages:
        assert check(site, setup) > 1


@pytest.mark.parametrize("rig", SAMPLES, ids=[rig.name for rig in SAMPLES])
def test_the_sample_reevings_in_space(rig: SampleRig) -> None:
    """The same reevings that the physics engine settles."""
    ours = evaluated(rig, hitch=rig.direction * 0.0 + rig.hitch)

    def length(by: float) -> float:
        nodes = points(rig, rig.direction * by + rig.hitch)
        return sum(dist(a, b) for a, b in pairwise(nodes))

    near = length(-STEP) - length(STEP)
    far = length(-2 * STEP) - length(2 * STEP)
    rate = (8.0 * near - far) / (12.0 * STEP)
    assert ours.ideal_advance[0, 0] == pytest.approx(rate, rel=0, abs=AGREES)


def test_the_derivative_itself_on_a_pull_whose_rate_is_known() -> None:
    """A straight line at 60° to the way shortens at cos 60° = 1/2; so the check can fail."""
    leg = Leg(
        start=(0.0, 0.0, 0.0), end=(4.0, 0.0, 0.0), surface="level", motion=Motion.SLIDING,
        resistance=0.3, resistance_low=0.3,
    )  # fmt: skip
    target = (10.0 * cos(pi / 3), 10.0 * sin(pi / 3), 0.0)

    def length(by: float) -> float:
        return dist(hitch_at(leg, by, (0.0, 0.0, 0.0)), target)

    near = length(-STEP) - length(STEP)
    far = length(-2 * STEP) - length(2 * STEP)
    rate = (8.0 * near - far) / (12.0 * STEP)
    assert rate == pytest.approx(0.5, abs=1e-9)
