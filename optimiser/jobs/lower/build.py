"""Builds the typed result of a way down from a filled hold."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np

from optimiser.jobs.lower.cautions import cautions
from optimiser.jobs.lower.results import HoldRow, LoweringSetup
from optimiser.jobs.lower.words import round_turns
from optimiser.jobs.lower.zones import pushes
from optimiser.mechanics.resting import Rest
from optimiser.mechanics.values import Factor
from optimiser.rig.components import components, contacts, hung, weakest
from optimiser.rig.conditions import conditions
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.row import HoldOn, RigRow
from optimiser.rig.made_anchors import to_make
from optimiser.rig.setup import Component, Hung, Role
from optimiser.rig.shared_trees import tied
from optimiser.rig.walk import parts
from optimiser.rig.where_it_stands import standing
from shared.words import counted


def build(filled: Filled, *, rank: int, hand_source: str) -> LoweringSetup:
    """A filled rig as a result, cautions included. TypeError: it hauls."""
    v = filled.variant
    row, held = v.row, hold_of(v.row)
    rope = v.rope.gear
    assert v.rope.length is not None
    scene = row.scene
    walk = scene.walk(row.numbers)
    grip = grip_of(rope) if held.trunk is not None else None
    pieces = (_holder(row, hand_source), *_other_pieces(filled))
    least = weakest(pieces)
    rows = profile(row)
    setup = LoweringSetup(
        rank=rank,
        walk=walk,
        turns=held.turns,
        holder=scene.puller if held.trunk is None else None,
        from_m=float(scene.stations.at[-1]),
        to_m=float(scene.stations.at[0]),
        rope=v.rope,
        attachment=scene.attachment.name,
        etas=row.etas,
        parts=parts(walk),
        friction=0.0 if grip is None else grip.low,
        ratio=held.ratio,
        line=row.line.value,
        line_at=row.line.at,
        hand=row.hand.value,
        hand_least=0.0 if grip is None else row.line.value / grip.most_ratio(held.turns),
        hand_limit=held.limit,
        hand_source=hand_source,
        margin=least.margin,
        weakest=least.name,
        unrated=filled.unrated,
        rope_needed=v.rope_needed,
        rope_owned=v.rope.length,
        paid_out=paid_out(row),
        strokes=v.strokes,
        resets=v.resets,
        heat=0.0 if grip is None else heat(rows),
        dynamic=row.dynamic,
        gear=_hung(filled, row),
        components=pieces,
        profile=rows,
        cautions=(),
        contacts=contacts(v),
        made=(*to_make(row), *tied(filled)),
        standing=standing(scene.site, scene.puller) if held.trunk is None else None,
        if_stands=conditions(
            pieces, (v.rope.name,), scene.puller.name, scene.site.preferences.margin_wanted
        ),
    )
    return replace(setup, cautions=cautions(scene.site, setup))


def hold_of(row: RigRow) -> HoldOn:
    """How a rig that lets down is held. TypeError: it hauls."""
    if row.held is None:
        raise TypeError("a way down is a rig that is held")
    return row.held


def paid_out(row: RigRow) -> float:
    """Rope let out from the top to the bottom of the stretch, m."""
    ev = row.evaluation
    total = ev.total_length[row.index][ev.states.spot == 0]
    return float(np.maximum.accumulate(total[::-1])[-1] - total[-1])


def heat(rows: tuple[HoldRow, ...]) -> float:
    """J that go into rope and bark at the turns: tension times rope let out, from top to bottom."""
    return sum(
        max(below.rope_out - above.rope_out, 0.0) * (above.line + below.line) / 2.0
        for above, below in pairwise(rows)
    )


def profile(row: RigRow) -> tuple[HoldRow, ...]:
    """The state of the lowering at every station, from the top down."""
    scene, held = row.scene, hold_of(row)
    (ev, corners), looks = row.corners, row.looks
    rated = looks[0]
    st, spots = scene.stations, len(scene.spots)
    shape = (-1, len(st), spots)

    def worst(values: np.ndarray) -> np.ndarray:
        return np.asarray(values.reshape(shape).max(axis=(0, 2)))

    control = worst(ev.pull[rated])
    line = worst(ev.pull[corners])
    side = worst(ev.side_pull[corners])
    reaction = -worst(-ev.reaction[corners])
    out = ev.total_length[corners.start].reshape(len(st), spots)[:, 0]
    force, push = st.held_back, pushes(st)
    by_hand = held.trunk is not None
    legs = scene.site.legs
    return tuple(
        HoldRow(
            at=float(st.at[s]),
            slope=float(np.arcsin(st.slope_sin[s])),
            surface=legs[int(st.leg[s])].surface,
            rest=Rest(int(st.rest[s])),
            runs=float(force[s]),
            push=float(push[s]),
            line=float(line[s]),
            control=float(control[s]),
            hand=float(line[s] / held.ratio) if by_hand else None,
            ground_reaction=float(reaction[s]),
            side_pull=float(side[s]) if line[s] > 0.0 else 0.0,
            rope_out=float(out[s]),
        )
        for s in range(len(st) - 1, -1, -1)
    )


def _holder(row: RigRow, source: str) -> Component:
    """The hand behind the turns, or the puller that pays out."""
    held, scene = hold_of(row), row.scene
    if held.trunk is None:
        puller, use = scene.puller, row.puller_use
        limit = row.line.value / use.value
        return Component(
            role=Role.HOLDER,
            name=f"{puller.name}: hold",
            item=puller.name,
            place=puller.name,
            demand=row.line.value,
            at=use.at,
            capacity=limit,
            unit="N",
            factors=puller.limit_factors,
            note="what it pulls, over slope, rise and run, is what it is trusted to hold",
        )
    anchor = scene.site.anchors[held.trunk].name
    rope = row.scene.places[row.numbers[-1]]
    return Component(
        role=Role.HOLDER,
        name=f"hand on the rope behind {round_turns(held.turns)} round {anchor}",
        item="hand",
        place=str(rope),
        demand=row.hand.value,
        at=row.hand.at,
        capacity=held.limit,
        unit="N",
        factors=(
            Factor(
                name="what the hand is asked for at most", value=held.limit, unit="N", source=source
            ),
            Factor(
                name="line over hand, by the turns",
                value=held.ratio,
                unit="",
                source="beer-johnston",
            ),
        ),
        note="the steady force; nothing is allowed for a jerk on the hand",
    )


def _other_pieces(filled: Filled) -> Iterator[Component]:
    """Components as in hauling, less the puller's pull."""
    return (piece for piece in components(filled) if piece.role is not Role.PULLER)


def _hung(filled: Filled, row: RigRow) -> tuple[Hung, ...]:
    held, last = hold_of(row), len(row.numbers) - 1
    out = []
    for piece in hung(filled):
        if held.trunk is not None and piece.role is Role.END and piece.nodes == (last,):
            how = f"{counted(held.turns, 'round turn')}, eased out by hand"
            place = str(row.scene.places[row.numbers[-1]])
            out.append(Hung(place=place, role=Role.TURNS, item=piece.item, how=how, nodes=(last,)))
        else:
            out.append(piece)
    return tuple(out)
