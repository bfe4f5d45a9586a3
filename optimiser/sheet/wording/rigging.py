"""Writes the steps that rig a rope: what hangs where, from the anchor to the rope; part after part; its
end.

Letters are those of the drawings, numbers those of the rope's parts.
"""

from collections.abc import Iterator

from optimiser.rig.edge_words import lay_at, laying, stopping, where
from optimiser.rig.laid_edges import edges
from optimiser.rig.made_anchors import steps
from optimiser.rig.setup import Hung, Role, names
from optimiser.rig.walk import Place, PlaceKind
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.ropes import PLAIN, Rope
from optimiser.sheet.wording.letters import at, length, sheave, spot, turns
from shared.words import with_article

_ROLES = (Role.STRAP, Role.LEG, Role.SHACKLE, Role.HOOK, Role.BLOCK)
"""From the anchor to the rope: the order in which pieces are hung."""
_OF_ROPE = (Role.END, Role.TIE, Role.GRIP, Role.BEND, Role.TURNS, Role.EXTENSION)
"""Roles that are listed with the rope and not with its places."""

LOOK_OVER = "Look over every piece of the list. What is worn, cut or bent stays out."
MARK = (
    "Mark the hatched areas of the plan. Send everybody out of them; agree on one signal to {go} "
    "and one to stop."
)
FOLLOW = (
    "Follow each rope from its standing end and count the numbers on the drawing. No part may be "
    "twisted round another, and every block must be closed."
)


def making(drawn: Drawn) -> Iterator[str]:
    """How the anchors are made that do not stand there yet."""
    for one in drawn.setup.made:
        yield from steps(one, drawn.site.preferences.units)


def rig(drawn: Drawn, rope: Rope, done: set[tuple[str, str, str]]) -> Iterator[str]:
    """Every step for one rope. `done`: pieces that hang already, for other ropes; is added to."""
    yield from _joining(drawn, rope)
    yield from _hanging(drawn, rope, done)
    yield from _laying(drawn, rope, late=False)
    yield from _threading(drawn, rope)


def _joining(drawn: Drawn, rope: Rope) -> Iterator[str]:
    """How a rope of two pieces is put together, and where the join must stay."""
    joined = rope.piece.joined
    if joined is None:
        return
    if joined.bend is None:
        yield (
            f"{joined.second.name} is too short alone: make {joined.first.name} fast at "
            f"{spot(drawn, rope.walk[0])}, pull it straight, and tie the end of {joined.second.name} "
            "to it. It must lie all in the first part and not come to a block: stop before it does."
        )
        return
    bend = next(hung for hung in rope.gear if hung.role is Role.BEND)
    first, last = (spot(drawn, rope.walk[node]) for node in bend.nodes)
    yield (
        f"No rope is long enough alone: join {joined.first.name}, which begins at the standing end, to "
        f"{joined.second.name} with {with_article(bend.how)}. The join lies in part "
        f"{rope.first + bend.nodes[0]}, between {first} and {last}, and must not run into a block: stop "
        "before it does. Let the spare tail hang free."
    )


def _hanging(drawn: Drawn, rope: Rope, done: set[tuple[str, str, str]]) -> Iterator[str]:
    """One step for each place: what hangs there. A shackle and a block serve one rope, a strap all."""
    for place in dict.fromkeys(rope.walk):
        if place.kind is PlaceKind.PULLER:
            continue
        here = [h for h in rope.gear if h.place == str(place) and h.role not in _OF_ROPE]
        clauses = []
        for hung in sorted(here, key=lambda h: (_order(h), min(h.nodes))):
            mark = (hung.place, hung.item, hung.how)
            if hung.role is Role.STRAP and mark in done:
                clauses.append(f"in {hung.item}, which hangs there already")
                continue
            done.add(mark)
            clauses.append(_hung(hung))
        if clauses:
            yield f"{at(drawn, place)}: {'; '.join(clauses)}."


def _laying(drawn: Drawn, rope: Rope, *, late: bool) -> Iterator[str]:
    """What is laid on edges before the rope is led, a step each; `late`: what the load has to pass first."""
    if rope.over is None:
        return
    for edge in edges(drawn.site, rope.over):
        if (lay_at(drawn.site, rope.over, edge) is not None) is late:
            yield laying(drawn.site, rope.over, edge)


def laid_late(drawn: Drawn, rope: Rope) -> Iterator[str]:
    """What is laid on edges on the way, once the load has passed them."""
    yield from _laying(drawn, rope, late=True)


def comes_to(drawn: Drawn, rope: Rope) -> Iterator[str]:
    """Where the load comes to what lies on its way."""
    if rope.over is not None:
        found = (stopping(drawn.site, rope.over, edge) for edge in edges(drawn.site, rope.over))
        yield from filter(None, found)


