"""Between its stations a rig has the margin that is stated: looked at every 5 mm of the path."""

from dataclasses import replace
from itertools import pairwise
from math import ceil
from pathlib import Path

import numpy as np
import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.refit import Stopped, refit
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.edges import sites

EXAMPLES = Path(__file__).parents[2] / "examples"
PLAIN = RankQuestion(explain=False, compound=False)
WITHIN = 0.001
"""Relative; over 200 made-up banks the most is a third of that."""


def made_up(number: int) -> Site:
    site = sites.site(number)
    return replace(site, preferences=replace(site.preferences, station_spacing=0.25))


def closely(site: Site) -> Stations:
    at = lay_stations(site).at
    pieces = [(a, b, ceil((b - a) / 0.005)) for a, b in pairwise(at) if b - a > 1e-9]
    return lay_stations(
        site, tuple(float(x) for a, b, n in pieces for x in np.linspace(a, b, n + 1)[1:-1])
    )


@pytest.mark.parametrize("bank", ["crest-log", "crest-air", 13, 76])
def test_the_margin_holds_between_stations(bank: str | int) -> None:
    site = made_up(bank) if isinstance(bank, int) else read_site(EXAMPLES / f"{bank}.toml")
    setups = list(rank(site, PLAIN))
    every = closely(site)

    assert any(setup.contacts for setup in setups)
    for setup in setups:
        looked = refit(site, setup, stations=every)
        assert not isinstance(looked, Stopped)
        assert looked.margin >= setup.margin * (1.0 - WITHIN)
