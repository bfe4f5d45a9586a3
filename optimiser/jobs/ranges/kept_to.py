"""The figures of a filled rig that have a limit, or that people go by, each as one number.

Of what has several parts (pieces, runs of rope, trunks beside them) every part is a figure by itself, so that
each moves evenly with where things stand, though which part is the worst may change.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.room import hardware
from optimiser.rig.ground import gaps
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.setup import Component
from optimiser.site.model import Site


class FigureKind(StrEnum):
    """What a figure is of; the names of the JSON answer."""

    MARGIN = "margin"
    ROPE = "rope_needed"
    PULL = "pull"
    SIDE_PULL = "side_pull"
    PAST = "clear_of_trunks"
    ABOVE = "clear_of_ground"
    NOSE = "nose_clear"
    ROOM = "room_for_gear"
    REACTION = "ground_reaction"
    OFF_RUN = "line_off_the_run"
    OFF_LEVEL = "line_off_level"
    REST = "rests"

    @property
    def worse(self) -> float:
        """+1 where more of it is worse, -1 where less is."""
        return 1.0 if self in _MORE_IS_WORSE else -1.0


_MORE_IS_WORSE = (
    FigureKind.ROPE,
    FigureKind.PULL,
    FigureKind.SIDE_PULL,
    FigureKind.OFF_RUN,
    FigureKind.OFF_LEVEL,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure, SI: `what` it is of, where there are several of its kind; `limit` that it must keep to,
    None where it has none of its own. `line`: the second line it is of, "" of the haul or way down."""

    kind: FigureKind
    what: str
    value: float
    limit: float | None
    line: str = ""

    @property
    def spare(self) -> float:
        """How far it is from its limit, negative beyond it; inf where it has none."""
        return float("inf") if self.limit is None else self.kind.worse * (self.limit - self.value)

    @property
    def badness(self) -> float:
        """What changes evenly with where things stand, more of it worse: of a margin its reciprocal, demand
        over capacity; of all else the value."""
        return 1.0 / self.value if self.kind is FigureKind.MARGIN else self.kind.worse * self.value

    def worse_by(self, badness: float) -> float:
        """By how much the value changes where it is by so much worse, 0 or more."""
        if self.kind is FigureKind.MARGIN:
            return self.value - 1.0 / (1.0 / self.value + badness)
        return badness


FigureKey = tuple[FigureKind, str]
"""By which the same figure of the same rig elsewhere is found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rigged:
    """A filled rig with what it loads; `pull`: at the end that is hauled on or held, N."""

    filled: Filled
    pieces: Sequence[Component]
    pull: float


def figures(rigged: Rigged) -> dict[FigureKey, Figure]:
    """Every figure of a rig that works."""
    out: dict[FigureKey, Figure] = {}
    for key, figure in (*_of_gear(rigged), *_of_states(rigged), *_of_ground(rigged)):
        out[figure.kind, key] = figure
    return out


def of_line(
    found: Mapping[FigureKey, Figure], number: int, name: str, *, steers: bool
) -> dict[FigureKey, Figure]:
    """The figures of a second line of the rig, beside those of its haul. There is no limit of its pull; where
    it steers, none of how far it pulls aside, which is what it is for."""
    left_out = {FigureKind.PULL}
    if steers:
        left_out |= {FigureKind.SIDE_PULL, FigureKind.REACTION}
    return {
        (kind, f"line {number} {key}"): replace(
            figure, what=f"{figure.what}, {name}".lstrip(", "), line=name
        )
        for (kind, key), figure in found.items()
        if kind not in left_out
    }


def resting(site: Site) -> dict[FigureKey, Figure]:
    """Of each leg on which the load rests by itself what is to spare before it may not: the resistance that
    is counted on less what the slope asks for, per newton of weight."""
    stations, out = lay_stations(site), {}
    spare = stations.resistance_sure * stations.slope_cos - np.abs(stations.slope_sin)
    for number in np.unique(stations.leg).tolist():
        least = float(spare[stations.leg == number].min())
        words = f"leg {number + 1}"
        if least >= 0.0:
            out[FigureKind.REST, words] = _figure(FigureKind.REST, words, least, 0.0)
    return out


def _of_gear(rigged: Rigged) -> Iterator[tuple[str, Figure]]:
    variant = rigged.filled.variant
    wanted = variant.row.scene.site.preferences.margin_wanted
    for number, piece in enumerate(rigged.pieces):
        if piece.capacity is not None and piece.demand > 0.0:
            key = f"{number} {piece.role} {piece.item}"
            yield key, _figure(FigureKind.MARGIN, piece.name, piece.margin, wanted)
    for line in variant.lines:
        length = line.rope.length
        yield line.rope.name, _figure(FigureKind.ROPE, line.rope.name, line.rope_needed, length)
    yield "", _figure(FigureKind.PULL, "", rigged.pull, None)
    for number, (_, nodes, most) in enumerate(variant.room()):
        taken = sum(hardware(rigged.filled, node) for node in nodes)
        yield str(number), _figure(FigureKind.ROOM, "", most - taken, 0.0)


def _of_states(rigged: Rigged) -> Iterator[tuple[str, Figure]]:
    """Of what the verdict looks at, the worst over all states; side pull leg by leg, each with its limit."""
    row = rigged.filled.variant.row
    leg = row.scene.stations.leg
    ev, _ = row.corners
    for look, rows in enumerate(row.looks):
        if Fault.SLEWS in ev.faults:
            legs, side = leg[ev.states.station], ev.side_pull[rows]
            for number in np.unique(legs).tolist():
                here = legs == number
                limit = float(ev.side_limit[here].max())
                most = float(side[:, here].max())
                yield f"{look} {number}", _figure(FigureKind.SIDE_PULL, "", most, limit)
        if Fault.LIFTS_OFF in ev.faults:
            least = float(np.nanmin(ev.reaction[rows]))
            yield str(look), _figure(FigureKind.REACTION, "", least, 0.0)
        puller = row.scene.puller
        for fault, kind, limit in (
            (Fault.OFF_RUN, FigureKind.OFF_RUN, puller.angle_limit),
            (Fault.OFF_LEVEL, FigureKind.OFF_LEVEL, puller.rise_limit),
        ):
            if fault in ev.faults and (most := float(_angle(ev, fault)[rows].max())) > 0.0:
                yield str(look), _figure(kind, "", most, limit)


def _angle(ev: Evaluation, fault: Fault) -> Array:
    off_run, off_level = ev.hauling_angles
    return off_run if fault is Fault.OFF_RUN else off_level


def _of_ground(rigged: Rigged) -> Iterator[tuple[str, Figure]]:
    row = rigged.filled.variant.row
    clearance = row.scene.site.preferences.clearance
    for gap in gaps.of_runs(row.scene, row.runs):
        if gap.past:
            key = f"{gap.run} {gap.past}"
            yield key, _figure(FigureKind.PAST, gap.past, gap.least, clearance)
        else:
            yield str(gap.run), _figure(FigureKind.ABOVE, "", gap.least, clearance)
    for anchor, least in gaps.of_nose(row.scene, row.runs):
        yield anchor, _figure(FigureKind.NOSE, anchor, least, 0.0)


def _figure(kind: FigureKind, what: str, value: float, limit: float | None) -> Figure:
    return Figure(kind=kind, what=what, value=value, limit=limit)
