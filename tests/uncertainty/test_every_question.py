"""No answer of any question is worse anywhere inside the ranges than the margin it prints."""

from collections.abc import Callable, Sequence
from functools import cache
from math import inf
from pathlib import Path

import pytest

from catalogue.prices import load_prices
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import BuyQuestion, LowerQuestion, RankQuestion, StagesQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.why.why import explain
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.search.stock.offers import offers
from optimiser.site.model import Owned, Site
from optimiser.site.reading import demonstration_text
from tests.long import long
from tests.uncertainty import sites
from tests.uncertainty.straight import two_rings_text
from tests.uncertainty.widened import margin_at, samples, widened

SAMPLES = 30
"""In the suite; `python -m tests.uncertainty.test_every_question` takes `MANY`."""
MANY = 100
Answers = Sequence[tuple[Setup | LoweringSetup, tuple[Owned, ...]]]
Question = Callable[[Site], Answers]


def _weak_ring() -> str:
    """What holds the standing end is the weakest: there a better sheave is the worse."""
    return two_rings_text("3.5 kN", weight="1500 kg", efficiency="0.9", pull="9 kN")


@cache
def site(name: str) -> Site:
    """An example with a range on everything."""
    text = {
        "demonstration": demonstration_text,
        "many ranges": sites.demonstration,
        "two ropes": sites.two_ropes,
        "weak standing end": _weak_ring,
    }.get(name, lambda: Path(f"examples/{name}.toml").read_text(encoding="utf-8"))()
    return widened(text, "3 %")


def ranked(of: Site) -> Answers:
    return [(setup, ()) for setup in rank(of, RankQuestion(top=3, everything=True, explain=False))]


def two_ropes(of: Site) -> Answers:
    found = rank(of, RankQuestion(top=30, everything=True, compound=True, explain=False))
    return [(setup, ()) for setup in found if setup.second is not None][:2]


def staged(of: Site) -> Answers:
    return [(setup, ()) for setup in plan_stages(of, StagesQuestion(explain=False)).stages]


def bought(of: Site) -> Answers:
    extra = tuple(o.piece for o in offers(of, load_prices().values()))
    return [
        (option.setup, extra)
        for option in buy(of, BuyQuestion(most_stages=1, steps=2, explain=False)).options
    ]


def explained(of: Site) -> Answers:
    walks = [setup.walk for setup in rank(of, RankQuestion(top=2, explain=False))]
    found = [explain(of, walk) for walk in walks]
    return [(one.setup, ()) for one in found if one.works and one.setup is not None]


def let_down(of: Site) -> Answers:
    found = lower(of, LowerQuestion(top=4))
    return [(setup, ()) for setup in found.setups or found.stages]


QUESTIONS = (
    (ranked, "demonstration"),
    (ranked, "many ranges"),
    (ranked, "field-roller"),
    (ranked, "workboat"),
    (ranked, "weak standing end"),
    (two_ropes, "two ropes"),
    (staged, "demonstration"),
    (staged, "bend"),
    (staged, "weak standing end"),
    (bought, "many ranges"),
    (bought, "weak standing end"),
    (explained, "many ranges"),
    (let_down, "field-roller"),
    (let_down, "workboat"),
    (let_down, "demonstration"),
)

QUICK = (
    (ranked, "demonstration"), (two_ropes, "two ropes"), (staged, "demonstration"),
    (explained, "many ranges"), (let_down, "workboat"),
)  # fmt: skip
CASES = [
    pytest.param(
        question,
        name,
        number,
        id=f"{question.__name__}-{name}",
        marks=() if (question, name) in QUICK else long,
    )
    for number, (question, name) in enumerate(QUESTIONS)
]


def worst(question: Question, name: str, many: int, seed: int) -> tuple[int, float]:
    """How many answers there are, and the least margin at any sample over the one printed."""
    of = site(name)
    answers = question(of)
    found = [
        margin_at(of, answer, sample, extra) / answer.margin
        for sample in samples(of, many, seed)
        for answer, extra in answers
    ]
    return len(answers), min(found, default=inf)


@pytest.mark.parametrize(("question", "name", "seed"), CASES)
def test_it_works_everywhere_inside_the_ranges(question: Question, name: str, seed: int) -> None:
    answers, least = worst(question, name, SAMPLES, seed)
    assert answers
    assert least >= 1.0 - 1e-6


if __name__ == "__main__":
    for number, (question, where) in enumerate(QUESTIONS):
        answers, least = worst(question, where, MANY, number)
        print(
            f"{question.__name__:10} {where:18} {answers} answers, least margin / printed {least:.4f}"
        )
