"""Many sets of inputs at once give what each gives by itself."""

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.ranges.batch import ROWS, Batch, Outcome, _tension
from optimiser.jobs.rank import rank
from optimiser.rig.components import components
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.refit import Stopped, eta_corners, refit
from optimiser.rig.setup import Role, Setup
from optimiser.site.model import Site
from tests.ranking.test_put_together import SECOND, meadow
from tests.search.sites import recipe, site
from tests.shared import sites as shared_sites
from tests.uncertainty.sites import demonstration, ranked

EXAMPLES = ("field-roller", "log", "sledge", "workboat")


def worst_of(found: Outcome, corners: list[npt.NDArray[np.float64]]) -> Outcome:
    """The worst for each site of what was found at its corners, one after the other."""
    cuts = np.cumsum([len(etas) for etas in corners])[:-1]
    margins = np.split(found.margin, cuts)
    least = [int(part.argmin()) for part in margins]
    return Outcome(
        np.array([part.min() for part in margins]),
        np.array([w[i] for w, i in zip(np.split(found.weakest, cuts), least, strict=True)]),
        np.array([part.all() for part in np.split(found.works, cuts)]),
    )


def test_each_row_is_the_setup_by_itself() -> None:
    """Margins, and whether it works at all, at sets drawn over wide ranges."""
    where, setups = ranked(demonstration())
    assert where.origin is not None
    rng = np.random.default_rng(5)
    keys = {
        ("load", "weight"): (3000.0, 9000.0),
        ("path", "leg", 0, "breakout"): (1.2, 2.0),
        ("path", "leg", 1, "resistance"): (0.0, 3.0),
        ("puller", 0, "driven_share"): (0.2, 1.0),
        ("load", "hitch", 0, "rating"): (2000.0, 9000.0),
        ("tree", 2, "diameter"): (0.2, 0.26),
        ("gear", 3, "efficiency"): (0.5, 1.0),
    }
    sites: list[Site] = [
        where.origin.site({k: rng.uniform(*ends) for k, ends in keys.items()})
        for _ in range(ROWS + 7)
    ]
    works = 0
    for setup in setups:
        filled = refit(where, setup)
        assert not isinstance(filled, Stopped)
        corners = [eta_corners(kit_of(one), setup) for one in sites]
        every = [one for one, etas in zip(sites, corners, strict=True) for _ in etas]
        outcome = worst_of(Batch(filled).outcome(every, np.concatenate(corners)), corners)
        for row, one in enumerate(sites):
            alone = refit(one, setup)
            if isinstance(alone, Stopped):
                assert not outcome.works[row]
                assert outcome.margin[row] == 0.0
            else:
                works += 1
                assert outcome.margin[row] == pytest.approx(alone.margin, rel=1e-9)
    assert works > len(setups)


def test_it_may_run_on_half_way_and_nowhere_else() -> None:
    """Over a dip of 6 in 100 between two easy climbs: with less resistance than that it does not work, though
    it does at either end."""
    dip = "".join(
        f'[[path.leg]]\nto = ["{x} m", "0 m", "{z} m"]\nsurface = "grass"\nresistance = 0.1\n'
        for x, z in ((5.0, 0.1), (10.0, -0.2), (15.5, 0.0))
    )
    text = meadow(30.0, 1)
    begin, end = text.index("[[path.leg]]"), text.index("[load]")
    where, (setup, *_) = ranked(f"{text[:begin]}{dip}\n{text[end:]}")
    filled = refit(where, setup)
    assert where.origin is not None
    assert not isinstance(filled, Stopped)
    sites = [
        where.origin.site({("path", "leg", n, "resistance"): resists for n in range(3)})
        for resists in (0.08, 0.07, 0.05)
    ]
    etas = eta_corners(kit_of(where), setup)[:1]
    found = Batch(filled).outcome(sites, np.concatenate([etas] * len(sites)))
    assert found.works.tolist() == [True, True, False]
    assert isinstance(refit(sites[-1], setup), Stopped)


