"""Remembers where the best setups of sites like this one lay, so that the next search begins there."""

from collections.abc import Iterable
from dataclasses import dataclass

from optimiser.rig.walk import Walk
from optimiser.search.board import Entry

Taken = tuple[Walk, str]
"""A walk, and where the load is taken: the name of its attachment."""


@dataclass(slots=True)
class Trail:
    """The walks that were best on the last few sites, the last one's first, with where they took the load. A
    search that begins with them has a good list at once; it proves what is best all the same. `most`: walks
    that are kept beyond a whole list: more take longer to look at than they save."""

    most: int = 5
    walks: tuple[Taken, ...] = ()

    def note(self, entries: Iterable[Entry]) -> None:
        """Remember what a search has found."""
        rows = (entry.filled.variant.row for entry in entries)
        found = ((row.scene.walk(row.numbers), row.scene.attachment.name) for row in rows)
        new = tuple(dict.fromkeys(found))
        self.walks = tuple(dict.fromkeys((*new, *self.walks)))[: max(self.most, len(new))]
