"""Turns holding and steering lines into ropes that are drawn."""

from collections.abc import Sequence

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.forces.holders import hand
from optimiser.rig.ground.attachments import Attachment, attachments
from optimiser.rig.ground.keepout import Area
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import path_length
from optimiser.rig.laid_edges import holding as held_over
from optimiser.rig.setup import HoldingLine, Way
from optimiser.sheet.drawing.style import Line
from optimiser.sheet.shown.lying import At, areas_of
from optimiser.sheet.shown.ropes import HOLDING, STEERING, Rope, bent, lies, positions
from optimiser.site.model import Site
from optimiser.site.turned import turned

_NEAR = 1e-6


def called(lines: Sequence[HoldingLine]) -> list[str]:
    """What each line is called; several of a kind are numbered."""
    kinds = [STEERING if line.way is Way.ASIDE else HOLDING for line in lines]
    return [
        kind if kinds.count(kind) == 1 else f"{kind} {kinds[: i + 1].count(kind)}"
        for i, kind in enumerate(kinds)
    ]


def drawn_line(scene: Scene, line: HoldingLine, name: str, first: int, style: Line) -> Rope:
    """A holding or steering line of the haul of a scene; `first`: the number of its first part."""
    where = positions(scene, line.walk, hitch(scene, line))
    at = scene.stations.at
    used = np.flatnonzero((at >= line.from_m - _NEAR) & (at <= line.to_m + _NEAR))
    # A steering line has no more on any part than in front of its turns; a sheave may add friction.
    whole = max((c.demand for c in line.components if c.item == line.rope.name), default=line.line)
    carries = np.full(len(line.walk) - 1, max(whole, line.line))
    carries[-1] = line.line
    return Rope(
        called=name,
        piece=line.rope,
        walk=line.walk,
        first=first,
        needed=line.rope_needed,
        style=style,
        near=where,
        far=where,
        gear=line.gear,
        shares=None,
        carries=carries,
        lies=lies(line.walk),
        turns=line.turns,
        holds=True,
        bent=bent(scene.site, line.walk, where, line.contacts),
        over=held_over(line) if line.contacts else None,
        used=(int(used[0]), int(used[-1])) if len(used) else (0, -1),
    )


def hitch(scene: Scene, line: HoldingLine) -> Array:
    """(S, 3) m where the line takes hold of the load. A line that eases the load on downhill is found on
    the path turned round: there a bridle's ring lies on the other side."""
    st, other = scene.stations, line.way is Way.ON
    site = turned(scene.site) if other else scene.site
    a: Attachment = next(a for a in attachments(site) if a.name == line.attachment)
    sign = -1.0 if other else 1.0
    up = np.array((0.0, 0.0, a.height))
    return np.asarray(st.point + sign * (a.ahead * st.along + a.left * st.across) + up)


def line_areas(site: Site, at: Array, line: HoldingLine) -> tuple[Area, ...]:
    """The keep-out areas of a holding line, and of a load that would run on downhill the way ahead of
    it: on the path turned round that is the way it runs back. Where it would run back by itself is the
    haul's to say."""
    inside = [float(a) for a in at if line.from_m - _NEAR <= a <= line.to_m + _NEAR]
    places = inside or [line.from_m, line.to_m]
    if line.way is not Way.ON:
        return areas_of(site, line.walk, hand(site), [At(at=a) for a in places])
    long = path_length(site)
    rows = [At(at=long - a, runs_back=line.force) for a in reversed(places)]
    return areas_of(turned(site), line.walk, hand(site), rows)
