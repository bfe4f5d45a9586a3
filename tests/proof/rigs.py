"""Right setups to start from: found by the search on made-up sites, and on those of site files."""

from dataclasses import replace
from functools import cache, lru_cache

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.site.reading import read_site
from tests.generated import Recipe, made_up
from tests.ranking.test_put_together import meadow


@lru_cache(maxsize=8)
def found(recipe: Recipe, number: int) -> tuple[Site, tuple[Setup, ...]]:
    """A made-up site and its list."""
    site = made_up(recipe, number)
    return site, rank(site).setups


@cache
def ranked(text: str) -> tuple[Site, Setup]:
    """A site by its file, without ranges, and its best setup."""
    site = replace(read_site(text), origin=None)
    return site, rank(site, RankQuestion(top=1, explain=False)).setups[0]


def plain() -> tuple[Site, Setup]:
    """People haul a cart by one rope through one lead block."""
    return ranked(meadow(30.0, 1))


PLAIN = Recipe(trees=4, heights=2, sheaves=3, items=12, spacing=0.25, light=0.6)
DOUBLE = Recipe(
    trees=3, heights=1, sheaves=3, items=14, spacing=0.25, light=0.4, mixed=True, mirrored=True
)
BRIDLED = Recipe(
    trees=3, heights=1, sheaves=2, items=14, spacing=0.25, light=0.3, bridle=True, protected=True
)
WIRE = Recipe(
    trees=3, heights=1, sheaves=2, items=14, spacing=0.25, light=0.3, wire=True, protected=True
)
WINCH = Recipe(
    trees=3, heights=1, sheaves=2, items=14, spacing=0.25, light=0.3, puller="hand winch",
    rough=True, boulder=True, protected=True,
)  # fmt: skip
