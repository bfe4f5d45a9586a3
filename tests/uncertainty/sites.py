"""Sites with many ranges, for properties that hold at all ends of them."""

from functools import cache

from optimiser.ranking import rank
from optimiser.results import Setup
from optimiser.site.model import Site
from optimiser.site.reading import demonstration_text, read_site

RANGES = (
    (
        'diameter = "24 cm"\nspecies = "pine-scots"',
        'diameter = "23..26 cm"\nspecies = "pine-scots"',
    ),
    (
        'diameter = "24 cm"\nspecies = "ash-european"',
        'diameter = "24 cm +- 5 %"\nspecies = "ash-european"',
    ),
    ('tree_height = "13 m"', 'tree_height = "12..14 m"'),
    ('surface = "wet-grass"', 'surface = "wet-grass"\nresistance = "0.1..0.16"'),
    ("breakout = 1.5", 'breakout = "1.2..1.6"'),
    ('weight = "860 kg"', 'weight = "820..900 kg"'),
    ('rating = "8 kN"\neye', 'rating = "7..9 kN"\neye'),
    ('name = "roller block"', 'name = "roller block"\nefficiency = "0.9..0.98"'),
    ('name = "bronze block"', 'name = "bronze block"\nefficiency = "0.8..0.95"'),
    ('name = "plain block"', 'name = "plain block"\nefficiency = "0.7..0.9"'),
)


def demonstration() -> str:
    """The demonstration site with ranges of every kind."""
    text = demonstration_text()
    for old, new in RANGES:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@cache
def ranked(text: str, top: int = 4) -> tuple[Site, tuple[Setup, ...]]:
    """A site planned at its worse ends, and its best setups."""
    site = read_site(text)
    return site, rank(site, top=top, explain=False).setups
