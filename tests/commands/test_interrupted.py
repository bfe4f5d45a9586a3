"""Ctrl-C while something is worked out: the answer so far, marked as not proven."""

import os
import signal
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from optimiser import plan_stages, rank, read_site
from optimiser.jobs.buy.goals import SO_FAR
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.search.buying.basket import Bought
from optimiser.search.buying.least import Market
from optimiser.site.model import Site
from optimiser.telling.buy import report
from optimiser.telling.stages import proof as plan_proof
from optimiser.telling.words import proof
from shared import interrupt
from tests.generated import MID, made_up

SHORT = str(Path(__file__).parents[2] / "examples" / "short-rope.toml")


@pytest.fixture(autouse=True)
def nobody_waits() -> Iterator[None]:
    yield
    interrupt._noted.clear()


def interrupting(after: int) -> Callable[[str], None]:
    """A progress that interrupts the program when it has reported something so many times."""
    reports = []

    def note(text: str) -> None:
        reports.append(text)
        if len(reports) == after:
            os.kill(os.getpid(), signal.SIGINT)

    return note


@pytest.fixture(scope="module")
def site() -> Site:
    return made_up(MID, 2)


def test_the_first_interrupt_requests_and_the_second_ends(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with interrupt.answer_on_request():
        assert not interrupt.requested()
        os.kill(os.getpid(), signal.SIGINT)
        assert interrupt.requested()
        assert "stopping" in capsys.readouterr().err
        with pytest.raises(KeyboardInterrupt):
            os.kill(os.getpid(), signal.SIGINT)


def test_afterwards_an_interrupt_is_an_interrupt_again() -> None:
    before = signal.getsignal(signal.SIGINT)
    with interrupt.answer_on_request():
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before


def test_beside_the_main_thread_nothing_is_changed() -> None:
    def work() -> None:
        with interrupt.answer_on_request():
            seen.append(signal.getsignal(signal.SIGINT))

    seen: list[object] = []
    thread = threading.Thread(target=work)
    thread.start()
    thread.join()

    assert seen == [signal.getsignal(signal.SIGINT)]


def test_a_ranking_ends_with_what_it_has(site: Site) -> None:
    whole = rank(site, RankQuestion(explain=False))

    with interrupt.answer_on_request():
        cut = rank(site, RankQuestion(explain=False), progress=interrupting(5))

    assert whole.proven
    assert not cut.proven
    assert proof(cut).startswith("NOT proven (stopped)")


def test_a_plan_ends_with_what_it_has() -> None:
    site = read_site(SHORT)
    with interrupt.answer_on_request():
        cut = plan_stages(site, progress=interrupting(60))

    assert not cut.proven
    assert cut.stages
    assert plan_proof(cut, site).startswith("NOT proven (stopped)")


@pytest.mark.parametrize("after", [20, 60, 150])
def test_buying_ends_with_what_it_has(after: int) -> None:
    heavy = made_up(MID, 1)
    with interrupt.answer_on_request():
        cut = buy(heavy, BuyQuestion(most_stages=3), progress=interrupting(after))

    assert interrupt.requested()
    found = "\n".join(body for _, body in report(heavy, cut) if isinstance(body, str))
    assert "(time limit)" not in found
    assert not (cut.proven and cut.staged and cut.further)


def test_what_was_found_so_far_is_reported_though_nothing_is_proven(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nothing owned does: interrupted once it has a purchase, it prints that one."""
    usual = Market.within

    def then_interrupted(market: Market, budget: float) -> Bought | None:
        found = usual(market, budget)
        if found is not None:
            interrupt._noted.set()
        return found

    monkeypatch.setattr(Market, "within", then_interrupted)

    cut = buy(replace(made_up(MID, 2), gear=()), BuyQuestion(most_stages=1, explain=False))

    assert not cut.proven
    assert [option.goals for option in cut.options] == [(SO_FAR,)]
    assert not cut.options[0].proven
    assert cut.options[0].cost > 103.0  # the least, where nobody interrupts
