"""Made-up sites for the property tests, and what two answers are compared by."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from hypothesis import strategies as st

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.ground.standing import MARK
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import Ranking, Setup
from optimiser.site.model import Site
from tests.generated import Recipe, made_up

PLAIN = Recipe(trees=3, heights=2, sheaves=3, items=12, spacing=1.0, light=0.4, protected=True)
RECIPES = (
    PLAIN,
    replace(PLAIN, trees=4, heights=1, mixed=True),
    replace(PLAIN, regime="puller", light=0.6),
    replace(PLAIN, regime="anchor", trees=4),
    replace(PLAIN, puller="people", light=0.25, sheaves=2),
    replace(PLAIN, puller="hand winch", boulder=True, sheaves=2),
    replace(PLAIN, ropes=2, heights=1, boulder=True),
    replace(PLAIN, pullers=2, heights=1, sheaves=2),
    replace(PLAIN, heights=1, bridle=True, sheaves=2),
    replace(PLAIN, rough=True, heights=1),
    replace(PLAIN, protected=False, light=0.3),
    replace(PLAIN, wire=True, heights=1),
    replace(PLAIN, heights=1, order=("rope", "margin")),
    replace(PLAIN, heights=1, order=("resets", "margin", "rope")),
)
UNRATED = (
    replace(PLAIN, heights=1, unrated=("block0", "tree00")),
    replace(PLAIN, heights=1, unrated=("eye",)),
    replace(PLAIN, heights=1, unrated=("rope0", "strap0"), sheaves=2),
)
"""A property of the best setup, fully rated ones first, is not true of these: see there."""
TIED = (
    replace(PLAIN, mirrored=True, trees=4, heights=1),
    replace(PLAIN, twins=True, heights=1),
)
"""Where setups are as good as each other, so that only the figures can be compared."""


@dataclass(frozen=True)
class MadeUp:
    """A made-up site by its recipe and number, so that a failure names it in one line."""

    recipe: Recipe
    number: int

    @property
    def site(self) -> Site:
        return made_up(self.recipe, self.number)


def made_ups(recipes: Sequence[Recipe] = RECIPES) -> st.SearchStrategy[MadeUp]:
    """Small made-up sites."""
    return st.builds(MadeUp, st.sampled_from(recipes), st.integers(0, 10_000))


def ranked(site: Site, *, top: int = 4, everything: bool = False) -> Ranking:
    """The ranking, proven, without the nearest misses."""
    found = rank(site, RankQuestion(top=top, everything=everything, explain=False, compound=False))
    assert found.proven
    return found


def key_of(setup: Setup) -> Key:
    """What a setup is ranked by."""
    mark = MARK if setup.marked_down else 0.0
    return Key(setup.margin, setup.resets, setup.rope_needed, setup.parts, setup.pull, mark)


def best_key(site: Site) -> tuple[float, ...]:
    """The sort key of the best fully rated setup; infinite where there is none, so that any setup
    is better than none."""
    order = Order.of(site.preferences)
    found = [s for s in ranked(site, top=1).setups if not s.unrated]
    if not found:
        return tuple(float("inf") for _ in order.names)
    return order.sortable(key_of(found[0]))
