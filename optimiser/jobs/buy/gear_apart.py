"""Says what the sites of several jobs list differently of the gear owned."""

from collections.abc import Sequence

from optimiser.rig.setup import names as and_
from optimiser.site.model import Site


def gear_apart(sites: Sequence[Site], names: Sequence[str]) -> tuple[str, ...]:
    """A sentence for the gear that not every site lists, and for each piece that two sites list differently
    under one name. Nothing of it is pooled: a rope under two names would be counted twice."""
    lists = [{piece.name: piece for piece in site.gear} for site in sites]
    by_holders: dict[tuple[str, ...], list[str]] = {}
    different = []
    for piece in sorted({piece for gear in lists for piece in gear}):
        having = [
            (name, gear[piece]) for name, gear in zip(names, lists, strict=True) if piece in gear
        ]
        if len(having) < len(lists):
            by_holders.setdefault(tuple(name for name, _ in having), []).append(piece)
        first, one = having[0]
        other = next((name for name, some in having[1:] if some != one), None)
        if other is not None:
            different.append(f"'{piece}' is not the same in {first} and {other}.")
    only = [
        f"Only {and_(holders)} {'lists' if len(holders) == 1 else 'list'} {and_(pieces)}."
        for holders, pieces in by_holders.items()
    ]
    return (*only, *different)
