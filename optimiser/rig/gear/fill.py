"""Fills a variant's slots: the search's everyday tool.

For a given least ratio it finds a filling or shows that there is none. Straps, blocks and shackles are
each a matching of slots to kinds with counts; they meet only where a shackle must go through a block's
eye and where everything between load and anchor must fit. A filling that satisfies all is returned; if
even the loosened question (each kind by itself) has none, there is none; what lies between is
`Undecided` and goes to the constraint solver.
"""

from collections.abc import Mapping, Sequence
from enum import Enum
from functools import partial
from typing import NamedTuple

from catalogue.gear import Block, Chain, Shackle, Strap
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Hanging, eye_of, fits_eye, long_of, runs_on
from optimiser.rig.gear.room import MOST_TRIALS, Stock, Undecided, has_room, straps_with_room
from optimiser.rig.gear.slots import BlockOption, Variant
from optimiser.rig.setup import Role
from optimiser.site.model import Owned
from shared.effort import Effort, note


class Prefer(Enum):
    """Which of the pieces that will do comes first: the weakest, so that the others are left for where they
    are needed; the strongest; or the shortest, and of blocks the one with the widest eye."""

    WEAK = "weak"
    STRONG = "strong"
    SHORT = "short"

    def of(self, ratio: float, long: float, name: str) -> tuple[float, float, str]:
        """The place of a piece among others, by its ratio and by how long it is, m."""
        if self is Prefer.SHORT:
            return (long, ratio, name)
        return (-ratio if self is Prefer.STRONG else ratio, long, name)


class Wanted(NamedTuple):
    """A shackle that is needed: the nodes it serves, and the clear widths of the eyes of what it hangs in and
    of what hangs in it, m; None: any pin fits. `bow`: m, how thick its bow must be to run on a sling."""

    nodes: tuple[int, ...]
    hangs_in: float | None
    eye: float | None
    bow: float = 0.0

    @property
    def narrowest(self) -> float | None:
        """Clear width of the narrower eye, m; None: any pin fits."""
        return min((eye for eye in (self.hangs_in, self.eye) if eye is not None), default=None)

    def fits(self, shackle: Shackle) -> bool:
        """Whether the pin goes through both eyes, and the bow is as thick as it has to be."""
        return fits_eye(shackle, self.narrowest) and runs_on(shackle, self.bow)

    def with_bow(self, bow: float) -> "Wanted":
        """The same with a bow of a least thickness, m."""
        return self._replace(bow=bow) if bow else self


def loose_margin(variant: Variant) -> float:
    """An upper bound on the margin: every slot takes the best piece that fits it, counts ignored; 0
    where a slot can be filled by nothing."""
    row, kit = variant.row, variant.kit
    out = min(
        variant.fixed_margin,
        row.once(("best blocks", variant.rope_names, kit), lambda: _best_blocks(variant)),
    )
    for place in variant.strap_places:
        best = row.once(
            ("best strap", place, kit, *variant.not_in_slings),
            lambda p=place: max((r for _, r in variant.strap_options(p)), default=0.0),  # type: ignore[misc]
        )
        out = min(out, best)
    for nodes, place in variant.end_shackles:
        best = row.once(
            ("best shackle", nodes, place, kit),
            lambda n=nodes, p=place: _best_shackle(variant, n, p),  # type: ignore[misc]
        )
        out = min(out, best)
    if variant.bridle_legs:
        out = min(out, row.once(("best legs", kit), lambda: _best_legs(variant)))
    return out


def turns(variant: Variant, least: float) -> bool:
    """False where the blocks at hand cannot turn the rope at every node with a ratio of at least `least`,
    whatever else is chosen; worked out once for all variants with the same rope."""

    def able() -> bool:
        try:
            return (
                _blocks(variant, [o for o in variant.block_options if o.ratio >= least]) is not None
            )
        except Undecided:
            return True

    return variant.row.once(("turns", variant.rope_names, variant.kit, least), able)


def _best_shackle(variant: Variant, nodes: tuple[int, ...], place: int) -> float:
    fit = (p for p in variant.kit.shackles if variant.shackle_fits(p, place, None))
    return max((variant.shackle_ratio(p, nodes) for p in fit), default=0.0)


def _best_legs(variant: Variant) -> float:
    """The least, over the legs of a bridle, of the best strap's and the best shackle's ratio there."""
    straps = (
        max((r for _, r in variant.leg_options(demand)), default=0.0)
        for _, demand in variant.bridle_legs
    )
    shackles = (
        max((variant.shackle_ratio(piece, nodes) for piece in variant.kit.shackles), default=0.0)
        for nodes in (wanted.nodes for wanted in _wanted_anyway(variant))
        if nodes[0] <= -2
    )
    return min((*straps, *shackles))


def _best_blocks(variant: Variant) -> float:
    """The least, over the nodes, of the best block's ratio there."""
    best = {node: 0.0 for nodes in variant.row.groups.values() for node in nodes}
    for option in variant.block_options:
        for node in option.nodes:
            best[node] = max(best[node], option.ratio)
    return min(best.values(), default=float("inf"))


