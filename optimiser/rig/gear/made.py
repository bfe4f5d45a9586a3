"""Lists what can be made on the spot and laid on an edge, where nobody lists anything for it."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from catalogue.book import load_catalogue
from catalogue.gear import Protector
from optimiser.site.model import Owned, is_of

MADE = ("log-bark-20", "log-peeled-20")
"""Kinds of the catalogue that are proposed (choice): a log with its bark on is found most easily, peeled it
rubs less. What else can be made rubs about as much as one of these."""
MOST_LAID = 8
"""Pieces of one kind beyond which nobody would make or buy more to lay (choice)."""


def made_on_the_spot(there: Iterable[Owned]) -> tuple[Owned[Protector], ...]:
    """What can be made on the spot besides what is there, the least trouble first."""
    book = load_catalogue()
    pieces = list(there)
    taken, known = {p.name for p in pieces}, {p.gear.id for p in pieces}
    out = []
    for id in MADE:
        name = id
        while name in taken:
            name = f"another {name}"
        if id not in known:
            gear, good = book.protectors[id], book.conditions["good"]
            out.append(Owned(name=name, gear=gear, count=MOST_LAID, condition=good))
    return tuple(out)


def with_made(pieces: Sequence[Owned]) -> tuple[Owned, ...]:
    """The pieces, more of those that can be made, and what can be made besides."""
    more = (
        replace(p, count=p.count + MOST_LAID) if is_of(p, Protector) and p.gear.made else p
        for p in pieces
    )
    return (*more, *made_on_the_spot(pieces))
