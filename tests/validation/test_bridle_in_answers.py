"""Legs of a bridle as answers print them, against a physics engine: never less than they carry."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.mechanics.values import Vec
from optimiser.proof.loads.haul import verify
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.setup import Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.compound import sites
from tests.generated import Recipe, made_up, on_unknown_ground
from tests.validation.ring_engine import settle

RECIPE = Recipe(
    trees=3, heights=1, sheaves=2, items=12, spacing=2.0, light=0.4, protected=True, bridle=True
)


def by_the_engine(site: Site, setup: Setup, station: int, spot: float) -> tuple[float, float]:
    """Tension of each leg, N, with the load at a station and the puller at a share of its run: the engine
    finds the ring and the legs under parts of 1000 N at the hauling end, statics of the load the pull."""
    st = lay_stations(site)
    names = setup.attachment.removeprefix("bridle ").split(" + ")
    hitches = []
    for name in names:
        h = next(h for h in site.load.hitches if h.name == name)
        at = st.point[station] + h.ahead * st.along[station] + h.left * st.across[station]
        hitches.append(tuple(at + np.array((0.0, 0.0, h.height))))
    tau = [at_the_end(setup)]
    for eta in reversed(setup.etas):
        tau.insert(0, tau[0] * eta)
    ends: list[Vec] = []
    pulls: list[float] = []
    for k, (a, b) in enumerate(pairwise(setup.walk)):
        if PlaceKind.LOAD in (a.kind, b.kind):
            place = b if a.kind is PlaceKind.LOAD else a
            if place.kind is PlaceKind.GRIP:  # it hangs in the line to the second rope's anchor
                place = next(p for p in setup.lines[1].walk if p.kind is PlaceKind.ANCHOR)
            if place.kind is PlaceKind.ANCHOR:
                x, y, z = site.anchor(place.name).position
                ends.append((x, y, z + place.height))
            else:
                p = setup.puller
                at = np.array(p.position) + spot * p.run * np.array(p.heading)
                ends.append((at[0], at[1], at[2] + p.height))
            pulls.append(1000.0 * tau[k])
    leg = site.load.bridle_leg
    found = settle((hitches[0], hitches[1]), (leg, leg), ends, pulls)
    way = np.array(ends) - found.ring
    g = (np.array(pulls)[:, None] * way / np.linalg.norm(way, axis=1)[:, None]).sum(axis=0) / 1e3
    c = st.resistance[station]
    need = st.weight[station] * (st.slope_sin[station] + c * st.slope_cos[station])
    pull = need / (g @ st.along[station] + c * (g @ st.normal[station]))
    one, two = (t * pull / 1000.0 * setup.puller.dynamic for t in found.tensions)
    return one, two


def at_the_end(setup: Setup) -> float:
    """Tension at the hauling end of the rope that pulls the load / pull: what the second rope's parts at the
    grip give together, where there is one."""
    if setup.second is None:
        return 1.0
    given, tau = 0.0, 1.0
    for k, (a, b) in enumerate(reversed(list(pairwise(setup.second.walk)))):
        if k:
            tau *= setup.second.etas[-k]
        if PlaceKind.GRIP in (a.kind, b.kind):
            given += tau
    return given


SLEDGE = """
title = "stone on a sledge that drags hard"
[path]
start = ["0 m", "0 m", "0 m"]
[[path.leg]]
to = ["3 m", "0 m", "0 m"]
resistance = 0.9
[load]
name = "stone"
weight = "60 kg"
rests_on = "skids"
length = "1.6 m"
overhang = "0.8 m"
bridle = true
bridle_leg = "1 m"
[[load.hitch]]
name = "left"
ahead = "0.8 m"
left = "0.4 m"
height = "0.2 m"
rating = "5 kN"
[[load.hitch]]
name = "right"
ahead = "0.8 m"
left = "-0.4 m"
height = "0.2 m"
rating = "5 kN"
[[tree]]
name = "oak"
at = ["7.5 m", "0.3 m", "0 m"]
diameter = "40 cm"
species = "oak-european"
tree_height = "15 m"
strap_lowest = "1.4 m"
strap_highest = "1.4 m"
[[puller]]
name = "people"
kind = "people"
count = 4
footing = "grass"
at = ["6 m", "6 m", "0 m"]
towards = ["5 m", "12 m", "0 m"]
run = "6 m"
[[gear]]
id = "polyester-12"
name = "rope"
length = "40 m"
ends = ["bare", "bare"]
condition = "good"
[[gear]]
id = "snatch-75-bronze"
name = "block"
condition = "good"
[[gear]]
id = "shackle-11"
count = 6
condition = "good"
[[gear]]
id = "sling-30-1m"
name = "leg"
count = 2
condition = "good"
[[gear]]
id = "sling-30-3m"
name = "strap"
condition = "good"
[preferences]
side_pull_sliding = 0.9
knots = ["bowline", "round-turn-two-half-hitches"]
"""


def test_a_ring_that_swings_down_lifts_less(tmp_path: Path) -> None:
    """From a site file. The strap is high and the ground drags hard, so that lift saves much. Seen from
    the ring straight ahead the line is steeper than from where the ring comes to rest: there the legs
    carry more than is worked out with the ring ahead."""
    path = tmp_path / "sledge.toml"
    path.write_text(SLEDGE, encoding="utf-8")
    site = read_site(str(path))
    setup = next(
        s for s in rank(site, RankQuestion(top=10, explain=False, compound=False))
        if s.attachment.startswith("bridle") and "oak" in str(s.walk[1])
    )  # fmt: skip
    legs = [c for c in setup.components if ", bridle leg from " in c.name]
    at = lay_stations(site).at
    for number, leg in enumerate(legs):
        here = [int(s) for s in np.flatnonzero(np.abs(at - leg.at) < 1e-6)]
        engine = max(by_the_engine(site, setup, s, 0.0)[number] for s in here)
        assert leg.demand == pytest.approx(engine, rel=2e-3)


@pytest.mark.parametrize("number", [1, 2, 8, 11])
def test_legs_carry_what_the_engine_finds_or_a_little_more(number: int) -> None:
    site = on_unknown_ground(made_up(RECIPE, number))  # the engine's ropes are straight
    bridled = [
        s
        for s in rank(site, RankQuestion(top=3, explain=False, compound=False))
        if s.attachment.startswith("bridle")
    ]
    assert bridled
    at = lay_stations(site).at
    for setup in bridled[:2]:
        verify(site, setup)
        legs = [c for c in setup.components if ", bridle leg from " in c.name]
        hitches = [c for c in setup.components if c.name.startswith("load: hitch ")]

        assert [c.demand for c in legs] == pytest.approx([c.demand for c in hitches])
        for number_of_leg, leg in enumerate(legs):
            # Two stations at a bend: the worst is at one of them.
            here = [int(s) for s in np.flatnonzero(np.abs(at - leg.at) < 1e-6)]
            states = [(s, r) for s in here for r in (0.0, 0.5, 1.0)]
            engine = max(by_the_engine(site, setup, *state)[number_of_leg] for state in states)
            assert 0.998 * engine <= leg.demand <= 1.08 * engine


def test_legs_under_tackle_on_tackle(monkeypatch: pytest.MonkeyPatch) -> None:
    """The grip pulls the ring towards where the second rope's blocks hang."""
    monkeypatch.setattr(
        sites, "recipe", lambda n, plain=sites.recipe: replace(plain(n), bridle=True)
    )
    site = sites.site(9)
    question = RankQuestion(top=12, everything=True, explain=False, compound=True)
    setup = next(s for s in rank(site, question) if s.second is not None)
    legs = [c for c in setup.components if ", bridle leg from " in c.name]
    at = lay_stations(site).at

    assert len(legs) == 2
    for number, leg in enumerate(legs):
        here = [int(s) for s in np.flatnonzero(np.abs(at - leg.at) < 1e-6)]
        engine = max(by_the_engine(site, setup, s, 0.0)[number] for s in here)
        assert 0.998 * engine <= leg.demand <= 1.08 * engine