def fill(variant: Variant, least: float, prefer: Prefer = Prefer.WEAK) -> Filled | None:
    """A filling in which every ratio is at least `least`, or None where there is none. Undecided where
    this way cannot decide. `prefer`: which of several pieces that will do, where there is room for it."""
    note(Effort.FILLING)
    if variant.fixed_margin < least:
        return None
    row = variant.row
    options = [o for o in variant.block_options if o.ratio >= least]
    turning = tuple((o.nodes, o.piece.name) for o in options)
    # The variants of one rig mostly need the same of blocks and straps.
    if row.once(("cover", variant.kit, turning), lambda: _blocks(variant, options)) is None:
        return None
    possible = False
    for legs in _legs(variant, least):
        used = {leg.name: len(legs) for leg in legs}
        given = (variant.kit, least, variant.strap_places, variant.not_in_slings, *used)
        straps = row.once(
            ("straps", prefer, *given), partial(_straps, variant, least, used, prefer)
        )
        if straps is None:
            continue
        key = (*given, turning, variant.end_shackles, tuple(variant.room()))
        roomy = row.once(("room", *key), partial(straps_with_room, variant, least, options, used))
        if roomy is None:
            continue
        possible = True
        for chosen, first in (
            (straps, prefer),
            (_straps(variant, least, used, Prefer.SHORT), Prefer.SHORT),
            (roomy, Prefer.SHORT),
        ):
            filled = _one_way(variant, least, options, chosen, legs, first)
            if filled is not None:
                return filled
    if not possible:
        return None
    if not _loosely_shackled(variant, least, options):
        return None
    raise Undecided


def _one_way(
    variant: Variant,
    least: float,
    options: list[BlockOption],
    straps: dict[int, Hanging] | None,
    legs: tuple[Owned[Strap | Chain], ...],
    prefer: Prefer,
) -> Filled | None:
    """One filling, with the pieces first that are preferred."""
    blocks = _blocks(variant, _by_preference(options, prefer))
    if straps is None or blocks is None:
        return None
    wanted = [w.with_bow(_bow(variant, straps, w.nodes)) for w in shackles_wanted(variant, blocks)]
    shackles = _match_shackles(variant, least, wanted, prefer)
    if shackles is None:
        return None
    filled = Filled(variant, blocks, straps, shackles, legs)
    return filled if has_room(filled) else None


def _bow(variant: Variant, straps: Mapping[int, Hanging], nodes: tuple[int, ...]) -> float:
    """How thick the bow of a shackle for some nodes must be, m: as the sling on which it runs."""
    if not variant.row.slung or nodes[0] < 0:
        return 0.0
    sling = straps.get(variant.row.numbers[nodes[0]])
    return 0.0 if sling is None else sling.bow


# ---- matchings ------------------------------------------------------------------------------------


def match(slots: Sequence[Sequence[Owned]], used: Stock | None = None) -> list[int] | None:
    """For each slot the index of one of its pieces, no piece more often than it is owned; None where
    there is no such choice. Earlier pieces of a slot are preferred (augmenting paths)."""
    stock: dict[str, int] = {}
    for pieces in slots:
        for piece in pieces:
            stock[piece.name] = piece.count - (used or {}).get(piece.name, 0)
    holders: dict[str, list[int]] = {name: [] for name in stock}
    chosen = [-1] * len(slots)

    def place(slot: int, seen: set[str]) -> bool:
        for index, piece in enumerate(slots[slot]):
            name = piece.name
            if name in seen:
                continue
            seen.add(name)
            if len(holders[name]) < stock[name]:
                holders[name].append(slot)
                chosen[slot] = index
                return True
            for other in holders[name]:
                if place(other, seen):
                    # `other` has moved on to another piece.
                    holders[name].remove(other)
                    holders[name].append(slot)
                    chosen[slot] = index
                    return True
        return False

    for slot in sorted(range(len(slots)), key=lambda i: (len(slots[i]), i)):
        if not place(slot, set()):
            return None
    return chosen


def _straps(
    variant: Variant, least: float, used: Stock, prefer: Prefer
) -> dict[int, Hanging] | None:
    slots: list[list[Hanging]] = []
    for place in variant.strap_places:
        able = [(r, h) for h, r in variant.strap_options(place) if r >= least]
        able.sort(key=lambda e: prefer.of(e[0], e[1].standoff, e[1].piece.name))
        slots.append([h for _, h in able])
    chosen = match([[h.piece for h in slot] for slot in slots], used)
    if chosen is None:
        return None
    return {place: slots[i][chosen[i]] for i, place in enumerate(variant.strap_places)}


