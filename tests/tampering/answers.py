"""Right answers of every kind to tamper with: from the shipped examples and from made-up sites."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import radians
from pathlib import Path

import numpy as np

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import LowerQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.proof.loads.haul import verify
from optimiser.proof.ranges import verify_margins
from optimiser.proof.way_down import verify_way_down
from optimiser.rig.setup import HoldingLine, LoweringSetup, Setup
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.compound.sites import site as two_rope_site
from tests.edges.sites import site as bank
from tests.generated import made_up
from tests.holding.ground import gear, path
from tests.holding.ground import tree as planted
from tests.properties.jobs import RECIPES, TIED, UNRATED

Rig = Setup | LoweringSetup | HoldingLine
KINDS = ("haul", "two ropes", "holding", "steering", "lowering", "stages")
EXAMPLES = Path(__file__).parents[2] / "examples"
COARSE = 1.0
"""m between the stations of a site to tamper with."""
ALL = (*RECIPES, *TIED, *UNRATED)


@dataclass(frozen=True)
class Answer:
    """One rig of an answer. `check`: re-checks the whole answer with the rig in it, on a site; raises
    where it is not true."""

    kind: str
    title: str
    site: Site
    rig: Rig
    check: Callable[[Site, Rig], None]


def _haul(kind: str, title: str, site: Site, setup: Setup) -> Answer:
    extra = (setup.rope,) if setup.rope.joined is not None else ()

    origin = site.origin
    worst = origin.site({}, "worst") if origin is not None and site.uncertain else None

    def check(on: Site, rig: Rig) -> None:
        assert isinstance(rig, Setup)
        verify(on, rig, extra=extra, kept=bool(setup.holding))
        if worst is not None and origin is not None and rig.margin_worst is not None:
            verify_margins(rig, worst, origin.site({}, "best"))

    return Answer(kind, title, site, setup, check)


def _second_lines(title: str, site: Site, setup: Setup) -> Iterator[Answer]:
    for number, line in enumerate(setup.holding):

        def check(on: Site, rig: Rig, number: int = number) -> None:
            assert isinstance(rig, HoldingLine)
            lines = (*setup.holding[:number], rig, *setup.holding[number + 1 :])
            verify(on, replace(setup, holding=lines))

        kind = "steering" if line.way == "aside" else "holding"
        yield Answer(kind, f"{title}, {line.way}", site, line, check)


def _down(kind: str, title: str, site: Site, setup: LoweringSetup) -> Answer:
    def check(on: Site, rig: Rig) -> None:
        assert isinstance(rig, LoweringSetup)
        verify_way_down(on, rig)

    return Answer(kind, title, site, setup, check)


def of_site(title: str, site: Site, *, top: int = 2, stages: bool = False) -> Iterator[Answer]:
    """The answers of every command to one site, the first `top` of each list."""
    site = _coarse(site)
    for setup in rank(site, RankQuestion(top=top, explain=False)):
        yield _haul("haul" if setup.second is None else "two ropes", title, site, setup)
    for setup in rank(site, RankQuestion(hold=True, top=top, explain=False)):
        yield from _second_lines(title, site, setup)
    way_down = lower(site, LowerQuestion(top=top))
    ground = way_down.site
    for down in way_down.setups:
        yield _down("lowering", title, ground, down)
    for down in way_down.stages:
        yield _down("stages", f"{title}, down", ground, down)
    if stages:
        for setup in plan_stages(site).stages:
            yield _haul("stages", title, site, setup)


def examples(top: int = 3) -> Iterator[Answer]:
    """The sites that are shipped."""
    for file in sorted(EXAMPLES.glob("*.toml")):
        yield from of_site(file.stem, read_site(file), top=top, stages=True)


def made_up_answers(sites: int, first: int = 0) -> Iterator[Answer]:
    """Of so many made-up sites, of every recipe in turn."""
    for number in range(first, first + sites):
        title, which = f"made up {number}", number % 5
        if which == 0:
            yield from _dip(title, number)
        elif which == 1:
            yield from _aside(title, number)
        elif which == 2:
            yield from _two_ropes(title, number)
        else:
            site = made_up(ALL[(number // 2) % len(ALL)], number)
            yield from of_site(title, _ground(site, number), top=1, stages=number % 10 == 3)


def over_edges(sites: int, first: int = 0) -> Iterator[Answer]:
    """Of so many banks with crests, with things of one's own to lay there and ground on which the load
    runs back by itself."""
    for number in range(first, first + sites):
        plain = bank(number)
        legs = tuple(replace(leg, resistance_low=leg.resistance_low / 6.0) for leg in plain.legs)
        yield from of_site(f"bank {number}", replace(plain, legs=legs), top=1)


def _coarse(site: Site) -> Site:
    """Looked at every metre only: what the re-check notices, it notices at any station. A site with a file
    is made anew from that, so that its sites at the ends of ranges are looked at as coarsely."""
    spacing = max(site.preferences.station_spacing, COARSE)
    if site.origin is not None:
        return site.origin.site({("preferences", "station_spacing"): spacing})
    return replace(site, preferences=replace(site.preferences, station_spacing=spacing))


def _ground(site: Site, number: int) -> Site:
    """With ground on which the load runs back by itself, on every other site."""
    if number % 2:
        return site
    legs = tuple(replace(leg, resistance_low=leg.resistance_low / 4.0) for leg in site.legs)
    return replace(site, legs=legs)


def _dip(title: str, number: int) -> Iterator[Answer]:
    """Down and up again, or only up, with a holding line for each."""
    rng = np.random.default_rng(number)
    down, up = -radians(rng.uniform(10.0, 18.0)), radians(rng.uniform(10.0, 18.0))
    site = path(*((down, up) if number % 2 else (up, up / 2.0)))
    load = replace(site.load, weight=float(rng.uniform(2500.0, 6000.0)))
    site = replace(site, load=load, gear=gear(ropes=2 + number % 2))
    yield from of_site(title, site, top=2)


def _aside(title: str, number: int) -> Iterator[Answer]:
    """Trees to the side of the path: the near one to haul by, the other to steer by."""
    rng = np.random.default_rng(number)
    site = path(radians(1.25))
    x, _, z = site.legs[-1].end
    trees = (
        planted("right", x + float(rng.uniform(2.0, 4.0)), -float(rng.uniform(5.0, 7.0)), z),
        planted("left", x / 2.0, float(rng.uniform(7.0, 10.0)), z / 2.0),
        planted("behind", -6.0, 3.0, 0.2),
    )
    preferences = replace(site.preferences, side_pull_rolling=float(rng.uniform(0.15, 0.4)))
    site = replace(site, anchors=trees, gear=gear(ropes=2), preferences=preferences)
    yield from of_site(title, site, top=3)


def _two_ropes(title: str, number: int) -> Iterator[Answer]:
    site = _coarse(two_rope_site(number))
    found = rank(site, RankQuestion(compound=True, everything=True, top=40, explain=False))
    for setup in [s for s in found if s.second is not None][:1]:
        yield _haul("two ropes", title, site, setup)
    for setup in found.setups[:1]:
        if setup.second is None:
            yield _haul("haul", title, site, setup)