def test_a_leg_that_hangs_slack_is_reported(tmp_path: Path) -> None:
    """Hitches near to each other and a tree well to the left: at the end the right leg, in line with the
    rope, carries all, and the left one hangs slack."""
    aside = SLEDGE.replace('at = ["7.5 m", "0.3 m", "0 m"]', 'at = ["7.5 m", "1.8 m", "0 m"]')
    aside = aside.replace('left = "0.4 m"', 'left = "0.15 m"').replace('"-0.4 m"', '"-0.15 m"')
    path = tmp_path / "aside.toml"
    path.write_text(aside, encoding="utf-8")
    site = read_site(str(path))
    setup = next(
        s
        for s in rank(site, RankQuestion(top=10, explain=False, compound=False))
        if s.attachment.startswith("bridle")
    )
    legs = {c.name[-5:].strip(): c for c in setup.components if ", bridle leg from " in c.name}
    notes = {name: c.note for name, c in legs.items()}

    assert "HANGS SLACK" in notes["left"], notes
    assert "HANGS SLACK" not in notes["right"]
    at = lay_stations(site).at
    last = int(np.flatnonzero(np.abs(at - setup.to_m) < 1e-6)[-1])
    engine = by_the_engine(site, setup, last, 0.0)
    assert engine[0] == 0.0
    assert legs["right"].demand >= 0.998 * engine[1] > 0.0
