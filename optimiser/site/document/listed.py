"""The lists of words a site document may use, from the catalogue and the program's own rules."""

import re
from collections.abc import Sequence

from catalogue.book import load_catalogue
from catalogue.edges import surfaces
from catalogue.pullers import PulledBy
from catalogue.spoken import ids_meant
from optimiser.site.rules import RULES
from shared.words import also_called, plain_form

BY_SIZE = re.compile(r"(rope|block|strap|sling|chain|hook)s?-(\d+(?:\.\d+)?)(?:-?mm)?")
"""A kind of gear and a size, where the catalogue's ids begin with something else or say more."""


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


def meant(which: str, raw: str, valid: Sequence[str]) -> list[str]:
    """Words of a list that mean what was written, however little they look like it: other names of the same
    ground, gear of that kind and size; none where nothing is known to."""
    plain = plain_form(raw)
    sized = BY_SIZE.fullmatch(plain) if which == "gear" else None
    if sized is not None:
        return _of_size("strap" if sized[1] == "sling" else sized[1], float(sized[2]))
    if which == "gear":
        return ids_meant(raw, load_catalogue())
    if which in ("surfaces", "footings"):
        return [word for word in also_called(raw) if word in valid]
    return []


def _of_size(kind: str, size: float) -> list[str]:
    """Ids of a kind of that size, or of the next smaller and the next larger."""
    sizes: dict[float, list[str]] = {}
    for id in load_catalogue().kinds()[kind]:
        number = re.search(r"\d+(?:\.\d+)?", id)
        if number is not None:
            sizes.setdefault(float(number[0]), []).append(id)
    smaller = max((each for each in sizes if each <= size), default=None)
    larger = min((each for each in sizes if each >= size), default=None)
    near = dict.fromkeys(each for each in (smaller, larger) if each is not None)
    return [id for each in near for id in sizes[each]]
