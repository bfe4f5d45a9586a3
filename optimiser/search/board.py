"""The best setups found so far, told apart by trees and reeving, and what a new one must beat."""

from dataclasses import dataclass, field

from optimiser.gear.assign import Filled
from optimiser.gear.slots import Variant
from optimiser.keys import Key, Order


@dataclass
class Entry:
    """The best of one setup: its key, a filling that reaches it, and all variants still in the running."""

    key: Key
    sort: tuple[float, ...]
    filled: Filled
    rivals: list[Variant] = field(default_factory=list)


class Board:
    """Setups by what tells them apart. `everything`: also those another one beats on every count."""

    def __init__(self, order: Order, top: int, *, everything: bool) -> None:
        self.order, self.top, self.everything = order, top, everything
        self.entries: dict[tuple[object, ...], Entry] = {}
        self.overturned = False  # an entry that may have set the limit was beaten on every count
        self._limit: tuple[float, ...] | None = None

    @property
    def limit(self) -> tuple[float, ...] | None:
        """The sort key of the last setup on the list; None while the list is not full."""
        return self._limit

    def wanted_margin(self, floor: float) -> float:
        """The margin below which a walk is of no use any more; at least `floor`."""
        if self.limit is None or self.order.names[0] != "margin":
            return floor
        return max(floor, -self.limit[0] * self.order.band)

    def best_of(self, identity: tuple[object, ...]) -> Entry | None:
        return self.entries.get(identity)

    def offer(self, identity: tuple[object, ...], key: Key, filled: Filled) -> None:
        """Put a filled variant on the board; the best of each setup stays."""
        sort = self.order.sortable(key)
        held = self.entries.get(identity)
        if held is None:
            self.entries[identity] = Entry(key, sort, filled, [filled.variant])
        else:
            held.rivals.append(filled.variant)
            if (sort, -key.margin) < (held.sort, -held.key.margin):
                held.key, held.sort, held.filled = key, sort, filled
        self._refresh()

    def rival(self, identity: tuple[object, ...], variant: Variant) -> None:
        """A variant of a setup on the board that may be as good as its best."""
        self.entries[identity].rivals.append(variant)

    def leaders(self) -> list[tuple[tuple[object, ...], Entry]]:
        """The listed setups in order."""
        ranked = sorted(self.entries.items(), key=lambda item: (item[1].sort, str(item[0])))
        if self.everything:
            return ranked[: self.top]
        out: list[tuple[tuple[object, ...], Entry]] = []
        for identity, entry in ranked:
            if not any(self.order.beaten(entry.key, other.key) for _, other in out):
                out.append((identity, entry))
            if len(out) == self.top:
                break
        return out

    def _refresh(self) -> None:
        listed = self.leaders()
        limit = listed[-1][1].sort if len(listed) == self.top else None
        if self._limit is not None and (limit is None or limit > self._limit):
            self.overturned = True
        self._limit = limit
