"""What one plan of stages is worth against another, and what is not looked for unless it is wanted."""

from types import SimpleNamespace
from typing import Any

import pytest

from optimiser.jobs.stages.plan import _Planner, _worth
from optimiser.site.counts import Count, OfPlan
from tests.geometry.plain import SITE


def plan(**figures: Any) -> Any:
    usual = {"stages": (1, 2), "resets": 3, "margin": 1.5, "rope_needed": 20.0}
    order = (OfPlan.STAGES, Count.RESETS, Count.MARGIN, Count.ROPE)
    return SimpleNamespace(order=order, **{**usual, **figures})


@pytest.mark.parametrize(
    "better", [{"stages": (1,)}, {"resets": 2}, {"margin": 1.9}, {"rope_needed": 19.0}]
)
def test_a_plan_is_worth_more_by_each_count(better: dict[str, Any]) -> None:
    """Fewer stages, resets and metres; more margin. Less is better."""
    assert _worth(plan(**better), SITE) < _worth(plan(), SITE)


def test_a_plan_of_no_stage_has_no_margin() -> None:
    assert _worth(plan(margin=None), SITE) > _worth(plan(), SITE)


def test_why_a_load_is_not_kept_is_not_looked_for_where_nobody_wants_it_kept() -> None:
    unwanted: Any = SimpleNamespace(_lines=None)
    assert _Planner._not_held(unwanted, 0, 1) == ()
