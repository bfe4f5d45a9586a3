"""A rig whose puller stands badly is marked down by the stated rule."""

from dataclasses import replace

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.ground.keepout import faults
from optimiser.rig.ground.standing import MARK
from optimiser.rig.order import Key, Order
from optimiser.site.counts import Count
from optimiser.site.reading import read_site
from tests.generated import Recipe, made_up


def test_marked_down_is_what_the_keep_out_areas_say() -> None:
    """The quick answer for the ranking and the faults that are reported are the same question."""
    met = set()
    plain = Recipe(trees=3, heights=1, sheaves=2, items=12, spacing=1.0, light=0.3, protected=True)
    for number in range(12):
        puller = ("vehicle", "people", "winch")[number % 3]
        site = made_up(replace(plain, puller=puller), number)
        for setup in rank(site, RankQuestion(explain=False, top=20, compound=False)):
            met.add(setup.marked_down)
            assert setup.marked_down == bool(faults(site, setup)), setup.reeving

    assert met == {True, False}


def test_counts_as_if_the_margin_were_lower() -> None:
    """Five bands of 0.1 down, from the margin counted up to enough."""
    order = Order((Count.MARGIN, Count.RESETS, Count.ROPE), enough=2.0)
    good = Key(1.84, 1, 30.0, 2, 900.0)
    bad = replace(good, mark=MARK)
    lower = replace(good, margin=1.84 - MARK)
    plenty = Key(3.0, 1, 30.0, 2, 900.0, MARK)

    assert order.sortable(bad) == order.sortable(lower)
    assert order.sortable(plenty) == order.sortable(Key(1.5, 1, 30.0, 2, 900.0))


def test_the_log_of_the_examples_has_its_safe_setup_first() -> None:
    """Two of three setups leave the tractor in line with a part of the rope: they come last."""
    setups = rank(read_site("examples/log.toml"))
    marked = [setup.marked_down for setup in setups]

    assert marked == sorted(marked)
    assert marked[0] is False
    assert any(marked)
