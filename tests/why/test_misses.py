"""Nearest misses: what one limit alone stops is cured by moving it as far as is printed, and no further."""

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from catalogue.gear import Block, Rope
from optimiser.jobs.question import MissesQuestion, RankQuestion
from optimiser.jobs.rank import rank
from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.misses import others
from optimiser.jobs.why.misses.nearest import nearest_misses
from optimiser.rig.setup import Miss
from optimiser.rig.walk import LOAD, notation
from optimiser.site.model import Site
from tests.generated import HOME, made_up


def works(site: Site) -> bool:
    """Whether a setup of one rope works: a miss is reported of ropes of one piece."""
    return bool(
        rank(site, RankQuestion(top=1, explain=False, compound=False, join_ropes=False)).setups
    )


def the(misses: tuple[Miss, ...], limit: str) -> Miss:
    return next(miss for miss in misses if miss.limit == limit)


def with_pull(site: Site, factor: float) -> Site:
    return replace(site, pullers=tuple(replace(p, limit=p.limit * factor) for p in site.pullers))


def with_rope(site: Site, length: float) -> Site:
    gear = tuple(replace(p, length=length) if isinstance(p.gear, Rope) else p for p in site.gear)
    return replace(site, gear=gear)


@pytest.fixture(scope="module")
def feeble() -> Site:
    """A puller that is a little too weak for everything."""
    site = made_up(replace(HOME, regime="puller"), 1)
    assert not works(site)
    return site


def test_so_much_more_pull_does_and_a_little_less_does_not(feeble: Site) -> None:
    miss = the(nearest_misses(feeble, MissesQuestion(many=9)), "pull of the puller")
    assert miss.short_by > 1.0
    assert works(with_pull(feeble, miss.short_by * 1.0001))
    assert not works(with_pull(feeble, miss.short_by * 0.995))


def test_so_much_more_rope_does_and_a_little_less_does_not() -> None:
    site = made_up(HOME, 2)
    short = with_rope(site, 12.0)
    assert not works(short)
    miss = the(nearest_misses(short, MissesQuestion(many=9)), "length of rope")
    assert miss.change.unit == "m"
    assert works(with_rope(site, 12.0 + miss.change.amount + 1e-6))
    assert not works(with_rope(site, 12.0 + miss.change.amount * 0.99))


def test_the_nearest_comes_first_and_each_has_a_cure(feeble: Site) -> None:
    misses = nearest_misses(feeble, MissesQuestion(many=9))
    finite = [miss.short_by for miss in misses if miss.short_by != float("inf")]
    assert finite == sorted(finite)
    assert all(miss.change.text and miss.text and LOAD in miss.walk for miss in misses)


def test_a_ranking_without_setups_reports_them(feeble: Site) -> None:
    ranking = rank(feeble, RankQuestion(compound=False))
    assert not ranking.setups
    assert ranking.misses == nearest_misses(feeble)


def test_nothing_is_missed_where_a_setup_works() -> None:
    assert nearest_misses(made_up(HOME, 2)) == ()


def test_margin_wanted_is_a_limit_of_its_own() -> None:
    site = made_up(HOME, 2)
    keen = replace(site, preferences=replace(site.preferences, enough=50.0))
    best = max(setup.margin for setup in rank(keen, RankQuestion(top=3)).setups)
    greedy = replace(site, preferences=replace(site.preferences, margin_wanted=best + 0.5))
    miss = the(nearest_misses(greedy, MissesQuestion(many=9)), "margin wanted")
    wanted = (best + 0.5) / miss.short_by - 1e-6
    content = replace(site, preferences=replace(site.preferences, margin_wanted=wanted))
    assert works(content)


def test_a_step_higher_than_the_axle_wants_a_ramp() -> None:
    site = made_up(HOME, 2)
    load = replace(site.load, wheel_radius=0.2)
    legs = (site.legs[0], *(replace(leg, step=0.25) for leg in site.legs[1:]))
    stepped = replace(site, load=load, legs=legs)
    if len(site.legs) == 1:
        stepped = replace(stepped, legs=(replace(site.legs[0], step=0.25),))
    assert not works(stepped)
    miss = the(nearest_misses(stepped, MissesQuestion(many=9)), "step in the path")
    assert "ramp" in miss.change.text
    lower = 0.25 - miss.change.amount
    assert works(
        replace(stepped, legs=tuple(replace(g, step=min(g.step, lower)) for g in stepped.legs))
    )


def test_a_site_without_rope_reports_it() -> None:
    site = made_up(HOME, 2)
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Rope)))
    assert [miss.limit for miss in nearest_misses(bare)] == ["no rope"]


