"""Legs of a bridle as answers print them, against a physics engine: never less than they carry."""

from itertools import pairwise

import numpy as np
import pytest

from optimiser.proof import verify
from optimiser.ranking import rank
from optimiser.results import Setup
from optimiser.site.model import Site, Vec
from optimiser.stations import lay_stations
from tests.generated import Recipe, made_up
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
    tau = [1.0]
    for eta in reversed(setup.etas):
        tau.insert(0, tau[0] * eta)
    ends: list[Vec] = []
    pulls: list[float] = []
    for k, (a, b) in enumerate(pairwise(setup.walk)):
        if "load" in (a.kind, b.kind):
            place = b if a.kind == "load" else a
            if place.kind == "anchor":
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


@pytest.mark.parametrize("number", [1, 2, 8, 11])
def test_legs_carry_what_the_engine_finds_or_a_little_more(number: int) -> None:
    site = made_up(RECIPE, number)
    bridled = [s for s in rank(site, top=3, explain=False) if s.attachment.startswith("bridle")]
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
