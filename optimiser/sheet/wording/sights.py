"""Words for what one sees when a rig is at its limit, with the force at the rope's end beside each sight."""

from collections.abc import Collection, Iterator
from math import isfinite

from catalogue.pullers import PulledBy
from optimiser.rig.setup import Role
from optimiser.sheet.shown.drawn import Drawn
from optimiser.site.model import AnchorKind, Puller
from shared.units import Rounding

_ANCHORS = {
    AnchorKind.TREE: "the top of a tree moves, it leans or shakes at its foot, or roots lift",
    AnchorKind.BOULDER: "the boulder rocks or slides",
    AnchorKind.BURIED_LOG: "the ground before the buried log heaves, or the log comes up",
    AnchorKind.PICKET_HOLDFAST: "a picket leans or lifts, or the ground before it heaves",
    AnchorKind.PARKED_VEHICLE: "the parked vehicle rolls, slides or lifts a wheel",
    AnchorKind.RING: "a ring bends, turns or works loose",
    AnchorKind.POST: "a post leans or shakes at its foot",
    AnchorKind.STUMP: "a stump tilts, or its roots lift",
    AnchorKind.SHARED: "either of two trees that share the pull leans or shakes at its foot, or the shackle "
    "on their sling sticks",
    AnchorKind.OTHER: "an anchor moves",
}
_PULLERS = {
    PulledBy.VEHICLE: "the wheels of {who} spin, or it stalls, slides or lifts a wheel",
    PulledBy.PEOPLE: "the feet of {who} slip, or they stand still",
    PulledBy.HAND_WINCH: "{who} will not turn, slips back or moves",
}
_TIES = (Role.STRAP, Role.TIE, Role.LEG, Role.EXTENSION)
_ROPES = (Role.ROPE, Role.SHEAVE, Role.END, Role.BEND)


def on_anchors(drawn: Drawn) -> Iterator[str]:
    """What anchors of each kind do, with each one's limit."""
    for kind, sight in _ANCHORS.items():
        listed = []
        for anchor in drawn.site.anchors:
            if anchor.kind is kind and anchor.name in drawn.used_anchors:
                letter = drawn.letters.get(("anchor", anchor.name))
                name = " ".join(filter(None, (letter, anchor.name)))
                items = (anchor.name,) if anchor.sling is None else anchor.sling.trees
                limit = _limit(drawn, (Role.ANCHOR,), items)
                listed.append(f"{name}, {limit}" if limit else name)
        if listed:
            yield f"Stop when {sight}: {'; '.join(listed)}."


def on_gear(drawn: Drawn) -> Iterator[str]:
    """What straps, ropes and blocks do, with the least limit of each."""
    yield f"Stop when a strap or chain slides or slips{_beside(drawn, _TIES)}."
    yield (
        f"Stop when a strand breaks or a knot creeps{_beside(drawn, _ROPES)}, a block turns over or the rope "
        f"jumps its sheave{_beside(drawn, (Role.BLOCK,))}."
    )


def on_puller(drawn: Drawn, puller: Puller) -> str:
    """What the one that pulls does, with its limit."""
    sight = _PULLERS[puller.kind].format(who=puller.name)
    run_up = " Do not make up for it with a run-up." if puller.kind is PulledBy.VEHICLE else ""
    return f"Stop when {sight}{_beside(drawn, (Role.PULLER,))}.{run_up}"


def _beside(drawn: Drawn, roles: tuple[Role, ...]) -> str:
    limit = _limit(drawn, roles)
    return f" ({limit})" if limit else ""


def _limit(drawn: Drawn, roles: tuple[Role, ...], items: Collection[str] | None = None) -> str:
    """ "limit 1.84 kN": the least force at the rope's end at which such a piece is at its limit; "" where
    there is none, or it is of another rope."""
    pieces = [p for p in drawn.components if p.role in roles and (items is None or p.item in items)]
    if any(piece.capacity is None for piece in pieces):
        return "NOT RATED"
    least = min((float(drawn.limit_of(piece).min()) for piece in pieces), default=float("inf"))
    return f"limit {drawn.force_worded(least, Rounding.DOWN)}" if isfinite(least) else ""
