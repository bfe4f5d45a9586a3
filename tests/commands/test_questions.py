"""Every job takes one question, in the words of the command line; its answer states how far it is settled."""

import inspect
import json
from collections.abc import Callable
from dataclasses import FrozenInstanceError, fields, replace
from math import inf, nan
from typing import Any

import pytest

from optimiser import cli
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.lever.answer import lever
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import (
    BuyQuestion,
    LeverQuestion,
    LowerQuestion,
    MissesQuestion,
    RankQuestion,
    StagesQuestion,
    SweepQuestion,
    WhyQuestion,
)
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.sweep.run import sweep
from optimiser.jobs.why.misses.nearest import nearest_misses
from optimiser.jobs.why.why import explain, explain_reeving
from optimiser.site.reading import read_site
from optimiser.telling.tables import ranking_json
from tests.words.hand_made import NOTHING, RANKING

ENTRIES: list[tuple[Callable[..., Any], type[Any]]] = [
    (rank, RankQuestion),
    (plan_stages, StagesQuestion),
    (buy, BuyQuestion),
    (lower, LowerQuestion),
    (nearest_misses, MissesQuestion),
    (sweep, SweepQuestion),
    (explain, WhyQuestion),
    (explain_reeving, WhyQuestion),
    (lever, LeverQuestion),
]
WRONG: list[tuple[type[Any], dict[str, Any], str]] = [
    (RankQuestion, {"without": ("no-backward-prt",)}, "did you mean 'no-backward-part'"),
    (RankQuestion, {"top": 0}, "top 0"),
    (RankQuestion, {"by": ("marging",)}, "did you mean 'margin'"),
    (RankQuestion, {"by": ("rope", "stages")}, "'stages' is not what an order can count"),
    (StagesQuestion, {"by": ("stages", "speed")}, "'speed' is not .* 'stages', 'margin'"),
    (SweepQuestion, {"by": ("resetss",)}, "did you mean 'resets'"),
    (StagesQuestion, {"time_limit": -1.0}, "time limit"),
    (StagesQuestion, {"time_limit": nan}, "time limit"),
    (StagesQuestion, {"most_stages": 0}, "most stages 0"),
    (StagesQuestion, {"grain": 0.0}, "grain"),
    (BuyQuestion, {"steps": -1}, "steps -1"),
    (LowerQuestion, {"hold": inf}, "hold"),
    (LowerQuestion, {"most_sheaves": -1}, "most sheaves -1"),
    (MissesQuestion, {"many": 0}, "many 0"),
    (WhyQuestion, {"without": ("tail",)}, "no rule of the search"),
    (LeverQuestion, {"hand": 0.0}, "hand"),
    (LeverQuestion, {"hand": inf}, "hand"),
]


@pytest.mark.parametrize(("entry", "kind"), ENTRIES, ids=lambda e: getattr(e, "__name__", ""))
def test_an_entry_takes_a_question_and_a_few_means(
    entry: Callable[..., Any], kind: type[Any]
) -> None:
    """No word of the question is a keyword beside it."""
    parameters = dict(inspect.signature(entry).parameters)
    assert parameters.pop("question").default == kind()
    means = [p.name for p in parameters.values() if p.kind is p.KEYWORD_ONLY]

    assert len(means) <= 5
    assert not set(means) & {field.name for field in fields(kind)}


@pytest.mark.parametrize(("kind", "words", "stated"), WRONG, ids=lambda w: str(w)[:40])
def test_what_no_question_can_have_is_refused(
    kind: type[Any], words: dict[str, Any], stated: str
) -> None:
    with pytest.raises(ValueError, match=stated):
        kind(**words)


def test_a_question_stays_as_it_is() -> None:
    with pytest.raises(FrozenInstanceError):
        RankQuestion().top = 3  # type: ignore[misc]


def test_the_shell_and_python_put_the_same_question(capsys: pytest.CaptureFixture[str]) -> None:
    """The same words give the same list, a rule switched off and ropes left whole included."""
    words = [
        "rank",
        "--top",
        "4",
        "--by",
        "rope,resets",
        "--whole-ropes",
        "--without-rule",
        "no-backward-part",
    ]
    assert cli.main([*words, "--format", "json"]) == 0
    shell = json.loads(capsys.readouterr().out)
    question = RankQuestion(
        top=4, by=("rope", "resets"), join_ropes=False, without=("no-backward-part",)
    )
    found = rank(read_site(), question)

    assert [s["margin"] for s in shell["setups"]] == [s.margin for s in found]
    assert shell["rules"] == list(found.rules)
    assert "no-backward-part" not in found.rules
    assert len(found) == 4


@pytest.mark.parametrize(
    ("ranking", "status"),
    [
        (RANKING, "proven"),
        (replace(RANKING, proven=False), "cut short"),
        (NOTHING, "nothing works"),
        (replace(NOTHING, proven=False), "undecided"),
    ],
)
def test_a_ranking_states_how_far_it_is_settled(ranking: Any, status: str) -> None:
    assert ranking_json(ranking)["status"] == status


@pytest.mark.parametrize(
    ("words", "code", "status"),
    [
        ("lower", 0, "proven"),
        ("stages", 0, "proven"),
        ("stages --time-limit 1e-9", 3, "undecided"),
        ("why examples/side-tree.toml", 3, "nothing works"),
    ],
)
def test_an_answer_states_how_far_it_is_settled(
    capsys: pytest.CaptureFixture[str], words: str, code: int, status: str
) -> None:
    assert cli.main([*words.split(), "--format", "json"]) == code
    found = json.loads(capsys.readouterr().out)

    assert found["status"] == status
    assert found["proven"] is (status in {"proven", "nothing works"})
