"""The shell and the Python user ask in the same few words, with the same defaults, and get equal answers."""

import json
from collections.abc import Callable
from dataclasses import MISSING, fields
from functools import cache
from typing import Any

import click
import pytest

from optimiser import cli
from optimiser.commands import buy as buy_command
from optimiser.commands import lever as lever_command
from optimiser.commands import lower as lower_command
from optimiser.commands import rank as rank_command
from optimiser.commands import sheet as sheet_command
from optimiser.commands import show as show_command
from optimiser.commands import stages as stages_command
from optimiser.commands import sweep as sweep_command
from optimiser.commands import why as why_command
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
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.sweep.axes import axis
from optimiser.jobs.sweep.run import sweep
from optimiser.jobs.why.why import Explained, explain_reeving
from optimiser.site.model import Site
from optimiser.site.reading import read_document, read_site
from optimiser.telling.buy import purchases_json
from optimiser.telling.lever import levering_json
from optimiser.telling.lower import lowering_json
from optimiser.telling.stages import plan_json
from optimiser.telling.sweep import sweep_json
from optimiser.telling.tables import ranking_json
from optimiser.telling.why import why_json

COMMANDS: list[tuple[click.Command, type[Any]]] = [
    (rank_command.command, RankQuestion),
    (show_command.command, RankQuestion),
    (sheet_command.command, RankQuestion),
    (stages_command.command, StagesQuestion),
    (buy_command.command, BuyQuestion),
    (lower_command.command, LowerQuestion),
    (lever_command.command, LeverQuestion),
    (sweep_command.command, SweepQuestion),
    (why_command.command, WhyQuestion),
]
ONLY_PYTHON = {"explain", "grain", "steps"}
"""Words of a question that no option gives."""
OTHER_DEFAULTS = {
    ("show", "top"),
    ("sheet", "top"),
    ("show", "everything"),
    ("sheet", "everything"),
}
"""Words that a command sets by itself: as many setups as the one that is shown needs."""


@pytest.mark.parametrize(("command", "kind"), COMMANDS, ids=lambda one: getattr(one, "name", ""))
def test_an_option_has_the_name_and_the_default_of_the_questions_word(
    command: click.Command, kind: type[Any]
) -> None:
    usual = command.make_context("bankhaul", [], resilient_parsing=True).params
    met = 0
    for word in fields(kind):
        if word.name in ONLY_PYTHON - set(usual) or (command.name, word.name) in OTHER_DEFAULTS:
            continue
        assert word.default is not MISSING
        assert usual[word.name] == word.default, word.name
        met += 1
    assert met >= 1


def shell(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    assert cli.main([*words, "--format", "json"]) in {0, 3}
    printed = json.loads(capsys.readouterr().out)
    return {key: value for key, value in printed.items() if key not in {"unlikely", "next"}}


@cache
def demonstration() -> Site:
    return read_site()


ANSWERS: list[tuple[str, str | None, Callable[[Site], dict[str, Any]]]] = [
    ("rank", None, lambda site: ranking_json(rank(site))),
    ("rank", "examples/log.toml", lambda site: ranking_json(rank(site))),
    ("rank", "examples/two-tackles.toml", lambda site: ranking_json(rank(site))),
    (
        "rank --hold",
        "examples/field-roller.toml",
        lambda site: ranking_json(rank(site, RankQuestion(hold=True))),
    ),
    (
        "rank --hold",
        "examples/side-tree.toml",
        lambda site: ranking_json(rank(site, RankQuestion(hold=True))),
    ),
    ("stages", "examples/workboat.toml", lambda site: plan_json(plan_stages(site))),
    ("buy", "examples/workboat.toml", lambda site: purchases_json(buy(site))),
    ("lower", None, lambda site: lowering_json(lower(site))),
    ("lower", "examples/log.toml", lambda site: lowering_json(lower(site))),
    ("lever", None, lambda site: levering_json(lever(site))),
]


@pytest.mark.parametrize(("words", "path", "answer"), ANSWERS, ids=lambda one: str(one)[:24])
def test_both_get_equal_answers(
    capsys: pytest.CaptureFixture[str],
    words: str,
    path: str | None,
    answer: Callable[[Site], dict[str, Any]],
) -> None:
    printed = shell(capsys, *words.split(), *([path] if path else []))
    mine = json.loads(json.dumps(answer(demonstration() if path is None else read_site(path))))

    assert mine == printed
    assert printed


def test_second_lines_are_a_word_of_the_question() -> None:
    site = read_site("examples/field-roller.toml")

    assert all(setup.holding for setup in rank(site, RankQuestion(hold=True)))
    assert not any(setup.holding for setup in rank(site))


def test_python_gets_the_margins_at_both_ends_of_the_ranges() -> None:
    setup = rank(demonstration(), RankQuestion(top=1))[0]

    assert setup.margin_worst == pytest.approx(setup.margin)
    assert setup.margin_best is not None
    assert setup.margin_best > setup.margin


@pytest.mark.parametrize("words", [["load.weight=240..260 kg"]])
def test_a_sweep_is_the_same(capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    document = read_document(None)
    found = sweep(document, [axis(document, word) for word in words])
    printed = shell(capsys, "sweep", *words)

    assert json.loads(json.dumps(sweep_json(found))) == printed
    assert len(found.grid[0]) == 9


def test_why_is_the_same_of_a_reeving_and_of_the_best_setup(
    capsys: pytest.CaptureFixture[str],
) -> None:
    best = rank(demonstration(), RankQuestion(top=1))[0]
    mine = explain_reeving(demonstration(), best.reeving)
    assert isinstance(mine, Explained)
    printed = json.loads(json.dumps(why_json(mine)))

    assert shell(capsys, "why", best.reeving) == printed
    assert shell(capsys, "why") == printed


def test_why_is_the_same_of_tackle_on_tackle(capsys: pytest.CaptureFixture[str]) -> None:
    site = read_site("examples/two-tackles.toml")
    best = rank(site, RankQuestion(top=1))[0]
    assert best.second is not None
    mine = explain_reeving(site, best.reeving)

    assert mine.works
    assert mine.setup is not None
    printed = shell(capsys, "why", "examples/two-tackles.toml", best.reeving)
    assert printed["margin"] == mine.setup.margin


def test_a_rule_switched_off_for_why_is_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    walk = rank(demonstration(), RankQuestion(top=1))[0].reeving
    mine = explain_reeving(demonstration(), walk, WhyQuestion(without=("no-backward-part",)))
    assert isinstance(mine, Explained)

    printed = shell(capsys, "why", walk, "--without-rule", "no-backward-part")
    assert printed == json.loads(json.dumps(why_json(mine)))
