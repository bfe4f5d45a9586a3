"""Builds a setup from a filled rig: its figures, its pieces, its cautions."""

from dataclasses import replace

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.mechanics.resting import Rest
from optimiser.rig.cautions.hauling import cautions
from optimiser.rig.components import components, contacts, hung, weakest
from optimiser.rig.conditions import conditions
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.row import RigRow
from optimiser.rig.made_anchors import to_make
from optimiser.rig.setup import Setup, StationRow
from optimiser.rig.shared_trees import tied
from optimiser.rig.walk import parts
from optimiser.rig.where_it_stands import standing


def build_setup(filled: Filled, *, rank: int, warn: bool = True) -> Setup:
    """A filled rig as a result, cautions included if `warn`."""
    v = filled.variant
    row, scene = v.row, v.row.scene
    pieces = components(filled)
    least = weakest(pieces)
    main, *others = v.lines
    pull = row.line
    rows = profile(row)
    worst = max(rows, key=lambda r: r.pull)
    setup = Setup(
        rank=rank,
        walk=main.walk,
        from_m=float(scene.stations.at[0]),
        to_m=float(scene.stations.at[-1]),
        rope=v.rope,
        attachment=scene.attachment.name,
        puller=scene.puller,
        etas=main.etas,
        parts=parts(main.walk),
        ideal_advantage=worst.ideal_advantage,
        actual_advantage=worst.advantage,
        pull=pull.value,
        pull_at=pull.at,
        margin=least.margin,
        weakest=least.name,
        unrated=filled.unrated,
        rope_needed=v.rope_needed,
        rope_owned=sum(line.rope.length or 0.0 for line in v.lines),
        hauled=v.hauled,
        strokes=v.strokes,
        resets=v.resets,
        gear=hung(filled),
        components=pieces,
        profile=rows,
        cautions=(),
        marked_down=row.stands_badly,
        stops=v.stops,
        second=others[0] if others else None,
        main_rope=main.rope_needed if others else 0.0,
        main_gained=main.gained,
        moved=v.moved,
        gripped=v.gripped,
        if_stands=conditions(
            pieces,
            (use.piece.name for use in v.ropes),
            scene.puller.name,
            scene.site.preferences.margin_wanted,
        ),
        contacts=contacts(v),
        made=(*to_make(row), *tied(filled)),
        standing=standing(scene.site, scene.puller),
        steered=scene.guides[0] if len(scene.guides) == 1 and any(r.steer for r in rows) else None,
    )
    return replace(setup, cautions=cautions(scene.site, setup)) if warn else setup


def profile(row: RigRow) -> tuple[StationRow, ...]:
    """The state of the haul at every station, the worst over the spots of the puller and the ranges of
    the sheaves' efficiencies: ground reaction, side pull and steering line at the spot of the worst
    pull."""
    ev, corners = row.corners
    st = ev.scene.stations
    shape = (-1, len(st), len(ev.scene.spots))
    pull = ev.pull[corners].reshape(shape)
    at = np.arange(len(st))
    corner, spot = np.divmod(pull.swapaxes(0, 1).reshape(len(st), -1).argmax(axis=1), shape[2])

    def there(values: Array) -> Array:
        """(q, S) at the spot of the worst pull."""
        return np.asarray(values[corners].reshape(shape)[:, at, spot])

    reaction = there(ev.reaction).min(axis=0)
    advance, ideal = (there(values)[corner, at] for values in (ev.advance, ev.ideal_advance))
    leaning = there(ev.side_pull)
    most = leaning.argmax(axis=0)
    side_pull = np.copysign(leaning[most, at], there(ev.sideways)[most, at])
    steer = np.zeros(len(st))
    if ev.steering is not None:
        with np.errstate(invalid="ignore"):
            tended = (ev.steering.tension[corners] * ev.pull[corners]).reshape(shape)
        steer = tended.max(axis=(0, 2))
    legs = ev.scene.site.legs
    return tuple(
        StationRow(
            at=float(st.at[i]),
            slope=float(np.arcsin(st.slope_sin[i])),
            surface=legs[int(st.leg[i])].surface,
            pull=float(pull[corner[i], i, spot[i]]),
            ground_reaction=float(reaction[i]),
            side_pull=float(side_pull[i]),
            advantage=float(advance[i]),
            ideal_advantage=float(ideal[i]),
            runs_back=float(st.held_back[i]),
            runs_on=float(st.held_on[i]),
            rest=Rest(int(st.rest[i])),
            steer=float(steer[i]),
        )
        for i in range(len(st))
    )
