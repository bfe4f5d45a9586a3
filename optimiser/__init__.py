"""Finds the best way to haul one heavy thing up a bank, and proves that no better one exists.

from optimiser import RankQuestion, rank, read_site

site = read_site("site.toml")
ranking = rank(site, RankQuestion(top=3))
print(ranking[0].reeving, ranking[0].margin)
"""

from typing import TYPE_CHECKING, Any

from shared import notebook

if TYPE_CHECKING:
    from optimiser.jobs.buy.shop import buy
    from optimiser.jobs.lever.answer import lever
    from optimiser.jobs.lower.answer import lower
    from optimiser.jobs.question import (
        BuyQuestion,
        LeverQuestion,
        LowerQuestion,
        RankQuestion,
        StagesQuestion,
        SweepQuestion,
        WhyQuestion,
    )
    from optimiser.jobs.ranges.readings_off import left_open
    from optimiser.jobs.rank import rank
    from optimiser.jobs.stages.plan import plan_stages
    from optimiser.jobs.sweep.run import sweep
    from optimiser.jobs.why.why import explain_reeving
    from optimiser.sheet.inline import draw
    from optimiser.site.doubts.unlikely import unlikely
    from optimiser.site.reading import read_document, read_site
    from optimiser.telling.fields.answers import rows

__all__ = [
    "BuyQuestion",
    "LeverQuestion",
    "LowerQuestion",
    "RankQuestion",
    "StagesQuestion",
    "SweepQuestion",
    "WhyQuestion",
    "__version__",
    "buy",
    "draw",
    "explain_reeving",
    "left_open",
    "lever",
    "lower",
    "plan_stages",
    "rank",
    "read_document",
    "read_site",
    "rows",
    "sweep",
    "unlikely",
]

__version__ = "0.1.0"

_HOMES = {
    "BuyQuestion": "optimiser.jobs.question",
    "LeverQuestion": "optimiser.jobs.question",
    "LowerQuestion": "optimiser.jobs.question",
    "RankQuestion": "optimiser.jobs.question",
    "StagesQuestion": "optimiser.jobs.question",
    "SweepQuestion": "optimiser.jobs.question",
    "WhyQuestion": "optimiser.jobs.question",
    "buy": "optimiser.jobs.buy.shop",
    "draw": "optimiser.sheet.inline",
    "explain_reeving": "optimiser.jobs.why.why",
    "left_open": "optimiser.jobs.ranges.readings_off",
    "lever": "optimiser.jobs.lever.answer",
    "lower": "optimiser.jobs.lower.answer",
    "plan_stages": "optimiser.jobs.stages.plan",
    "rank": "optimiser.jobs.rank",
    "read_document": "optimiser.site.reading",
    "read_site": "optimiser.site.reading",
    "rows": "optimiser.telling.fields.answers",
    "sweep": "optimiser.jobs.sweep.run",
    "unlikely": "optimiser.site.doubts.unlikely",
}

notebook.register("Ranking", "optimiser.telling.notebook", "ranking_html")
notebook.register("Setup", "optimiser.telling.notebook", "setup_html")


def __getattr__(name: str) -> Any:
    """Import what is heavy only when it is requested: `import optimiser` itself stays quick."""
    if name not in _HOMES:
        raise AttributeError(f"module 'optimiser' has no attribute {name!r}")
    from importlib import import_module

    found = getattr(import_module(_HOMES[name]), name)
    globals()[name] = found
    return found
