"""Lists what is done between two stages, or between a haul and a way down: which pieces change their
place, and how the load stands meanwhile."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from math import acos

import numpy as np

from optimiser.jobs.stages.results import Change, Move
from optimiser.mechanics.ground.rest import start_along
from optimiser.mechanics.resting import Rest
from optimiser.rig.ground.stations import station_at
from optimiser.rig.setup import HoldingLine, Hung, LoweringSetup, Role, Setup
from optimiser.rig.walk import LOAD
from optimiser.rig.where_it_stands import short
from optimiser.site.model import Site

ROLES = (
    Role.PULLER,
    Role.HOLD,
    Role.PROTECTOR,
    Role.STRAP,
    Role.LEG,
    Role.SHACKLE,
    Role.HOOK,
    Role.BLOCK,
    Role.EXTENSION,
    Role.BEND,
    Role.GRIP,
    Role.TIE,
    Role.END,
    Role.TURNS,
)
"""Roles of pieces in the order in which they are hung."""
_ENDS = (Role.TIE, Role.END)
SECOND = "the second line's "
"""Before the name of a rope that holds or steers, so that its ends are not those of the hauling rope."""


Rig = Setup | LoweringSetup


def change(site: Site, before: Rig, after: Rig, why_here: str) -> Change:
    """The change from one stage to the next, or from one trip of the load to the next. `site` rises along its
    path where the load is let down."""
    st = station_at(site, after.from_m)
    spare = start_along(
        weight=st.resting,
        slope_sin=np.abs(st.slope_sin),
        slope_cos=st.slope_cos,
        resistance_sure=st.resistance_sure,
    )
    flat = st.along[:, :2] / np.linalg.norm(st.along[:, :2], axis=1)[:, None]
    turns = acos(max(-1.0, min(1.0, float(flat[0] @ flat[-1]))))
    moved, stays = moves(before, after)
    return Change(
        at=after.from_m,
        moves=moved,
        stays=stays,
        rest=Rest(int(st.rest.max())),
        runs_back=float(st.held_back.max()),
        runs_on=float(st.held_on.max()),
        to_spare=float(spare.min()),
        turns=turns,
        why_here=why_here,
    )


def moves(before: Rig, after: Rig) -> tuple[tuple[Move, ...], tuple[Move, ...]]:
    """(pieces that change their place, what stays where it is). Equal pieces are one kind: of those
    as many stay as hang in the same place in both stages."""
    old, new = _pieces(before), _pieces(after)
    same = old & new
    gone, come = _by_item(old - same), _by_item(new - same)
    out = list(_pull_and_hold(before, after))
    for key in sorted({*gone, *come}, key=lambda k: (ROLES.index(k[0]), k[1])):
        role, item = key
        sources, targets = gone.get(key, []), come.get(key, [])
        for i in range(max(len(sources), len(targets))):
            out.append(
                Move(
                    item=item,
                    role=role,
                    origin=sources[i] if i < len(sources) else None,
                    target=targets[i] if i < len(targets) else None,
                )
            )
    stays = [
        Move(item=i, role=r, origin=p, target=p) for r, i, p in sorted(same.elements(), key=_rank)
    ]
    return tuple(out), tuple(stays)


def _pull_and_hold(before: Rig, after: Rig) -> Iterator[Move]:
    """A change of the puller, and of where the line takes hold of the load."""
    hauls = isinstance(before, Setup) and isinstance(after, Setup)
    pulling = "the pulling" if hauls else "who is at the end of the rope"
    for role, item, origin, target in (
        (Role.PULLER, pulling, _from_where(before), _from_where(after)),
        (Role.HOLD, "the hold on the load", before.attachment, after.attachment),
    ):
        if origin != target:
            yield Move(item=item, role=role, origin=origin, target=target)


def _from_where(setup: Rig) -> str:
    """What pulls or holds, and from where, if that was left to the search."""
    puller = setup.puller if isinstance(setup, Setup) else setup.holder
    if puller is None:
        return "a hand behind the turns"
    return puller.name if setup.standing is None else f"{puller.name} {short(setup.standing)}"


def _rank(piece: tuple[Role, str, str]) -> tuple[int, str, str]:
    return ROLES.index(piece[0]), piece[1], piece[2]


def _pieces(setup: Rig) -> "Counter[tuple[Role, str, str]]":
    found = Counter(piece for hung in setup.gear for piece in _piece(setup, hung))
    holding = setup.holding if isinstance(setup, Setup) else ()
    return found + Counter(_of_second_line(line, hung) for line in holding for hung in line.gear)


def _of_second_line(line: HoldingLine, hung: Hung) -> tuple[Role, str, str]:
    """A piece of a holding or steering line, with its place: at the load with the hitch, which need not be
    that of the haul."""
    if hung.place == str(LOAD):
        hung = replace(hung, place=f"the {LOAD} at {line.attachment}")
    if hung.role is Role.TURNS:
        return Role.TURNS, f"{SECOND}turns of {hung.item}", f"{hung.place}: {hung.how}"
    if hung.role in _ENDS:
        return Role.END, f"{SECOND}standing end of {hung.item}", f"{hung.place}: {hung.how}"
    return hung.role, hung.item, hung.place


def _piece(setup: Rig, hung: Hung) -> list[tuple[Role, str, str]]:
    if hung.role is Role.GRIP:
        return [
            (Role.GRIP, f"grip on {hung.item}", f"its hauling part: {hung.how.partition(',')[0]}")
        ]
    if hung.role in _ENDS:
        nodes, last = (
            (setup.nodes, "hauling end") if isinstance(setup, Setup) else (setup.walk, "held end")
        )
        which = last if len(nodes) - 1 in hung.nodes else "standing end"
        return [(Role.END, f"{which} of {hung.item}", f"{hung.place}: {hung.how}")]
    if hung.role is Role.TURNS:
        return [(Role.TURNS, f"turns of {hung.item}", f"{hung.place}: {hung.how}")]
    return [(hung.role, hung.item, hung.place)]


def _by_item(pieces: "Counter[tuple[Role, str, str]]") -> dict[tuple[Role, str], list[str]]:
    out: dict[tuple[Role, str], list[str]] = {}
    for role, item, place in sorted(pieces.elements()):
        out.setdefault((role, item), []).append(place)
    return out
