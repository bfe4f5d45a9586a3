"""Every piece of a filled rig as a component: worst demand, where, what it stands and why."""

from collections.abc import Iterator
from dataclasses import replace

from catalogue.gear import Block, Rope
from optimiser.mechanics.values import Factor
from optimiser.rig.gear.assign import Filled, bridle_shackles
from optimiser.rig.gear.kit import bend_keeps, capacity, rope_capacity
from optimiser.rig.gear.room import hardware
from optimiser.rig.gear.row import Peak
from optimiser.rig.gear.slots import Join, RopeUse, Variant
from optimiser.rig.setup import Component, Hung
from optimiser.site.model import Owned
from shared.units import Dimension, show

JOIN = "the join"
"""The place of the bend between two ropes in a list of pieces."""


def components(filled: Filled) -> tuple[Component, ...]:
    """All components of the rig, the puller first, then along the rope from the standing end."""
    return (
        *_puller(filled),
        *_rope(filled),
        *_blocks(filled),
        *_shackles(filled),
        *_straps(filled),
        *_anchors(filled),
        *_load(filled),
    )


def weakest(parts: tuple[Component, ...]) -> Component:
    """The component with the least margin; of equals the first."""
    return min(parts, key=lambda part: part.margin)


def hung(filled: Filled) -> tuple[Hung, ...]:
    """Which owned piece hangs where."""
    v, out = filled.variant, []
    for place in v.strap_places:
        hanging = filled.straps[place]
        out.append(
            Hung(
                place=str(v.row.place(place)),
                role="strap",
                item=hanging.piece.name,
                how=hanging.how,
                nodes=v.row.anchored[place],
            )
        )
    for nodes, piece in sorted(filled.shackles.items()):
        out.append(
            Hung(
                place=_place_of(v, nodes),
                role="shackle",
                item=piece.name,
                how=_joins(v, nodes),
                nodes=nodes,
            )
        )
    for option in filled.blocks:
        out.append(
            Hung(
                place=str(v.row.place(option.place)),
                role="block",
                item=option.piece.name,
                how="hung in the shackle" if _eyed(option.piece) else "by its own hook",
                nodes=option.nodes,
            )
        )
    for i, piece in enumerate(filled.legs):
        hitch = v.row.scene.attachment.hitches[i].name
        out.append(
            Hung(
                place="load",
                role="bridle leg",
                item=piece.name,
                how=f"from {hitch} to the ring",
                nodes=v.row.on_load,
            )
        )
    out += _ends(filled)
    return tuple(out)


def _ends(filled: Filled) -> Iterator[Hung]:
    v = filled.variant
    joined = v.rope.joined
    if joined is not None and v.join is not None:
        first = str(v.row.place(v.row.numbers[0]))
        if joined.bend is None:
            yield Hung(
                place=first,
                role="extension",
                item=joined.first.name,
                how="pulled straight",
                nodes=(0,),
            )
        else:
            at = show(
                _bend_at(filled, v.join), Dimension.LENGTH, v.row.scene.site.preferences.units
            )
            yield Hung(
                place=JOIN,
                role="bend",
                item=v.rope.name,
                how=f"{joined.bend.name}, {at} from the standing end",
                nodes=(v.join.segment, v.join.segment + 1),
            )
    for rope in v.ropes:
        for end in rope.ends:
            yield Hung(
                place=end.place, role=end.role, item=rope.piece.name, how=end.how, nodes=(end.node,)
            )


def _bend_at(filled: Filled, join: Join) -> float:
    """m from the standing end to the bend: as far as the first rope reaches and the blocks allow."""
    *_, (_, nodes, _) = filled.variant.room()
    takes = sum(hardware(filled, node) for node in nodes)
    return max(min(join.most - takes, join.reach), join.least)


def _puller(filled: Filled) -> Iterator[Component]:
    row = filled.variant.row
    puller = row.scene.puller
    pull, use = row.hauling, row.puller_use
    limit = pull.value / use.value
    worst = use if abs(limit - puller.limit) > 1e-9 * puller.limit else pull
    yield Component(
        name=f"{puller.name}: pull",
        item=puller.name,
        place=puller.name,
        demand=use.value * limit,
        at=worst.at,
        capacity=limit,
        unit="N",
        factors=(
            *puller.limit_factors,
            Factor(
                name="least of it over slope, rise and run", value=limit, unit="N", source="statics"
            ),
        ),
    )
    if puller.needs_termination and not puller.has_hook:
        haul = row.tension(row.sheaves)
        yield _piece(
            f"{puller.name}: hitch",
            puller.name,
            puller.name,
            haul,
            puller.hitch_rating,
            (),
            row.dynamic,
        )


