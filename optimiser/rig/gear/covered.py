"""Checks which sheaves along a walk the blocks at hand can be at all, whatever they stand.

Sheaves of one block hang at one place and turn equally well. So where blocks have several sheaves it is
not enough that there are as many sheaves as the walk has.
"""

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache

from optimiser.rig.gear.kit import Kit

Counts = tuple[int, ...]


def coverable(kit: Kit, places: Sequence[int], etas: Sequence[float]) -> bool:
    """Whether blocks of the kit can be the sheaves of a walk: at these places, of these efficiencies."""
    wanted = Counter(zip(etas, places, strict=True))
    for eta in set(etas):
        groups = sorted((many for (e, _), many in wanted.items() if e == eta), reverse=True)
        if not _cover(tuple(groups), _blocks(kit, eta)):
            return False
    return True


def _blocks(kit: Kit, eta: float) -> Counts:
    """Sheaves of every block of one efficiency, the largest first."""

    def listed() -> Counts:
        out: list[int] = []
        for piece in kit.blocks:
            block = piece.gear
            if block.eta == eta:
                out += [block.sheaves] * piece.count
        return tuple(sorted(out, reverse=True))

    return kit.once(("blocks of", eta), listed)


@lru_cache(maxsize=4096)
def _cover(groups: Counts, blocks: Counts) -> bool:
    """Whether so many sheaves at each place can be had from blocks of so many sheaves."""
    if not groups:
        return True
    if sum(groups) > sum(blocks):
        return False
    first, *others = groups
    for i, sheaves in enumerate(blocks):
        if i and sheaves == blocks[i - 1]:
            continue  # the same again
        left = [*others, first - sheaves] if first > sheaves else others
        if _cover(tuple(sorted(left, reverse=True)), (*blocks[:i], *blocks[i + 1 :])):
            return True
    return False
