"""Lists in words what a filled rig loads: each component with its worst demand, and the gear."""

from collections.abc import Iterator
from typing import assert_never

from catalogue.gear import Block, Rope, Termination
from optimiser.mechanics.values import Factor
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import eye_of
from optimiser.rig.gear.loads import (
    Bears,
    InLeg,
    Load,
    OfAnchor,
    OfHanging,
    OfHitch,
    OfPiece,
    OfPuller,
    OfPullerHitch,
    OfRope,
    worst,
)
from optimiser.rig.gear.room import hardware
from optimiser.rig.gear.slots import Join, Variant
from optimiser.rig.naming import edge_at
from optimiser.rig.setup import Component, Contact, Hung, Role
from optimiser.site.model import Owned, is_of
from shared.units import Dimension, show

JOIN = "the join"
"""The place of the bend between two ropes in a list of pieces."""


def components(filled: Filled) -> tuple[Component, ...]:
    """All components of the rig, the puller first, then along the rope from the standing end."""
    return tuple(_component(filled.variant, load) for load in filled.loads())


def weakest(parts: tuple[Component, ...]) -> Component:
    """The component with the least margin; of equals the first."""
    return min(parts, key=lambda part: part.margin)


# ---- components -----------------------------------------------------------------------------------


def _component(v: Variant, load: Load) -> Component:
    row, bears = v.row, load.bears
    assert bears is not None
    if isinstance(bears, OfPuller):
        return _pull(v, bears)
    peak = worst(row, load.force)
    anchor = bears.anchor if isinstance(bears, OfAnchor) else None
    notes = ["" if row.dynamic == 1.0 else f"demand with dynamic factor {row.dynamic:g}"]
    if load.role is Role.LEG and isinstance(load.force, InLeg):
        notes.insert(0, _slack(v, load.force))
    return Component(
        role=load.role,
        name=name_of(v, load),
        item=bears.name,
        place=place_of(v, load),
        demand=peak.value,
        at=peak.at,
        capacity=bears.capacity,
        unit="N" if anchor is None else anchor.strength.unit,
        factors=_factors(bears),
        note="; ".join(filter(None, notes)) if anchor is None else anchor.strength.governs,
    )


def _slack(v: Variant, force: InLeg) -> str:
    """Where a leg of the bridle hangs slack, in words; empty where it does not."""
    slack = v.row.slack_legs[force.leg]
    if slack is None:
        return ""
    units = v.row.scene.site.preferences.units
    begin, end = (show(at, Dimension.LENGTH, units) for at in slack)
    return (
        f"HANGS SLACK with the load between {begin} and {end} of the path, where the other leg "
        "carries all"
    )


def _pull(v: Variant, bears: OfPuller) -> Component:
    """The puller against the least that it can pull along the stretch."""
    row, puller = v.row, bears.puller
    pull, use = row.line, row.puller_use
    limit = pull.value / use.value
    peak = use if abs(limit - puller.limit) > 1e-9 * puller.limit else pull
    least = Factor(
        name="least of it over slope, rise and run", value=limit, unit="N", source="statics"
    )
    return Component(
        role=Role.PULLER,
        name=f"{puller.name}: pull",
        item=puller.name,
        place=puller.name,
        demand=use.value * limit,
        at=peak.at,
        capacity=limit,
        unit="N",
        factors=(*puller.limit_factors, least),
    )


def name_of(v: Variant, load: Load) -> str:
    """A load in words, as component tables print it."""
    bears, place = load.bears, place_of(v, load)
    match bears:
        case OfRope(rope, knot, block):
            return f"{rope.name}: {_of_rope(load, knot, block)}"
        case OfHanging(hanging):
            return f"{hanging.piece.name} at {place}, {hanging.how}"
        case OfAnchor(anchor):
            return f"{anchor.name} ({anchor.kind})"
        case OfHitch(hitch):
            return f"load: hitch {hitch.name}"
        case OfPullerHitch(puller):
            return f"{puller.name}: hitch"
        case OfPuller(puller):
            return f"{puller.name}: pull"
        case OfPiece(piece):
            return f"{piece.name}{_of_piece(v, load, place)}"
        case None:
            raise ValueError(f"no piece is chosen for the {load.role} at {place}")
        case _:
            assert_never(bears)


