"""Right setups to start from: found by the search on made-up sites."""

from functools import lru_cache

from optimiser.jobs.rank import rank
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from tests.generated import Recipe, made_up


@lru_cache(maxsize=8)
def found(recipe: Recipe, number: int) -> tuple[Site, tuple[Setup, ...]]:
    """A made-up site and its list."""
    site = made_up(recipe, number)
    return site, rank(site).setups


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
