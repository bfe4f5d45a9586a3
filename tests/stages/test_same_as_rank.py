"""`stages` and `rank` answer the same question alike where one setup serves the whole path: the same rig,
pieces and figures, whatever the order of counts."""

import json
from itertools import permutations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from optimiser import plan_stages, rank
from optimiser.cli import cli
from optimiser.jobs.question import RankQuestion, StagesQuestion
from optimiser.rig.setup import Setup
from optimiser.site.counts import Count
from tests.generated import HOME, Recipe, made_up
from tests.long import cases

ONE_STAGE = (
    "",
    *(f"examples/{name}.toml" for name in ("field-roller", "log", "sledge", "workboat")),
)
ORDERS = [
    ",".join(some) for many in (1, 2) for some in permutations(("margin", "resets", "rope"), many)
]
SMALL = Recipe(trees=4, heights=2, sheaves=3, items=10, spacing=1.0)


def answer(*words: str) -> Any:
    result = CliRunner().invoke(cli, [*words, "--format", "json"], standalone_mode=False)
    assert result.exception is None, result.exception
    return json.loads(result.stdout)


def counted(setup: Any) -> tuple[Any, ...]:
    names = ("reeving", "resets", "margin", "rope_needed_m", "pull_N", "parts", "gear")
    return tuple(setup[name] for name in names)


@pytest.mark.parametrize("site", ONE_STAGE, ids=lambda site: Path(site or "demonstration").stem)
@pytest.mark.parametrize("by", ["", "resets"])
def test_the_commands_give_the_same_setup(site: str, by: str) -> None:
    words = [word for word in (site, "--by" if by else "", by) if word]
    ranked = answer("rank", *words, "--top", "1")
    planned = answer("stages", *words)

    assert planned["order"] == ["stages", *ranked["order"]]
    (stage,) = planned["stages"]
    assert counted(stage) == counted(ranked["setups"][0])


@pytest.mark.parametrize(
    "by",
    cases([*ORDERS, "parts,pull", "pull,resets"], quick=["rope", "resets,margin", "parts,pull"]),
)
def test_on_the_demonstration_in_every_order(by: str) -> None:
    (stage,) = answer("stages", "--by", by)["stages"]

    assert counted(stage) == counted(answer("rank", "--by", by, "--top", "1")["setups"][0])


def test_the_words_name_the_command_that_agrees() -> None:
    found = CliRunner().invoke(cli, ["stages"], standalone_mode=False).stdout
    by_resets = CliRunner().invoke(cli, ["stages", "--by", "resets"], standalone_mode=False).stdout

    assert "`bankhaul rank` counts in the same order" in " ".join(found.split())
    assert "`bankhaul rank --by resets,margin,rope`" in " ".join(by_resets.split())


def alike(one: Setup, two: Setup) -> bool:
    return (one.walk, one.rope.name, one.gear, one.etas, one.resets, one.margin, one.rope_needed) == (
        two.walk, two.rope.name, two.gear, two.etas, two.resets, two.margin, two.rope_needed
    )  # fmt: skip


@pytest.mark.parametrize("seed", cases([*range(24), 50], quick=range(8)))
def test_on_made_up_sites_in_any_order(seed: int) -> None:
    """Sites where the puller stands well and where it does not, plenty and scarce gear."""
    rng = np.random.default_rng(seed)
    site = made_up(HOME if seed % 4 == 1 else SMALL, seed)
    names = rng.permutation(list(Count))[: int(rng.integers(0, 4))]
    order = tuple(str(name) for name in names)
    ranked = rank(site, RankQuestion(by=order, top=1, explain=False))
    place = int(rng.integers(0, len(order) + 1)) if seed % 3 == 0 else 0
    by = (*order[:place], "stages", *order[place:])
    planned = plan_stages(
        site, StagesQuestion(by=by, explain=False, grain=0.5, join_ropes=False, compound=False)
    )

    assert planned.proven
    if len(planned.stages) == 1:
        assert alike(planned.stages[0], ranked.setups[0])
    if by[0] == "stages":
        assert (len(planned.stages) == 1) == bool(ranked.setups)


def test_one_example_marks_down_setups() -> None:
    """Else the rule of where the puller stands is not compared: limits of a whole chain know nothing of
    it."""
    found = answer("rank", "examples/log.toml", "--all")["setups"]

    assert {setup["marked_down"] for setup in found} == {True, False}
