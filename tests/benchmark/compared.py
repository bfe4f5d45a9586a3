"""Other methods on the same sites; lists must be the same wherever two of them finish."""

import time
from dataclasses import replace

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.order import Order
from optimiser.search.rules import same_setup
from tests.benchmark.arcs import InMilp, TimeUpError
from tests.benchmark.cases import Case, cases
from tests.benchmark.exhaustive import by_a_sample, in_arrays, in_plain_python, listed
from tests.benchmark.goals import Reached
from tests.benchmark.page import Page, shown
from tests.generated import made_up
from tests.search.whole_reevings import Reevings, only_scene

SEED = 2
WHOLE = "puller"
"""The regime whose home site the plain enumeration looks at whole, which takes minutes."""
PATIENCE = 60.0
"""s for a model of whole reevings."""


def measure(page: Page, reached: Reached, *, quick: bool) -> None:
    _exhaustive(page, quick=quick)
    _models(page, quick=quick)


def _exhaustive(page: Page, *, quick: bool) -> None:
    rows: list[list[object]] = []
    each = plain_each = 0.0
    for case in cases("home", range(SEED, SEED + 1)):
        site = case.site()
        began = time.process_time()
        ranking = rank(site, RankQuestion(explain=False, compound=False))
        own = time.process_time() - began
        ours = listed(ranking, Order.of(site.preferences))
        theirs, walks, arrays = in_arrays(site)
        assert walks == ranking.space, (case.name, walks, ranking.space)
        assert ours == theirs, f"{case.name}: the list of all walks in arrays is another one"
        each = arrays / walks
        if quick or case.regime != WHOLE:
            plain = by_a_sample(site, ranking.space, 60)
            plain_each = plain_each or plain.seconds / plain.walks
        else:
            plain = in_plain_python(site)
            plain_each = plain.seconds / plain.walks
            assert plain.walks == ranking.space, case.name
            same = plain.listed == [same_setup(setup.walk) for setup in ranking]
            assert same, f"{case.name}: the list of the plain enumeration is another one"
        rows.append(
            [
                case.name, ranking.space, own, arrays, arrays / own,
                shown(plain.seconds) + (" (sample)" if plain.extrapolated else ""),
                plain.seconds / own,
            ]
        )  # fmt: skip
    for size in ("mid", "yard"):
        case = Case(size=size, regime="easy", seed=SEED)
        began = time.process_time()
        ranking = rank(case.site(), RankQuestion(explain=False, compound=False))
        own = time.process_time() - began
        rows.append(
            [
                case.name, ranking.space, own, f"{shown(each * ranking.space)} (extrapolated)",
                each * ranking.space / own, f"{shown(plain_each * ranking.space)} (extrapolated)",
                plain_each * ranking.space / own,
            ]
        )  # fmt: skip
    page.table(
        "Every walk, one by one",
        ("site", "walks", "rank", "all in arrays", "ratio", "all in plain Python", "ratio"),
        rows,
        "s of one processor. `rank` is everything, the words and the re-check of the list included. In "
        "arrays: every walk under the rules through the evaluator at every station, no bound on partial "
        "walks. Plain Python: the enumeration of tests/oracle; a sample counts the forces only. "
        "Extrapolated by the number of walks from the home sites. The lists were compared and are the same "
        "wherever both finished.",
    )


def _models(page: Page, *, quick: bool) -> None:
    rows: list[list[object]] = []
    for case in cases("home", range(SEED, SEED + 1)):
        site = made_up(replace(case.recipe, spacing=2.0), case.seed)
        site = replace(site, preferences=replace(site.preferences, enough=50.0))
        order = Order.of(site.preferences)
        began = time.process_time()
        ranking = rank(site, RankQuestion(explain=False, everything=True, compound=False))
        own = time.process_time() - began
        band = max(order.band_of(setup.margin) for setup in ranking)
        row: list[object] = [case.name, own, round(band * order.band, 1)]
        for kind in (InMilp, Reevings):
            began = time.process_time()
            try:
                model = kind(only_scene(site))
                if isinstance(model, InMilp):
                    model.deadline = began + (PATIENCE / 3 if quick else PATIENCE)
                margin, cuts = model.best_margin()
            except TimeUpError:
                row += [f"> {shown(time.process_time() - began)}", "not finished", "", ""]
                continue
            took = time.process_time() - began
            assert order.band_of(margin) == band, f"{case.name}: {kind.__name__} finds {margin}"
            row += [took, took / own, f"{margin:.3f}", cuts]
        rows.append(row)
    page.table(
        "One model of whole reevings",
        (
            "site", "rank", "best margin, its band", "scipy milp", "ratio", "its margin", "cuts",
            "CP-SAT", "ratio", "its margin", "cuts",
        ),
        rows,
        "s of one processor. The model has yes/no for every part of line in every position, a station "
        "every 2 m, and asks for the one best margin; `rank` lists ten setups of the same site. Anchors, "
        "pieces and room come in as cuts. The best margins fall into the same band wherever a solver "
        "finished. scipy's solver runs without its presolve, which lost solutions of this model.",
    )  # fmt: skip
