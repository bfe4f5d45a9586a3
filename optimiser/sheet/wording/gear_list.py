"""Lists the gear to lay out: every rope, then every piece, equal ones together; and of several rigs that
follow each other what is taken along for all."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimiser.rig.edge_words import where as edge_place
from optimiser.rig.ground.keepout import Danger
from optimiser.rig.setup import PIECES, Hung, Role
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.ropes import PLAIN, Rope
from optimiser.sheet.wording.letters import length
from optimiser.site.model import AnchorKind
from shared.units import Rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of the checklist."""

    count: int
    name: str
    kind: str
    where: str


def gear(drawn: Drawn) -> tuple[Item, ...]:
    """Everything to lay out."""
    ropes = [item for rope in drawn.ropes for item in _rope(drawn, rope)]
    pieces: dict[str, list[Hung]] = {}
    for hung in (hung for rope in drawn.ropes for hung in rope.gear):
        if hung.role in PIECES:
            pieces.setdefault(hung.item, []).append(hung)
    owns = {owned.name: owned.gear.name for owned in drawn.site.gear}
    items = [
        Item(
            count=len(_each(hung)),
            name=name,
            kind=owns.get(name, hung[0].role),
            where=", ".join(dict.fromkeys(_where(drawn, h) for h in hung)),
        )
        for name, hung in pieces.items()
    ]
    return (*ropes, *items, *_besides(drawn))


def for_all(lists: Sequence[tuple[str, tuple[Item, ...]]]) -> tuple[Item, ...]:
    """What is taken along for rigs that follow each other: of each piece as many as the one takes that takes
    most of it, and how many each takes where they differ. `lists`: what each is called, and its gear."""
    found: dict[tuple[str, str], dict[str, int]] = {}
    for what, items in lists:
        for item in items:
            counts = found.setdefault((item.name, item.kind), {})
            counts[what] = max(item.count, counts.get(what, 0))
    called = list(dict.fromkeys(what for what, _ in lists))
    return tuple(
        Item(count=max(counts.values()), name=name, kind=kind, where=_shares(counts, called))
        for (name, kind), counts in found.items()
    )


def _shares(counts: dict[str, int], called: Sequence[str]) -> str:
    """How many each takes; "" where all take as many."""
    each = [counts.get(what, 0) for what in called]
    if len(set(each)) == 1:
        return ""
    if len(counts) == 1:
        return f"{next(iter(counts))} only"
    return ", ".join(f"{what} {many}" for what, many in zip(called, each, strict=True))


def _where(drawn: Drawn, hung: Hung) -> str:
    """The letter of a place, or the words for one that has none."""
    return drawn.letter_of(hung.place) or (hung.place if hung.role is Role.PROTECTOR else "")


def _each(hung: list[Hung]) -> list[Hung]:
    """A piece that both ropes hang on is listed by both, and is one."""
    seen, out = set(), []
    for one in hung:
        mark = (one.place, one.role, one.how)
        if one.role is not Role.STRAP or mark not in seen:
            out.append(one)
        seen.add(mark)
    return out


def _rope(drawn: Drawn, rope: Rope) -> Iterator[Item]:
    """The rope, or the two that it is joined of."""
    needed = length(drawn, rope.needed, Rounding.UP)
    owned = length(drawn, rope.piece.length or 0.0, Rounding.DOWN)
    what = "" if rope.called == PLAIN else f"{rope.called}, "
    joined = rope.piece.joined
    if joined is None:
        yield Item(
            count=1, name=rope.piece.name, kind=rope.piece.gear.name,
            where=f"{what}{needed} used of {owned}",
        )  # fmt: skip
        return
    whole = f"{what}{needed} used of {owned} in all"
    if joined.bend is not None:  # what lengthens a rope is listed among the pieces
        yield Item(count=1, name=joined.first.name, kind=joined.first.gear.name, where=whole)
    yield Item(count=1, name=joined.second.name, kind=joined.second.gear.name, where=whole)


def _besides(drawn: Drawn) -> Iterator[Item]:
    """What no rig is made of and every job needs."""
    runs = any(area.danger is Danger.BELOW for area in drawn.areas)
    if runs or drawn.downward:
        yield Item(count=2, name="chocks", kind="to hold the load", where="at the load")
    staked = [edge for edge in drawn.edges if edge.pieces]
    if staked:
        kind = "to keep in place what is laid"
        places = dict.fromkeys(edge_place(edge, drawn.site.preferences.units) for edge in staked)
        yield Item(count=1, name="stakes, a mallet and cord", kind=kind, where="; ".join(places))
    wrapped = [rope.walk[-1] for rope in drawn.ropes if rope.turns]
    trees = [p for p in wrapped if drawn.site.anchor(p.name).kind is AnchorKind.TREE]
    if trees:
        where = ", ".join(dict.fromkeys(drawn.letter(place) for place in trees))
        yield Item(count=1, name="slats or stout hose", kind="to wrap the trunk", where=where)
    for one in drawn.setup.made:
        for many, piece in one.making.pieces:
            yield Item(count=many, name=piece, kind=f"to make {one.anchor}", where="")
    yield Item(count=1, name="gloves for everybody", kind="", where="")
