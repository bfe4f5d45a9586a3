"""Checks whether what hangs at the two ends of every part of the rope fits in between."""

from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.ends import END_LENGTH
from optimiser.rig.gear.kit import Hanging, eye_of, long_of
from optimiser.rig.gear.slots import BlockOption, Variant

MOST_TRIALS = 2000
"""Trials of a cover by blocks of several sheaves before the solver is called."""
Stock = dict[str, int]


class Undecided(Exception):  # noqa: N818 - not an error: the question goes to the solver
    """Neither a filling nor its absence was shown."""


def has_room(filled: Filled) -> bool:
    """Whether all that hangs at the two ends of each segment fits into its shortest length, and leaves a
    bend in the rope clear of blocks."""
    return all(
        sum(hardware(filled, node) for node in nodes) <= most + 1e-7
        for _, nodes, most in filled.variant.room()
    )


def straps_with_room(
    variant: Variant, least: float, options: list[BlockOption], taken: Stock | None = None
) -> dict[int, Hanging] | None:
    """Straps, no more than are owned besides those `taken`, beside which the shortest blocks and shackles
    (counts ignored) would fit into every segment; None where there are none. Undecided where it takes too
    long to decide."""
    besides = _shortest_besides(variant, options)
    able = {
        place: sorted(
            (h for h, r in variant.strap_options(place) if r >= least),
            key=lambda h: (h.standoff, h.piece.name),
        )
        for place in variant.strap_places
    }
    chosen: dict[int, Hanging] = {}
    used: Stock = dict(taken or {})
    trials = [0]

    def takes(node: int) -> float:
        if node == variant.row.sheaves + 1:
            return 0.0
        place = variant.row.numbers[node]
        if place not in able:
            return besides[node]
        hanging = chosen.get(place) or next(iter(able[place]), None)
        return besides[node] + (0.0 if hanging is None else hanging.standoff)

    room = list(variant.room())

    def fits() -> bool:
        return all(sum(map(takes, nodes)) <= most + 1e-7 for _, nodes, most in room)

    def place_next(left: list[int]) -> bool:
        if not left:
            return True
        place, *others = left
        for hanging in able[place]:
            name = hanging.piece.name
            if used.get(name, 0) >= hanging.piece.count:
                continue
            trials[0] += 1
            if trials[0] > MOST_TRIALS:
                raise Undecided
            chosen[place] = hanging
            used[name] = used.get(name, 0) + 1
            if fits() and place_next(others):
                return True
            used[name] -= 1
            del chosen[place]
        return False

    if not fits():
        return None
    return chosen if place_next(sorted(able, key=lambda p: (len(able[p]), p))) else None


def _shortest_besides(variant: Variant, options: list[BlockOption]) -> list[float]:
    """The least that hangs at each node besides a strap, m."""
    shackle = min((long_of(p) for p in variant.kit.shackles), default=0.0)
    out = []
    for node in range(variant.row.sheaves + 1):
        takes = [
            long_of(o.piece) + (shackle if eye_of(o.piece) is not None else 0.0)
            for o in options
            if node in o.nodes
        ]
        least = min(takes, default=0.0)
        if node == 0:
            shackled = any(0 in nodes for nodes, _ in variant.end_shackles)
            least = END_LENGTH + (shackle if shackled else 0.0)
        out.append(least)
    return out


def hardware(filled: Filled, node: int) -> float:
    """Length of all that hangs between a node's place and its rope, m."""
    v = filled.variant
    if node == v.row.sheaves + 1:
        return 0.0
    place = v.row.numbers[node]
    total = filled.straps[place].standoff if place in filled.straps else 0.0
    total += sum(long_of(o.piece) for o in filled.blocks if node in o.nodes)
    total += sum(long_of(piece) for nodes, piece in filled.shackles.items() if node in nodes)
    return total + (END_LENGTH if node == 0 else 0.0)
