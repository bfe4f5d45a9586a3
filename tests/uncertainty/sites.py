"""Sites with many ranges, for properties that are true at all ends of them."""

from functools import cache

from optimiser.jobs.question import RankQuestion
from optimiser.jobs.rank import rank
from optimiser.rig.setup import Setup
from optimiser.site.model import Site
from optimiser.site.reading import demonstration_text, read_site
from tests.piped import replaced

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
    return replaced(demonstration_text(), *RANGES, count=1)


def two_ropes() -> str:
    """The same with a lighter load, a second rope and a friction hitch: tackle on tackle is possible."""
    text = demonstration()
    name = text.index('name = "long rope"')
    begin, end = text.rindex("[[gear]]", 0, name), text.index("[[gear]]", name)
    rope = text[begin:end].replace("long rope", "other rope").replace("78 m", "60..64 m")
    text = text[:end] + rope + text[end:]
    return text.replace("knots = [", 'knots = ["friction-hitch", ', 1).replace(
        '"580..680 kg"', '"280..330 kg"', 1
    )


@cache
def compounds() -> tuple[Site, tuple[Setup, ...]]:
    """That site at its worse ends, and its tackles on tackles."""
    site = read_site(two_ropes())
    found = rank(site, RankQuestion(top=40, everything=True, compound=True, explain=False)).setups
    return site, tuple(setup for setup in found if setup.second is not None)


@cache
def ranked(text: str, top: int = 4) -> tuple[Site, tuple[Setup, ...]]:
    """A site planned at its worse ends, and its best setups."""
    site = read_site(text)
    return site, rank(site, RankQuestion(top=top, explain=False)).setups