def _of_rope(load: Load, knot: Termination | None, block: Owned[Block] | None) -> str:
    if block is not None:
        return f"over {block.name}"
    if knot is None:
        return "the rope itself"
    return f"join, {knot.name}" if load.role is Role.BEND else f"{load.word}, {knot.name}"


def _of_piece(v: Variant, load: Load, place: str) -> str:
    if load.role is Role.EXTENSION:
        return ": lengthens the rope at its standing end"
    if load.role is Role.LEG and isinstance(load.force, InLeg):
        return f", bridle leg from {_hitch(v, load.force)}"
    if load.role is Role.SHACKLE:
        return f" at {place}, {_joins(v, load.nodes)}"
    return f" at {place}"


def _factors(bears: Bears) -> tuple[Factor, ...]:
    match bears:
        case OfRope(rope, knot):
            return (*_rope_factors(rope), *_over(bears), *_knot(knot))
        case OfPiece(piece):
            return _wll_factors(piece)
        case OfHanging(hanging):
            piece = hanging.piece
            own = _rope_factors(piece) if is_of(piece, Rope) else _wll_factors(piece)
            return (*own, *hanging.factors)
        case OfAnchor(anchor):
            return anchor.strength.factors
        case OfHitch() | OfPullerHitch() | OfPuller():
            return ()
        case _:
            assert_never(bears)


def _rope_factors(piece: Owned[Rope]) -> tuple[Factor, ...]:
    kind = piece.gear
    out = []
    if kind.mbs is not None:
        out += [
            Factor(name="breaking strength, new", value=kind.mbs, unit="N", source=kind.source),
            Factor(
                name="divided by design factor",
                value=kind.design_factor,
                unit="",
                source=kind.source,
            ),
        ]
    if kind.wll is not None:
        out.append(
            Factor(name="stated rating, not exceeded", value=kind.wll, unit="N", source=kind.source)
        )
    return (*out, _condition(piece))


def _over(bears: OfRope) -> tuple[Factor, ...]:
    """What the sheave of a block leaves of the rope."""
    if bears.block is None:
        return ()
    rope, block = bears.rope.gear, bears.block.gear
    name = f"bend, D/d = {block.sheave_diameter / rope.diameter:.1f}"
    return (Factor(name=name, value=bears.over, unit="", source="trade-bend"),)


def _knot(knot: Termination | None) -> tuple[Factor, ...]:
    """What an end, or the bend between two ropes, leaves of the rope."""
    if knot is None:
        return ()
    return (Factor(name=knot.name, value=knot.keeps, unit="", source=knot.source),)


def _condition(piece: Owned) -> Factor:
    return Factor(
        name=f"condition: {piece.condition.name}",
        value=piece.condition.keeps,
        unit="",
        source=piece.condition.source,
    )


def _wll_factors(piece: Owned) -> tuple[Factor, ...]:
    wll = piece.gear.wll
    if piece.unrated or wll is None:
        return ()
    return (Factor(name="WLL", value=wll, unit="N", source=piece.gear.source), _condition(piece))


# ---- where ----------------------------------------------------------------------------------------


def place_of(v: Variant, load: Load) -> str:
    """The place of a load in words; empty for a rope as a whole."""
    match load.role:
        case Role.ROPE:
            return ""
        case Role.BEND:
            return JOIN
        case Role.LEG | Role.HITCH:
            return "load"
        case Role.PULLER | Role.PULLER_HITCH:
            return v.row.scene.puller.name
        case Role.ANCHOR:
            assert load.bears is not None
            return load.bears.name
        case _:
            return _at(v, load.nodes)


def _at(v: Variant, nodes: tuple[int, ...]) -> str:
    """The place of some nodes; (-1,) is the puller's hitch, (-2 - i,) a bridle's hitch i."""
    if nodes[0] == -1:
        return v.row.scene.puller.name
    if nodes[0] <= -2:
        return "load"
    return str(v.row.place(v.row.numbers[nodes[0]]))


def _hitch(v: Variant, force: InLeg) -> str:
    return v.row.scene.attachment.hitches[force.leg].name


