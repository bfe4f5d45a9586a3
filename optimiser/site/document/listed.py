"""The lists of words a site document may use, from the catalogue and the program's own rules."""

from catalogue.book import load_catalogue
from catalogue.edges import surfaces
from catalogue.pullers import PulledBy
from optimiser.site.rules import RULES


def words(which: str) -> list[str]:
    """The words of one list: "gear", "species", "soils", "rootings", "surfaces", and so on."""
    if which == "rules":
        return sorted(RULES)
    if which == "edge surfaces":
        return sorted(surfaces())
    book = load_catalogue()
    if which in ("soils", "rootings"):
        part = 0 if which == "soils" else 2
        keys = {key for species in book.species.values() for key in species.overturning}
        return sorted({key.partition("/")[part] for key in keys} - {"any"})
    if which == "hand winches":
        return sorted(id for id, kind in book.pullers.items() if kind.kind is PulledBy.HAND_WINCH)
    return sorted(getattr(book, which))
