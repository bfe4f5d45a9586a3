"""Which question takes which kind of rig: every cell of the maintainers' table, asked.

One small site of ours for each kind of rig. Where the table says yes the question is put, and its answer
has a rig of that kind; where it says no or not yet, the note it points to gives the reason.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

import pytest

from optimiser.jobs.buy.shop import buy
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import (
    BuyQuestion,
    LowerQuestion,
    RankQuestion,
    StagesQuestion,
    SweepQuestion,
    WhyQuestion,
)
from optimiser.jobs.rank import rank
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.sweep.run import sweep
from optimiser.jobs.why.ways_down.let_down import explain_down
from optimiser.jobs.why.why import explain_lines
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.site.model import Site
from optimiser.site.reading import Document, read_document, site_from_document
from optimiser.telling.detail import detail
from optimiser.telling.lower import setup_report
from tests.house.imports import ROOT
from tests.lower.slope_site import site_text
from tests.ranking.test_put_together import SECOND, meadow
from tests.tracks.lane import SPOT, pickets_text
from tests.tracks.lane import site_text as site_on_a_lane
from tests.validation.test_bridle_in_answers import SLEDGE

HEADING = "## Which question takes which kind of rig"
Rig = Setup | LoweringSetup


def _example(name: str) -> str:
    return (ROOT / "examples" / f"{name}.toml").read_text(encoding="utf-8")


def _bent() -> str:
    text = meadow(26.0, 1).replace("[preferences]", SECOND)
    return text.replace('knots = ["bowline"]', 'knots = ["bowline", "double-sheet-bend"]')


SITES: Mapping[str, Callable[[], str]] = {
    "one rope": lambda: meadow(30.0, 1),
    "joined ropes": _bent,
    "two ropes": lambda: _example("two-tackles"),
    "bridle": lambda: SLEDGE,
    "kept in hand": lambda: _example("side-tree"),
    "way down": lambda: site_text(3.0, '"0.05..0.1"'),
    "over an edge": lambda: _example("crest-log"),
    "chosen spot": site_on_a_lane,
    "made anchor": lambda: pickets_text(SPOT, 0.2),
    "two trees": lambda: _example("two-birches"),
}
IS_OF: Mapping[str, Callable[[Setup], bool]] = {
    "one rope": lambda s: s.second is None and s.rope.joined is None,
    "joined ropes": lambda s: s.rope.joined is not None,
    "two ropes": lambda s: s.second is not None,
    "bridle": lambda s: s.attachment.startswith("bridle"),
    "kept in hand": lambda s: bool(s.holding),
    "over an edge": lambda s: bool(s.contacts),
    "chosen spot": lambda s: s.standing is not None,
    "made anchor": lambda s: any(one.slung is None for one in s.made),
    "two trees": lambda s: any(one.slung is not None for one in s.made),
}
SHOWN = {
    "one rope": "standing end",
    "joined ropes": "joined by",
    "two ropes": "Second rope",
    "bridle": "bridle leg",
    "kept in hand": "Second line on the load",
    "way down": "round turn",
    "over an edge": "edge",
    "chosen spot": "along the track",
    "made anchor": "Drive",
    "two trees": "as a sling between",
}
"""A word of each kind in the answer in full."""


@cache
def document(kind: str) -> Document:
    return read_document(SITES[kind]())


@cache
def site(kind: str) -> Site:
    return site_from_document(document(kind), "worst", {})


@cache
def ranked(kind: str) -> tuple[Rig, ...]:
    if kind == "way down":
        return lower(site(kind), LowerQuestion(top=1)).setups
    held = kind == "kept in hand"
    return rank(site(kind), RankQuestion(top=2, explain=False, hold=held)).setups


def shown(kind: str) -> Iterator[Rig]:
    best = ranked(kind)[0]
    if isinstance(best, LoweringSetup):
        text = str([words for _, words in setup_report(site(kind), best)])
    else:
        text = str(list(detail(site(kind), best)))
    assert SHOWN[kind] in text
    yield best


def staged(kind: str) -> Iterator[Rig]:
    if kind == "way down":
        answer = lower(site(kind), LowerQuestion(top=1))
        yield from answer.stages or answer.setups
        return
    held = kind == "kept in hand"
    plan = plan_stages(site(kind), StagesQuestion(most_stages=1, explain=False, hold=held))
    yield from plan.stages


def bought(kind: str) -> Iterator[Rig]:
    held = kind == "kept in hand"
    if kind == "way down":
        question = BuyQuestion(most_stages=1, steps=0, explain=False, down=True)
        found = buy([site(kind)], question, items={}).options
        yield from (
            rig for option in found for share in option.shares for rig in share.option.setups
        )
        return
    question = BuyQuestion(most_stages=1, steps=0, explain=False, hold=held)
    yield from (option.setup for option in buy(site(kind), question, items={}).options)


def explained(kind: str) -> Iterator[Rig]:
    for best in ranked(kind)[:1]:
        if isinstance(best, LoweringSetup):
            down = explain_down(site(kind), best.walk, best.turns)
            assert down.works
            assert down.setup is not None
            yield down.setup
            continue
        question = WhyQuestion(hold=kind == "kept in hand")
        found = explain_lines(site(kind), [line.walk for line in best.lines], question)
        assert found.works
        assert found.setup is not None
        yield found.setup


def swept(kind: str) -> Iterator[Rig]:
    weight = site(kind).load.weight / 9.80665
    question = SweepQuestion(
        steps=2,
        compound=kind == "two ropes",
        hold=kind == "kept in hand",
        down=kind == "way down",
    )
    axis = f"load.weight={0.9 * weight:.1f}..{0.95 * weight:.1f} kg"
    found = sweep(document(kind), [axis], question, processes=1)
    yield from (cell.setup for cell in found.cells if cell.setup is not None)


def ranged(kind: str) -> Iterator[Rig]:
    """With a weight that is a range: each setup has its margin at the worse and at the better end."""
    weight = site(kind).load.weight / 9.80665
    vague = site_from_document(
        document(kind), "worst", {"load.weight": f"{0.8 * weight:.1f}..{weight:.1f} kg"}
    )
    if kind == "way down":
        found: Iterable[Rig] = lower(vague, LowerQuestion(top=1))
    else:
        question = RankQuestion(top=2, explain=False, hold=kind == "kept in hand")
        found = rank(vague, question)
    for setup in found:
        assert setup.margin_worst is not None
        assert setup.margin_best is not None
        assert setup.margin_worst <= setup.margin + 1e-6
        assert setup.margin_worst < setup.margin_best
        yield setup


PUT: Mapping[str, Callable[[str], Iterator[Rig] | tuple[Rig, ...]]] = {
    "rank": ranked,
    "show": shown,
    "stages": staged,
    "buy": bought,
    "why": explained,
    "sweep": swept,
    "ranges": ranged,
}


@cache
def section() -> str:
    return (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split(HEADING)[1].split("\n## ")[0]


@cache
def cells() -> Mapping[tuple[str, str], str]:
    rows = [line for line in section().splitlines() if line.startswith("|")]
    table = [[cell.strip(" `") for cell in row.strip("|").split("|")] for row in rows]
    head = table[0][1:]
    return {
        (row[0], kind): cell for row in table[2:] for kind, cell in zip(head, row[1:], strict=True)
    }


def test_the_table_is_whole() -> None:
    questions = {question for question, _ in cells()}
    assert {kind for _, kind in cells()} == set(SITES)
    assert questions == {*PUT, "sheet", "readings"}


@pytest.mark.parametrize("question", PUT)
@pytest.mark.parametrize("kind", SITES)
def test_what_the_table_says_is_so(question: str, kind: str) -> None:
    if cells()[question, kind] != "yes":
        return  # its reason is held to below
    found = list(PUT[question](kind))
    assert found
    if kind == "way down":
        assert all(isinstance(rig, LoweringSetup) for rig in found)
    else:
        assert any(isinstance(rig, Setup) and IS_OF[kind](rig) for rig in found)


def test_what_is_left_out_has_its_reason() -> None:
    notes = dict(re.findall(r"^\((\d)\) (.+)$", section(), flags=re.MULTILINE))
    for cell in cells().values():
        left_out = re.fullmatch(r"(?:no|not yet) \((\d)\)", cell)
        assert cell == "yes" or (left_out is not None and len(notes[left_out[1]]) > 30), cell


@pytest.mark.parametrize("file", sorted(set(re.findall(r"`(tests/\S+\.py)`", section()))))
def test_what_shows_the_other_rows_is_there(file: str) -> None:
    assert Path(ROOT / file).is_file()
