"""No answer depends on how fast the machine is: every command prints the same where the clock runs fifty
times as fast, as it does for a program on a machine fifty times as busy."""

import time
from pathlib import Path

import pytest

from optimiser import cli, read_site
from optimiser.jobs.buy.goals import NOTHING
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion, StagesQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.rig.status import Status
from optimiser.search.clock import Clock
from shared import effort
from tests.long import rare

EXAMPLES = Path(__file__).parents[2] / "examples"
SLOWER = 50.0
QUESTIONS = {
    "rank": ("rank", "log"),
    "rank, nothing works": ("rank", "short-rope"),
    "rank with second lines": ("rank", "bend", "--hold"),
    "show": ("show", "two-tackles", "1"),
    "stages": ("stages", "two-tackles"),
    "stages, none does": ("stages", "bend", "--most-stages", "2"),
    "buy": ("buy", "field-roller"),
    "buy, in stages": ("buy", "two-tackles", "--stages", "2"),
    "why": ("why", "log", "path oak@1.05 m > load > forest tractor"),
    "why of a site": ("why", "side-tree"),
    "lower": ("lower", "workboat"),
    "sweep": ("sweep", "field-roller", "load.weight=300..500 kg", "--steps", "2"),
}


def ran(words: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    command, example, *more = words
    place = str(EXAMPLES / f"{example}.toml")
    code = cli.main([command, place, *more])
    return code, capsys.readouterr().out


def run_fast(monkeypatch: pytest.MonkeyPatch) -> None:
    """From now on the clock shows fifty times what has passed."""
    began, true = time.monotonic(), time.monotonic
    monkeypatch.setattr(time, "monotonic", lambda: began + SLOWER * (true() - began))


SELDOM = ("buy", "buy, in stages", "why")
"""Those that take longest."""


@pytest.mark.parametrize(
    "words",
    [pytest.param(w, id=name, marks=[rare] * (name in SELDOM)) for name, w in QUESTIONS.items()],
)
def test_every_command(
    words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    usual = ran(words, capsys)
    assert usual[0] in (0, 3)
    run_fast(monkeypatch)
    assert ran(words, capsys) == usual


def test_the_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def page(name: str) -> str:
        out = tmp_path / f"{name}.html"
        assert cli.main(["sheet", str(EXAMPLES / "two-tackles.toml"), "-o", str(out)]) == 0
        return out.read_text(encoding="utf-8")

    usual = page("usual")
    run_fast(monkeypatch)
    assert page("fast") == usual


def test_buying_never_denies_what_stages_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    """The gear owned does in stages: nothing need be bought, however little effort is left for more."""
    site = read_site(EXAMPLES / "short-rope.toml")
    assert plan_stages(site, StagesQuestion(most_stages=4, explain=False)).stages
    for name in ("SHOWING", "LEAST_SHOWING"):
        monkeypatch.setattr(f"optimiser.jobs.buy.shown.{name}", 1e-9)

    found = buy(site, BuyQuestion(most_stages=4, steps=0, explain=False))

    assert NOTHING in found.options[0].goals
    assert found.status is Status.PROVEN


def test_effort_is_the_same_every_time() -> None:
    """What is counted is what is done, not how long it takes."""
    site = read_site(EXAMPLES / "short-rope.toml")

    def counted() -> float:
        before = effort.spent()
        plan_stages(site, StagesQuestion(explain=False))
        return effort.spent() - before

    first = counted()
    assert first > 0.0
    assert counted() == pytest.approx(first, rel=1e-9)


# ---- with a limit of one's own ------------------------------------------------------------------------


@pytest.mark.parametrize("limit", [0.0, 1e-3])
def test_where_the_time_is_up_nothing_is_proven(limit: float) -> None:
    """ "Proven" stands only beside something proven."""
    site = read_site(EXAMPLES / "side-tree.toml")
    found = buy(site, BuyQuestion(most_stages=3, time_limit=limit))
    assert not found.options
    assert not found.proven
    assert found.status is Status.UNDECIDED


def test_clocks_of_effort_and_of_time(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = Clock(None, None)
    some = whole.patient(1.0)
    part = some.share(0.5)
    limited = Clock(10.0, None)
    patient = limited.patient(0.1)

    run_fast(monkeypatch)
    effort.note(effort.Effort.SOLVER, 0.6)

    assert whole.runs()
    assert some.runs()
    assert not part.runs()
    assert not part.within(9.0).runs()  # no part of the work outlasts the whole
    assert patient.runs()  # the limit alone counts
    assert not limited.within(-0.1).runs()
    some.allow(-1.0)
    assert not some.runs()
    some.allow(1.0)
    assert some.runs()