def test_of_several_parts_of_a_rope_the_tightest_counts() -> None:
    tight = {3: [[1.0, 5.0], [2.0, 2.0]], 4: [[4.0, 3.0], [1.0, 7.0]]}
    rig: Any = SimpleNamespace(tension=lambda segment: np.array(tight[segment]))
    assert _tension((3, 4))(rig).tolist() == [5.0, 7.0]


def each_piece_alike(where: Site, setup: Setup) -> None:
    """What every piece bears and stands is what `components` lists, not only of the weakest."""
    filled = refit(where, setup)
    assert not isinstance(filled, Stopped)
    batch, etas = Batch(filled), eta_corners(kit_of(where), setup)
    outcome = batch.outcome([where] * len(etas), etas)
    assert outcome.margin.min() == pytest.approx(filled.margin, rel=1e-9)
    looks = batch.row.turning_at(etas)
    pieces = [c for c in components(filled) if c.role is not Role.PULLER]
    for piece, slot in zip(pieces, batch.slots, strict=True):
        assert slot.name == piece.name
        demand = float(slot.demand(looks).max()) * batch.row.dynamic
        assert demand == pytest.approx(piece.demand, rel=1e-9), piece.name
        assert slot.stands(where) == pytest.approx(piece.capacity), piece.name


@pytest.mark.parametrize("name", [*EXAMPLES, "crest-log", "dinghy", "two-birches", "two-tackles"])
def test_each_piece_by_itself(name: str) -> None:
    """With lines over edges, a sling between two trees, two ropes."""
    where, setups = ranked(Path(f"examples/{name}.toml").read_text(encoding="utf-8"))
    assert setups
    for setup in setups:
        each_piece_alike(where, setup)


@pytest.mark.parametrize("number", [5, 21, 59])
def test_a_sling_between_two_trees(number: int) -> None:
    """Lines that lead to where its shackle comes to rest count too: margins would be up to 8 % higher."""
    where = shared_sites.site(number)
    for setup in rank(where, RankQuestion(top=30, everything=True, explain=False)):
        each_piece_alike(where, setup)


def test_two_ropes_that_are_joined() -> None:
    """The shorter one has been used more: of the two the weaker counts."""
    text = meadow(26.0, 1).replace("[preferences]", SECOND)
    text = text.replace('knots = ["bowline"]', 'knots = ["bowline", "double-sheet-bend"]')
    where, setups = ranked(text)
    joined = [setup for setup in setups if setup.rope.joined is not None]
    assert joined
    for setup in joined:
        each_piece_alike(where, setup)


def test_a_bridle() -> None:
    """Its legs' tensions are those of the setup by itself, with and without other efficiencies; its hitches
    are told apart."""
    where = site(next(n for n in range(200) if recipe(n).bridle and bridled(n)))
    one, two, *rest = where.load.hitches
    hitches = (one, replace(two, rating=None if two.rating is None else 1.5 * two.rating), *rest)
    where = replace(where, load=replace(where.load, hitches=hitches))
    setup = next(
        s for s in rank(where, RankQuestion(top=30, everything=True, explain=False)) if bridle(s)
    )
    each_piece_alike(where, setup)
    filled = refit(where, setup)
    assert not isinstance(filled, Stopped)
    better = [min(1.0, eta + 0.05) for eta in setup.etas]
    outcome = Batch(filled).outcome([where] * 2, np.array([setup.etas, better]).reshape(2, -1))

    assert outcome.margin[0] == pytest.approx(setup.margin, rel=1e-9)
    assert outcome.margin[1] > 0.0


def bridle(setup: Setup) -> bool:
    return setup.attachment.startswith("bridle")


def bridled(number: int) -> bool:
    return any(
        bridle(s) for s in rank(site(number), RankQuestion(top=30, everything=True, explain=False))
    )