def _rope(filled: Filled) -> Iterator[Component]:
    v = filled.variant
    for use in v.ropes:
        yield from _one_rope(filled, use)


def _one_rope(filled: Filled, use: RopeUse) -> Iterator[Component]:
    v, rope = filled.variant, use.piece
    row, kind = v.row, rope.gear
    assert isinstance(kind, Rope)
    base = _rope_factors(rope)
    tight = row.tension(use.tightest)
    yield _piece(
        f"{rope.name}: the rope itself",
        rope.name,
        "",
        tight,
        rope_capacity(rope),
        base,
        row.dynamic,
    )
    for end in use.ends:
        knot = end.termination
        if knot is None:
            continue
        factors = (*base, Factor(name=knot.name, value=knot.keeps, unit="", source=knot.source))
        yield _piece(
            f"{rope.name}: {end.word}, {knot.name}",
            rope.name,
            end.place,
            row.tension(end.segment),
            rope_capacity(rope, keeps=knot.keeps),
            factors,
            row.dynamic,
        )
    if v.join is not None:
        yield _join(v, base)
    for option in filled.blocks:
        block = option.piece.gear
        assert isinstance(block, Block)
        bend = bend_keeps(kind, block)
        if option.nodes[0] in use.turns and bend is not None and bend < 1.0:
            tight = max((row.tension(n) for n in option.nodes), key=lambda peak: peak.value)
            ratio = block.sheave_diameter / kind.diameter
            factors = (
                *base,
                Factor(name=f"bend, D/d = {ratio:.1f}", value=bend, unit="", source="trade-bend"),
            )
            yield _piece(
                f"{rope.name}: over {option.piece.name}",
                rope.name,
                str(row.place(option.place)),
                tight,
                rope_capacity(rope, bend=bend),
                factors,
                row.dynamic,
            )


def _join(v: Variant, base: tuple[Factor, ...]) -> Component:
    """The bend between two ropes, or the strap or chain that lengthens one."""
    joined, join, row = v.rope.joined, v.join, v.row
    assert joined is not None
    assert join is not None
    peak = row.tension(join.segment)
    if joined.bend is None:
        piece, place = joined.first, str(row.place(row.numbers[0]))
        name = f"{piece.name}: lengthens the rope at its standing end"
        return _piece(
            name, piece.name, place, peak, v.join_strength, _wll_factors(piece), row.dynamic
        )
    bend = joined.bend
    factors = (*base, Factor(name=bend.name, value=bend.keeps, unit="", source=bend.source))
    name = f"{v.rope.name}: join, {bend.name}"
    return _piece(name, v.rope.name, JOIN, peak, v.join_strength, factors, row.dynamic)


def _rope_factors(piece: Owned) -> tuple[Factor, ...]:
    kind = piece.gear
    assert isinstance(kind, Rope)
    out = []
    if kind.mbs is not None:
        out.append(
            Factor(name="breaking strength, new", value=kind.mbs, unit="N", source=kind.source)
        )
        out.append(
            Factor(
                name="divided by design factor",
                value=kind.design_factor,
                unit="",
                source=kind.source,
            )
        )
    if kind.wll is not None:
        out.append(
            Factor(name="stated rating, not exceeded", value=kind.wll, unit="N", source=kind.source)
        )
    out.append(_condition(piece))
    return tuple(out)


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


def _blocks(filled: Filled) -> Iterator[Component]:
    row = filled.variant.row
    for option in filled.blocks:
        place = str(row.place(option.place))
        yield _piece(
            f"{option.piece.name} at {place}",
            option.piece.name,
            place,
            row.joint(option.nodes),
            capacity(option.piece),
            _wll_factors(option.piece),
            row.dynamic,
        )


