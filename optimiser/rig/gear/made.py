"""Lists what can be made on the spot and laid on an edge, where nobody lists anything for it."""

from catalogue.book import load_catalogue
from catalogue.gear import Protector
from optimiser.site.model import Owned, Site

MADE = ("log-bark-20", "log-peeled-20")
"""Kinds of the catalogue that are proposed (choice): a log with its bark on is found most easily, peeled it
rubs less. What else can be made rubs about as much as one of these."""
PLENTY = 99
"""Pieces that may be cut on the spot: as many as any rig takes."""


def made_on_the_spot(site: Site) -> tuple[Owned[Protector], ...]:
    """What can be made on the spot, the least trouble first, under names that the site does not use."""
    book = load_catalogue()
    taken = {piece.name for piece in site.gear}
    out = []
    for id in MADE:
        name = id
        while name in taken:
            name = f"another {name}"
        out.append(
            Owned(
                name=name, gear=book.protectors[id], count=PLENTY, condition=book.conditions["good"]
            )
        )
    return tuple(out)