def _joins(v: Variant, nodes: tuple[int, ...]) -> str:
    """What a shackle joins."""
    if nodes[0] == -1:
        return "joins the rope's end to the hitch"
    if nodes[0] <= -2:
        return f"joins the bridle to {v.row.scene.attachment.hitches[-2 - nodes[0]].name}"
    at_end = any(nodes == (end.node,) for rope in v.ropes for end in rope.ends)
    what = "the standing end" if at_end else "the block"
    on_load = "bridle's legs" if v.row.scene.attachment.bridled else "hitch"
    hangs = "sling, on which it runs" if nodes[0] in v.row.slung else "strap"
    holder = {"load": on_load, "grip": "grip"}.get(v.row.place(v.row.numbers[nodes[0]]).kind, hangs)
    return f"joins {what} to the {holder}"


# ---- the list of gear -----------------------------------------------------------------------------

_ORDER = (Role.STRAP, Role.SHACKLE, Role.BLOCK, Role.LEG, Role.EXTENSION, Role.BEND)


def hung(filled: Filled) -> tuple[Hung, ...]:
    """Lists which owned piece hangs where, and how the ropes' ends are made fast."""
    v = filled.variant
    loads = sorted(
        (load for load in filled.loads() if load.role in _ORDER),
        key=lambda load: _ORDER.index(load.role),
    )
    pieces = tuple(
        Hung(
            place=place_of(v, load),
            role=load.role,
            item=load.bears.name,
            how=_how(filled, load),
            nodes=load.nodes,
        )
        for load in loads
        if load.bears is not None
    )
    ends = (
        Hung(place=end.place, role=end.role, item=rope.piece.name, how=end.how, nodes=(end.node,))
        for rope in v.ropes
        for end in rope.ends
    )
    return (*_laid(v), *pieces, *ends)


def _laid(v: Variant) -> Iterator[Hung]:
    """What lies on edges, one entry a piece."""
    units = v.row.scene.site.preferences.units
    for piece, place in v.laid:
        for _ in range(place.pieces):
            yield Hung(
                place=edge_at(place.begin, place.end, units),
                role=Role.PROTECTOR,
                item=piece.name,
                how=piece.gear.fixing,
                nodes=(),
            )


def contacts(v: Variant) -> tuple[Contact, ...]:
    """Where the rope runs over edges."""
    edging, high = v.row.scene.edging, 0 if v.row.lets_down else 1
    return tuple(
        Contact(
            part=touch.part + 1,
            from_m=touch.at,
            to_m=touch.at,
            left_from=touch.left[0],
            left_to=touch.left[1],
            angle=touch.angle,
            friction=edging.friction(touch.on)[high],
            force=touch.force,
            shift=touch.shift,
            load_from=touch.load[0],
            load_to=touch.load[1],
            protector=edging.protector.name
            if touch.laid and edging.protector is not None
            else touch.on.name,
            owned=edging.protector if touch.laid else None,
        )
        for touch in v.row.touches
    )


def _how(filled: Filled, load: Load) -> str:
    """How a piece hangs, or a bend lies."""
    v = filled.variant
    match load.bears, load.force:
        case OfHanging(hanging), _:
            return hanging.how
        case OfRope(knot=Termination() as bend), _ if v.join is not None:
            units = v.row.scene.site.preferences.units
            at = show(_bend_at(filled, v.join), Dimension.LENGTH, units)
            return f"{bend.name}, {at} from the standing end"
        case OfPiece(), InLeg() as leg if load.role is Role.LEG:
            return f"from {_hitch(v, leg)} to the ring"
        case OfPiece(piece), _ if is_of(piece, Block):
            return "by its own hook" if eye_of(piece) is None else "hung in the shackle"
        case _ if load.role is Role.EXTENSION:
            return "pulled straight"
        case _:
            return _joins(v, load.nodes)


def _bend_at(filled: Filled, join: Join) -> float:
    """m from the standing end to the bend: as far as the first rope reaches and the blocks allow."""
    *_, (_, nodes, _) = filled.variant.room()
    takes = sum(hardware(filled, node) for node in nodes)
    return max(min(join.most - takes, join.reach), join.least)
