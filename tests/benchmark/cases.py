"""The sites that are measured: generated ones by size and regime, with fixed seeds, and the examples."""

from dataclasses import dataclass, replace
from pathlib import Path

from optimiser.site.model import Site
from tests.generated import HOME, MID, YARD, Recipe, made_up

REGIMES = ("easy", "puller", "anchor")
# Loads are made lighter so that most seeds have a full list: an empty list is proven in no time.
SIZES = {
    "home": replace(HOME, light=0.7),
    "mid": replace(MID, light=0.7),
    "yard": replace(YARD, light=0.9),
    "heavy": MID,  # where the gear owned will not do
}
EXAMPLES = Path(__file__).parents[2] / "examples"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One generated site."""

    size: str
    regime: str
    seed: int

    @property
    def name(self) -> str:
        """As in the tables and on the command line."""
        return f"{self.size}-{self.regime}-{self.seed}"

    @staticmethod
    def named(name: str) -> "Case":
        size, regime, seed = name.split("-")
        return Case(size=size, regime=regime, seed=int(seed))

    @property
    def recipe(self) -> Recipe:
        return replace(SIZES[self.size], regime=self.regime)

    def site(self) -> Site:
        return made_up(self.recipe, self.seed)


def cases(size: str, seeds: range) -> list[Case]:
    """Every regime with every seed."""
    return [Case(size=size, regime=regime, seed=seed) for regime in REGIMES for seed in seeds]


def examples() -> list[Path]:
    """The site files that ship beside the program."""
    return sorted(EXAMPLES.glob("*.toml"))
