"""Two equal ropes make a tackle on tackle as two different ones do."""

from dataclasses import replace

from catalogue.gear import Rope
from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Ranking
from optimiser.site.model import Owned, Site
from tests.compound.sites import site

QUESTION = RankQuestion(top=6, everything=True, explain=False, compound=True, join_ropes=False)


def with_ropes(*ropes: Owned) -> Site:
    plain = site(6)
    others = (piece for piece in plain.gear if not isinstance(piece.gear, Rope))
    return replace(plain, gear=(*others, *ropes))


def figures(found: Ranking) -> list[tuple[str, float, int, float]]:
    return [(s.reeving, round(s.margin, 6), s.resets, round(s.rope_needed, 3)) for s in found]


def test_two_of_a_kind_do_what_two_that_differ_in_name_do() -> None:
    """`count = 2` in a site file, and the same rope written down twice."""
    one = next(p for p in site(6).gear if p.name == "rope1")
    twice = rank(with_ropes(replace(one, count=2)), QUESTION)
    apart = rank(with_ropes(one, replace(one, name="another")), QUESTION)

    assert any(setup.second is not None for setup in twice)
    assert figures(twice) == figures(apart)


def test_one_rope_is_not_both() -> None:
    one = next(p for p in site(6).gear if p.name == "rope1")

    assert not any(setup.second is not None for setup in rank(with_ropes(one), QUESTION))
