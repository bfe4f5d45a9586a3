"""The re-check notices every tampering with a right answer of every kind: a sample of the whole table
(`python -m tests.tampering`), which takes some minutes."""

from dataclasses import replace
from itertools import islice

import pytest

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.proof.loads.haul import verify
from optimiser.proof.notes import VerificationError
from optimiser.rig.setup import Setup
from optimiser.site.reading import read_site
from tests.long import long
from tests.tampering.answers import EXAMPLES, KINDS, Answer, made_up_answers, of_site, over_edges
from tests.tampering.spoiling import made_otherwise
from tests.tampering.table import Table
from tests.tracks.lane import LANE, site_text


def test_every_tampering_with_one_answer_is_noticed() -> None:
    table = Table()
    table.add(islice(made_up_answers(1, first=6), 1))
    assert not table.passed, table.passed[:20]
    assert table.tried.total() > 100


@long
def test_every_tampering_is_noticed() -> None:
    table = Table()
    # Of each kind one or two answers; a haul in one stage, of site 3, is tampered with as a stage only.
    table.add(one for one in made_up_answers(1, first=3) if one.kind == "stages")
    for number in (5, 6, 12):
        table.add(made_up_answers(1, first=number))
    table.add(one for one in over_edges(1, first=15) if one.kind != "holding")
    assert not table.passed, table.passed[:20]
    tried = {kind for _, kind in table.tried}
    assert tried == set(KINDS)
    assert table.tried.total() > 2000


@pytest.mark.parametrize("name", ["two-birches", "meadow"])
def test_anchors_that_are_made_or_shared(name: str) -> None:
    """Every figure that is stated of them, and what there is to make them of."""
    site = replace(read_site(EXAMPLES / f"{name}.toml"), origin=None)
    (setup,) = rank(site, RankQuestion(top=1, explain=False)).setups
    tried = 0
    for on, rig in made_otherwise(Answer("haul", name, site, setup, lambda *_: None)):
        tried += 1
        assert isinstance(rig, Setup)
        with pytest.raises(VerificationError):
            verify(on, rig)
    assert tried >= 5


def test_an_answer_to_ranges_that_is_looked_at_coarsely_passes_as_it_is() -> None:
    """Its sites at the ends of the ranges have the same points of the path."""
    site = read_site(site_text(LANE, weight="500..600 kg"))
    answer = next(of_site("van", site, top=1))
    setup = answer.rig
    assert isinstance(setup, Setup)
    assert setup.margin_worst is not None
    answer.check(answer.site, setup)
    wrong = replace(setup, margin_worst=setup.margin_worst * 0.9)
    with pytest.raises(VerificationError, match="margin at the worst"):
        answer.check(answer.site, wrong)