def _by_preference(options: list[BlockOption], prefer: Prefer) -> list[BlockOption]:
    """Blocks for the most nodes first, those without spare sheaves before others."""

    def eye(option: BlockOption) -> float:
        clear = eye_of(option.piece)
        return 1.0 if clear is None else clear

    def place(option: BlockOption) -> tuple[float, float, str]:
        long, name = long_of(option.piece), option.piece.name
        if prefer is Prefer.SHORT:
            return (-eye(option), long, name)
        return (
            _sheaves(option.piece) - len(option.nodes),
            *prefer.of(option.ratio, 0.0, name)[::2],
        )

    return sorted(options, key=lambda o: (-len(o.nodes), *place(o)))


def _blocks(variant: Variant, options: list[BlockOption]) -> tuple[BlockOption, ...] | None:
    nodes = sorted(n for group in variant.row.groups.values() for n in group)
    if not variant.kit.many_sheaved:
        slots = [[o for o in options if o.nodes == (node,)] for node in nodes]
        chosen = match([[o.piece for o in slot] for slot in slots])
        return None if chosen is None else tuple(s[i] for s, i in zip(slots, chosen, strict=True))
    trials = [0]
    found = _cover(frozenset(nodes), options, {}, trials)
    return None if found is None else tuple(sorted(found, key=lambda o: o.nodes))


def _cover(
    left: frozenset[int], options: list[BlockOption], used: Stock, trials: list[int]
) -> list[BlockOption] | None:
    """Blocks of any number of sheaves for all nodes left, by trial."""
    if not left:
        return []
    node = min(left, key=lambda n: (sum(n in o.nodes for o in options), n))
    for option in options:
        if node not in option.nodes or not left.issuperset(option.nodes):
            continue
        if used.get(option.piece.name, 0) >= option.piece.count:
            continue
        trials[0] += 1
        if trials[0] > MOST_TRIALS:
            raise Undecided
        used[option.piece.name] = used.get(option.piece.name, 0) + 1
        rest = _cover(left.difference(option.nodes), options, used, trials)
        if rest is not None:
            return [option, *rest]
        used[option.piece.name] -= 1
    return None


def shackles_wanted(variant: Variant, blocks: Sequence[BlockOption]) -> list[Wanted]:
    """The shackles that a variant takes with some blocks in it: of the blocks with an eye, of the rope's
    ends, and of the legs of a bridle."""
    wanted: list[Wanted] = []
    for option in blocks:
        eye = eye_of(option.piece)
        if eye is not None:
            wanted.append(Wanted(option.nodes, variant.eye_at(option.place), eye))
    return wanted + _wanted_anyway(variant)


def _wanted_anyway(variant: Variant) -> list[Wanted]:
    """The shackles of the rope's ends and the bridle."""
    slots = (slot for slot in variant.slots if slot.role is Role.SHACKLE)
    return [Wanted(slot.nodes, variant.hangs_in(slot), None) for slot in slots]


def _match_shackles(
    variant: Variant, least: float, wanted: list[Wanted], prefer: Prefer
) -> dict[tuple[int, ...], Owned[Shackle]] | None:
    slots = [_able(variant, least, w, prefer) for w in wanted]
    chosen = match(slots)
    if chosen is None:
        return None
    return {w.nodes: slots[i][chosen[i]] for i, w in enumerate(wanted)}


def _able(
    variant: Variant,
    least: float,
    wanted: Wanted,
    prefer: Prefer,
) -> list[Owned[Shackle]]:
    able = []
    for piece in variant.kit.shackles:
        if wanted.fits(piece.gear):
            ratio = variant.shackle_ratio(piece, wanted.nodes)
            if ratio >= least:
                able.append((prefer.of(ratio, long_of(piece), piece.name), piece))
    able.sort(key=lambda e: e[0])
    return [p for _, p in able]


def _loosely_shackled(variant: Variant, least: float, options: list[BlockOption]) -> bool:
    """Whether shackles suffice when every block has the widest eye it could have. Where blocks may have
    several sheaves only those of the ends and the bridle are counted."""
    wanted = _wanted_anyway(variant)
    if variant.kit.many_sheaved:
        return _match_shackles(variant, least, wanted, Prefer.WEAK) is not None
    for place, nodes in variant.row.groups.items():
        for node in nodes:
            eyes = [eye_of(o.piece) for o in options if o.nodes == (node,)]
            known = [eye for eye in eyes if eye is not None]
            if len(known) == len(eyes):
                wanted.append(Wanted((node,), variant.eye_at(place), max(known)))
    return _match_shackles(variant, least, wanted, Prefer.WEAK) is not None


def _legs(variant: Variant, least: float) -> list[tuple[Owned[Strap | Chain], ...]]:
    """Every choice of legs for the bridle: two equal pieces, the weakest first. Without a bridle one
    choice, of none."""
    if not variant.bridle_legs:
        return [()]
    worst = max(demand for _, demand in variant.bridle_legs)
    able = sorted(
        ((r, p.name, p) for p, r in variant.leg_options(worst) if r >= least), key=lambda e: e[:2]
    )
    return [(piece, piece) for _, _, piece in able if piece.count >= 2]


def _sheaves(piece: Owned[Block]) -> int:
    return piece.gear.sheaves
