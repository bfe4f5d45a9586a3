"""Keeps the best setups found so far, one for each run of the rope over trees, and the mark that a new
one must beat."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from math import isclose

from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.slots import Variant
from optimiser.rig.order import Key, Order
from optimiser.rig.walk import PlaceKind

NEAR = 1e-9
"""Relative difference of figures that are the same but for rounding."""


@dataclass(eq=False)
class Entry:
    """The best of one setup: its key, a filling that reaches it, and all variants still in the running."""

    key: Key
    sort: tuple[float, ...]
    filled: Filled
    label: str = ""  # ties are listed in its order
    rivals: list[Variant] = field(default_factory=list)
    twins: list["Entry"] = field(default_factory=list)  # the same with interchangeable anchors

    @property
    def pattern(self) -> tuple[object, ...]:
        """The walk with every anchor replaced by what makes it interchangeable with another, and by its
        turn: two lines on one tree are not the same as on two."""
        row = self.filled.variant.row
        site = row.scene.site
        out: list[object] = []
        met: list[int] = []
        for place, number in zip(row.scene.walk(row.numbers), row.numbers, strict=True):
            index = int(row.scene.anchor_of[number])
            if place.kind is not PlaceKind.ANCHOR:
                out.append(place)
            else:
                anchor = site.anchors[index]
                kind: tuple[object, ...] = (
                    anchor.kind, anchor.strength.capacity, anchor.heights, anchor.girth,
                    anchor.directions,
                )  # fmt: skip
                if anchor.uses:  # whatever is made on one spot, if all figures are the same
                    kind = (anchor.position,)
                if index not in met:
                    met.append(index)
                out.append((kind, place.height, met.index(index)))
        return tuple(out)

    def twin_of(self, other: "Entry") -> bool:
        """Whether the two differ by nothing but the names of interchangeable anchors: equal in kind and
        strength, and every figure of the rig the same (they mirror each other about the path)."""
        mine, its = self.filled.variant.row, other.filled.variant.row
        return (
            self.sort == other.sort
            and self.label != other.label
            and len(mine.numbers) == len(its.numbers)
            and isclose(mine.counted.value, its.counted.value, rel_tol=NEAR)
            and isclose(mine.longest, its.longest, rel_tol=NEAR)
            and isclose(self.key.margin, other.key.margin, rel_tol=NEAR)
            and self.pattern == other.pattern
        )


Admit = Callable[[Filled, Filler], Filled | None]
"""The filling with which a filled rig counts, the one given or another; None where it does not count."""


class Board:
    """Setups by what makes them different. `everything`: also those another one beats on every count.
    `admit`: which fillings count; None: all. `as_good`: after the best only what is as good as that is
    sought."""

    def __init__(
        self, order: Order, top: int, *, everything: bool, admit: Admit | None = None,
        as_good: bool = False,
    ) -> None:  # fmt: skip
        self.order, self.top, self.everything = order, top, everything
        self.admit, self.as_good = admit, as_good
        self.entries: dict[tuple[object, ...], Entry] = {}
        self.overturned = False  # an entry that may have set the limit was beaten on every count
        self._limit: tuple[float, ...] | None = None

    @property
    def limit(self) -> tuple[float, ...] | None:
        """The sort key that a setup has to reach: that of the last on the list; None while the list is not
        full."""
        return self._limit

    def best_of(self, identity: tuple[object, ...]) -> Entry | None:
        return self.entries.get(identity)

    def offer(self, identity: tuple[object, ...], key: Key, filled: Filled) -> None:
        """Put a filled variant on the board; the best of each setup stays."""
        sort = self.order.sortable(key)
        known = self.entries.get(identity)
        if known is None:
            self.entries[identity] = Entry(key, sort, filled, str(identity), [filled.variant])
        else:
            known.rivals.append(filled.variant)
            if (sort, -key.margin) < (known.sort, -known.key.margin):
                known.key, known.sort, known.filled = key, sort, filled
        self._refresh()

    def fill(
        self, identity: tuple[object, ...], variants: Iterable[Variant], filler: Filler
    ) -> None:
        """Fill the best of some variants of a setup and put it on the board, unless what is there already
        is better; the variants that may be as good by the order stay in the running."""
        known = self.best_of(identity)
        limits = [self.limit] if self.limit is not None else []
        if known is not None:
            limits.append(known.sort)
        found = filler.first(variants, limits)
        if found.filled is None:
            return
        filled = found.filled if self.admit is None else self.admit(found.filled, filler)
        if filled is None:
            return
        self.offer(identity, Key.of(filled.variant, filled.margin), filled)
        entry = self.entries[identity]
        if self.admit is not None:
            entry.rivals.clear()  # another filling need not count
            return
        for sort, variant in found.ahead:
            if sort <= entry.sort:
                self.rival(identity, variant)

    def rival(self, identity: tuple[object, ...], variant: Variant) -> None:
        """A variant of a setup on the board that may be as good as its best."""
        self.entries[identity].rivals.append(variant)

    def leaders(self) -> list[tuple[tuple[object, ...], Entry]]:
        """The listed setups in order; interchangeable ones are one."""
        ranked = sorted(self.entries.items(), key=lambda item: (item[1].sort, item[1].label))
        out: list[tuple[tuple[object, ...], Entry]] = []
        for identity, entry in ranked:
            same = next((other for _, other in out if entry.twin_of(other)), None)
            if same is not None:
                if entry not in same.twins:
                    same.twins.append(entry)
            elif self.everything or not any(
                self.order.beaten(entry.key, other.key) for _, other in out
            ):
                out.append((identity, entry))
            if len(out) == self.top:
                break
        return out

    def _refresh(self) -> None:
        listed = self.leaders()
        limit = listed[-1][1].sort if len(listed) == self.top else None
        if self.as_good and listed:
            least = self.order.least_as_good(listed[0][1].sort)
            limit = least if limit is None else min(limit, least)
        if self._limit is not None and (limit is None or limit > self._limit):
            self.overturned = True
        self._limit = limit