def over_edges(drawn: Drawn) -> tuple[str, ...]:
    """When to stop for what lies on edges."""
    if not drawn.edges:
        return ()
    return (
        "Stop when what lies on an edge moves, lifts, rolls or sinks, when the rope wanders off it, or when "
        "the rope smokes or glazes there.",
    )


def _hung(hung: Hung) -> str:
    match hung.role:
        case Role.STRAP if hung.slung:
            return f"{hung.item}, the {hung.how}"
        case Role.STRAP:
            return f"put {hung.item} round it as {with_article(hung.how)}"
        case Role.SHACKLE | Role.HOOK:
            return f"{hung.item}{f', which {hung.how}' if hung.how else ''}"
        case Role.BLOCK:
            return f"{hung.item}, {hung.how}" if hung.how else hung.item
        case _:
            return f"{hung.role} {hung.item}{f' {hung.how}' if hung.how else ''}"


def _threading(drawn: Drawn, rope: Rope) -> Iterator[str]:
    """One step for each part of the rope."""
    ends = {h.nodes[0]: h for h in rope.gear if h.role in (Role.END, Role.TIE)}
    first = ends.get(0)
    how = f" with {with_article(first.how)}" if first is not None else ""
    what = "" if rope.called == PLAIN else f" ({rope.called})"
    yield (
        f"Lay out {rope.piece.name}{what} without kinks. Make its standing end fast at "
        f"{spot(drawn, rope.walk[0])}{how}. Part {rope.first} begins here."
    )
    for k, place in enumerate(rope.walk[1:-1], start=1):
        onto = over(drawn, rope, k)
        yield (
            f"Part {rope.first + k - 1}: lead the rope{onto} to {spot(drawn, place)} and round "
            f"{sheave(drawn, rope, k)}. Part {rope.first + k} begins here."
        )
    yield _ending(drawn, rope, ends.get(len(rope.walk) - 1))


def over(drawn: Drawn, rope: Rope, part: int) -> str:
    """ " over what lies on the edge at 6.20 m of the path"; "" for a part (from 1) that touches nothing
    yet."""
    led = rope.over
    if led is None:
        return ""
    site = drawn.site
    found = [e for e in edges(site, led) if part in e.parts and lay_at(site, led, e) is None]
    if found and len(drawn.edges) == 1:
        return " over what lies on the edge"
    places = [where(edge, drawn.site.preferences.units) for edge in found]
    return f" over what lies on {names(places)}" if places else ""


def _ending(drawn: Drawn, rope: Rope, end: Hung | None) -> str:
    """The last part: to the puller, to the grip, or round a trunk."""
    place, onto = rope.walk[-1], over(drawn, rope, len(rope.walk) - 1)
    if rope.turns:
        return (
            f"Part {rope.last}: lead the rope{onto} to {spot(drawn, place)} and take {turns(rope)} round "
            "the trunk, side by side, none over another. The hand takes the tail and stands where the "
            "plan shows it."
        )
    if place.kind is PlaceKind.GRIP:
        return _gripped(drawn, rope)
    how = f" ({end.how})" if end is not None else ""
    joined = [h.item for h in rope.gear if h.nodes == (-1,)]
    by = f" by {names(joined)}" if joined else ""
    return (
        f"Part {rope.last}: lead the rope{onto} to {spot(drawn, place)} and make it fast{by}{how}."
    )


def _gripped(drawn: Drawn, rope: Rope) -> str:
    """The grip on the hauling part, and how far along it stands at the start."""
    before, towards = rope.walk[-2], hauled_to(drawn)
    gripped = next(h.how.partition(",")[0] for h in rope.gear if h.role is Role.GRIP)
    return (
        f"Part {rope.last}: lead the rope from {spot(drawn, before)} towards {spot(drawn, towards)} and "
        f"pull the slack out by hand. Make the grip {drawn.letter(rope.walk[-1])} fast on it "
        f"({gripped}), {grip_from(drawn, rope, drawn.begin)}. Let the tail beyond the grip lie free."
    )


def grip_from(drawn: Drawn, rope: Rope, station: int) -> str:
    """Where on the rope the grip is with the load at a station."""
    before, grip = rope.near[station, -2:]
    gap = float(((grip - before) ** 2).sum() ** 0.5)
    return f"about {length(drawn, round(gap, 1))} from {spot(drawn, rope.walk[-2])}"


def hauled_to(drawn: Drawn) -> Place:
    """The anchor to which the grip is hauled."""
    rope = next(rope for rope in drawn.ropes if rope.pulled is PlaceKind.GRIP)
    return next(place for place in rope.walk if place.kind is not PlaceKind.GRIP)


def _order(hung: Hung) -> int:
    return _ROLES.index(hung.role) if hung.role in _ROLES else len(_ROLES)