def _shackles(filled: Filled) -> Iterator[Component]:
    v = filled.variant
    for nodes, piece in sorted(filled.shackles.items()):
        if nodes[0] <= -2:
            peak = v.row.hitch_use[-2 - nodes[0]][0]
        else:
            peak = v.row.tension(v.row.sheaves) if nodes == (-1,) else v.row.joint(nodes)
        place = _place_of(v, nodes)
        yield _piece(
            f"{piece.name} at {place}, {_joins(v, nodes)}",
            piece.name,
            place,
            peak,
            capacity(piece),
            _wll_factors(piece),
            v.row.dynamic,
        )


def _straps(filled: Filled) -> Iterator[Component]:
    v = filled.variant
    for place in v.strap_places:
        hanging = filled.straps[place]
        where = str(v.row.place(place))
        yield _piece(
            f"{hanging.piece.name} at {where}, {hanging.how}",
            hanging.piece.name,
            where,
            v.row.joint(v.row.anchored[place]),
            hanging.capacity,
            (*_wll_factors(hanging.piece), *hanging.factors),
            v.row.dynamic,
        )
    for i, piece in enumerate(filled.legs):
        peak = v.row.hitch_use[i][0]
        hitch = v.row.scene.attachment.hitches[i].name
        leg = _piece(
            f"{piece.name}, bridle leg from {hitch}",
            piece.name,
            "load",
            peak,
            capacity(piece),
            _wll_factors(piece),
            v.row.dynamic,
        )
        slack = v.row.slack_legs[i]
        if slack is None:
            yield leg
            continue
        units = v.row.scene.site.preferences.units
        begin, end = (show(at, Dimension.LENGTH, units) for at in slack)
        hangs = (
            f"HANGS SLACK with the load between {begin} and {end} of the path, where the other leg "
            "carries all"
        )
        yield replace(leg, note="; ".join(filter(None, (hangs, leg.note))))


def _anchors(filled: Filled) -> Iterator[Component]:
    row = filled.variant.row
    for a, (peak, strength) in row.anchor_use.items():
        anchor = row.scene.site.anchors[a]
        yield Component(
            name=f"{anchor.name} ({anchor.kind})",
            item=anchor.name,
            place=anchor.name,
            demand=peak.value,
            at=peak.at,
            capacity=strength,
            unit=anchor.strength.unit,
            factors=anchor.strength.factors,
            note=anchor.strength.governs,
        )


def _load(filled: Filled) -> Iterator[Component]:
    row = filled.variant.row
    for hitch, (peak, rating) in zip(row.scene.attachment.hitches, row.hitch_use, strict=True):
        yield _piece(f"load: hitch {hitch.name}", hitch.name, "load", peak, rating, (), row.dynamic)


def _piece(
    name: str,
    item: str,
    place: str,
    peak: Peak,
    strength: float | None,
    factors: tuple[Factor, ...],
    dynamic: float,
) -> Component:
    note = "" if dynamic == 1.0 else f"demand with dynamic factor {dynamic:g}"
    return Component(
        name=name,
        item=item,
        place=place,
        demand=peak.value,
        at=peak.at,
        capacity=strength,
        unit="N",
        factors=factors,
        note=note,
    )


def _place_of(v: Variant, nodes: tuple[int, ...]) -> str:
    if nodes[0] == -1:
        return v.row.scene.puller.name
    if nodes[0] <= -2:
        return "load"
    return str(v.row.place(v.row.numbers[nodes[0]]))


def _joins(v: Variant, nodes: tuple[int, ...]) -> str:
    if nodes[0] == -1:
        return "joins the rope's end to the hitch"
    if nodes[0] <= -2:
        return f"joins the bridle to {v.row.scene.attachment.hitches[-2 - nodes[0]].name}"
    at_end = any(nodes == (end.node,) for rope in v.ropes for end in rope.ends)
    what = "the standing end" if at_end else "the block"
    holder = {"load": "hitch", "grip": "grip"}.get(
        v.row.place(v.row.numbers[nodes[0]]).kind, "strap"
    )
    return f"joins {what} to the {holder}"


def _eyed(piece: Owned) -> bool:
    assert isinstance(piece.gear, Block)
    return piece.gear.eye is not None


__all__ = ["bridle_shackles", "components", "hung", "weakest"]