def test_missing_blocks_are_counted() -> None:
    site = made_up(replace(HOME, regime="puller"), 2)
    assert works(site)
    lean = site
    for many in (3, 2, 1):
        blocks = [p for p in site.gear if isinstance(p.gear, Block)]
        gear = (*(p for p in site.gear if p not in blocks), replace(blocks[0], count=many))
        lean = replace(site, gear=gear)
        if not works(lean):
            break
    assert not works(lean)
    misses = nearest_misses(lean, MissesQuestion(many=20))
    counted = [miss for miss in misses if miss.limit == "number of blocks"]
    assert counted, [(miss.limit, notation(miss.walk)) for miss in misses]
    assert counted[0].change.amount >= 1.0


def test_a_side_pull_too_great_is_cured_by_an_anchor_so_much_nearer_to_the_line() -> None:
    site = made_up(HOME, 1)
    tight = replace(site.preferences, side_pull_rolling=0.15)
    alone = replace(site, anchors=(site.anchors[1],), preferences=tight)
    miss = the(nearest_misses(alone, MissesQuestion(many=9)), "side pull on the load")
    found = re.search(r"an anchor ([\d.]+) m further left", miss.change.text)
    assert found is not None, miss.change.text
    assert miss.change.amount == pytest.approx(float(found[1]))

    def nearer(by: float) -> Site:
        (tree,) = alone.anchors
        x, y, z = tree.position
        return replace(alone, anchors=(replace(tree, position=(x, y + by, z)),))  # type: ignore[type-var]

    assert works(nearer(miss.change.amount))


def test_the_first_blocks_are_counted_and_what_they_stand() -> None:
    site = made_up(HOME, 2)
    bare = replace(site, gear=tuple(p for p in site.gear if not isinstance(p.gear, Block)))
    assert not works(bare)
    miss = the(nearest_misses(bare), "number of blocks")
    assert miss.change.unit == "pieces"
    blocks = [p for p in site.gear if isinstance(p.gear, Block)]
    one = replace(blocks[0], count=int(miss.change.amount))
    assert works(replace(bare, gear=(*bare.gear, one)))
    assert not works(replace(bare, gear=(*bare.gear, replace(one, count=one.count - 1))))


def test_a_load_far_too_heavy_comes_with_how_heavy_it_may_be() -> None:
    site = made_up(HOME, 2)
    weight = site.load.weight
    heavy = replace(site, load=replace(site.load, weight=weight * 20, lightest=weight / 2))
    miss = the(nearest_misses(heavy), "weight of the load")

    def lighter(share: float) -> Site:
        weight = heavy.load.weight - miss.change.amount * share
        return replace(heavy, load=replace(heavy.load, weight=weight))

    assert works(lighter(1.0))
    assert not works(lighter(0.99))


def test_trees_too_thin_to_be_anchors_are_what_stops_it() -> None:
    site = made_up(HOME, 2)
    thin = replace(
        site,
        anchors=tuple(replace(a, strength=replace(a.strength, capacity=0.0)) for a in site.anchors),  # type: ignore[type-var]
    )
    miss = nearest_misses(thin)[0]
    assert miss.limit == "strength of an anchor"
    assert miss.short_by == float("inf")
    assert "it stands 0.00" in miss.text
    wanted = {
        name: float(much) * 1e3
        for much, name in re.findall(r"stands ([\d.]+) kN·m in place of (\w+)", miss.change.text)
    }
    assert wanted

    def stronger(share: float) -> Site:
        anchors = tuple(
            replace(a, strength=replace(a.strength, capacity=wanted.get(a.name, 0.0) * share))  # type: ignore[type-var]
            for a in thin.anchors
        )
        return replace(thin, anchors=anchors)

    assert works(stronger(1.0))
    assert not works(stronger(0.9))


def test_where_the_time_runs_out_the_last_row_reports_it(
    feeble: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    (only,) = nearest_misses(feeble, MissesQuestion(time_limit=1e-9))
    assert only.limit == "not finished"
    assert "the time limit was reached" in only.text
    whole = nearest_misses(feeble)
    assert all(miss.limit != "not finished" for miss in whole)

    def cut_short(job: Job, budget: Budget) -> Iterator[Miss]:
        budget.cut = True
        return iter(())

    monkeypatch.setattr(others, "by_so_much", cut_short)
    *found, last = nearest_misses(feeble)
    pulls = [miss for miss in found if miss.limit == "pull of the puller"]
    assert pulls == [miss for miss in whole if miss.limit == "pull of the puller"]
    assert last.limit == "not finished"
    assert "time limit" not in last.text


def test_a_ramp_is_no_lower_than_it_must_be() -> None:
    site = made_up(HOME, 3)
    stepped = replace(site, legs=tuple(replace(leg, step=0.3) for leg in site.legs))
    miss = the(nearest_misses(stepped, MissesQuestion(many=9)), "step in the path")

    def ramped(height: float) -> Site:
        return replace(stepped, legs=tuple(replace(g, step=height) for g in stepped.legs))

    left = 0.3 - miss.change.amount
    assert works(ramped(left))
    assert not works(ramped(left + 0.011))
