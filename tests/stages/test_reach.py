"""How far each stage's rig could work to either side: put on that stretch by itself it works, and on one mark
more it does not, for the reason that is stated."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from optimiser.jobs.question import StagesQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.stages.results import Plan
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.gear.assign import Filled
from optimiser.rig.ground.stations import leg_lengths
from optimiser.rig.refit import Stopped, refit
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.site.reading import read_site

EXAMPLES = Path(__file__).parents[2] / "examples"
GRAIN = 1.0
"""m between the marks at which a stage may end."""
WORDS = ("slew", "too short", "meets", "backwards")
"""Of a reason, by whichever hand it is given."""


@cache
def planned(name: str, rope: float | None) -> tuple[Site, Plan]:
    """An example, its ropes cut to a length if one is given, and its plan."""
    site = replace(read_site(str(EXAMPLES / f"{name}.toml")), origin=None)
    if rope is not None:
        cut = (p if p.length is None else replace(p, length=rope) for p in site.gear)
        site = replace(site, gear=tuple(cut))
    question = StagesQuestion(grain=GRAIN, explain=False, join_ropes=False, compound=False)
    return site, plan_stages(site, question)


def on(site: Site, setup: Setup, begin: float, end: float) -> Filled | Stopped:
    """The rig of a stage with its pieces, on another stretch."""
    return refit(site, replace(setup, from_m=begin, to_m=end))


@pytest.mark.parametrize(
    ("name", "rope", "stages"),
    [("bend", None, 3), ("short-rope", None, 2), ("short-rope", 28.0, 2), ("workboat", 40.0, 3)],
)
def test_a_rig_works_as_far_as_it_reaches_and_no_further(
    name: str, rope: float | None, stages: int
) -> None:
    site, plan = planned(name, rope)
    end = float(leg_lengths(site).sum())
    assert len(plan.stages) == stages
    for setup, reach in zip(plan.stages, plan.reaches, strict=True):
        assert reach.from_m <= setup.from_m
        assert reach.to_m >= setup.to_m
        found = on(site, setup, reach.from_m, reach.to_m)
        assert isinstance(found, Filled), found
        assert found.margin >= site.preferences.margin_wanted
        verify(site, build_setup(found, rank=1))
        assert (reach.before == "", reach.beyond == "") == (reach.from_m == 0.0, reach.to_m == end)
        for begin, far, why in (
            (max(reach.from_m - GRAIN, 0.0), reach.to_m, reach.before),
            (reach.from_m, min(reach.to_m + GRAIN, end), reach.beyond),
        ):
            beyond = on(site, setup, begin, far)
            if not why:
                assert isinstance(beyond, Filled)
            elif isinstance(beyond, Stopped):
                assert any(word in beyond.why and word in why for word in WORDS), (beyond, why)
            else:
                assert beyond.margin < site.preferences.margin_wanted
                assert "margin" in why
