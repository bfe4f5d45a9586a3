"""Defines what the rope does in walks: forces, lengths and limits of many at once, at every station.

Walks of equal length are rows of place numbers of a scene, from the standing end to the puller; each
sheave has its own efficiency. The last axis of the arrays here is "state": every station with the
puller at every spot of its run.
"""

from dataclasses import dataclass, fields, replace
from functools import cached_property
from itertools import product
from typing import Any, ClassVar, Self

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.ground import moving, step
from optimiser.rig.forces import slung, ways
from optimiser.rig.forces.courses import Course
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.slung import AtSling
from optimiser.rig.forces.verdict import HAULING, LETTING_DOWN, Fault, Verdict
from optimiser.rig.ground import clearance
from optimiser.rig.ground.pulling import line_angles
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene
from optimiser.rig.ground.steering import Steering, steering


@dataclass(frozen=True)
class States:
    """Every station with the puller at every spot: arrays of length S * R, station by station."""

    station: Numbers
    spot: Numbers

    @staticmethod
    def of(scene: Scene) -> "States":
        count, spots = len(scene.stations), len(scene.spots)
        return States(np.repeat(np.arange(count), spots), np.tile(np.arange(spots), count))


@dataclass(frozen=True)
class OverEdges:
    """How the segments of n walks run over edges, arrays (m + 1, ..., n, X) from the standing end to the
    puller: `ends` (m + 1, 3, n, X) the way in which each comes to its end; `passed` its tension where it
    begins / where it ends; `first`, `last` m from its two ends to where it bends first; `bent`: it does.
    `rubs` (K, n, 1): by what power of e tension falls along the walk for each rad turned on each kind."""

    ends: Array
    passed: Array
    first: Array
    last: Array
    bent: Mask
    rubs: Array

    def pick(self, rows: slice) -> "OverEdges":
        """Some of the walks."""
        return OverEdges(*(getattr(self, f.name)[..., rows, :].copy() for f in fields(self)))

    def joined(self, other: "OverEdges") -> "OverEdges":
        """The walks, and after them those of another."""
        names = [f.name for f in fields(self)]
        pairs = ((getattr(self, name), getattr(other, name)) for name in names)
        return OverEdges(*(np.concatenate(pair, axis=-2) for pair in pairs))


@dataclass(frozen=True)
class Evaluation:
    """What the rope does, for n walks of m sheaves in X states; with two ropes these are alike but for lead
    blocks. Forces are per newton of `pull` unless
    stated: at the hauling end, or at the end that is held.

    How much a sheave helps whoever lets down is no more certain than how much it costs, so a walk that lets
    down is looked at twice: with its sheaves as rated, which loads the standing part most, and running
    free, which loads the hand most.
    """

    scene: Scene
    walks: Numbers  # (n, m + 2)
    etas: Array  # (n, m)
    states: States
    units: Array  # (m + 1, 3, n, X) along each segment where it begins, towards the puller
    lengths: Array  # (m + 1, n, X)
    tau: Array  # (m + 1, n, X or 1) tension of each segment where it ends / pull
    weight: Array | None = None  # (n, X) N, where the rows differ in it; else the stations'
    resistance: Array | None = None  # ditto
    ring: Array | None = None  # (3, n, X) m, of the bridle, where the rows differ in it
    limit: Array | None = None  # (n, X) N, the puller's, where the rows differ in it
    over: OverEdges | None = None  # where lines may run over edges; None: every segment is straight
    slung: AtSling | None = None  # where a shackle runs on a sling, where the rows differ in it
    duty: Duty = Duty.HAUL
    free: Mask | None = None  # (n,) which look at a walk with sheaves running free, all or some
    twin: "Evaluation | None" = None  # letting down, the same walks with free sheaves: both work
    given: Array | None = None  # (S,) N, the pull at each station, where it is known

    weightless: ClassVar[tuple[str, ...]] = (
        "at_load", "begin_tau", "tight", "node_force", "on_load", "advance", "lift", "sideways",
        "ideal_advance", "clear", "total_length", "anchors",
    )  # fmt: skip
    """What follows from where things stand and what sheaves and edges pass on."""

    def on(self, scene: Scene) -> Self:
        """The same rigs on a scene with the same geometry, gear and frictions; what is known of them already
        and does not depend on anything else is not worked out again."""
        out = replace(self, scene=scene)
        known = vars(self)
        vars(out).update((name, known[name]) for name in self.weightless if name in known)
        return out

    @property
    def sheaves(self) -> int:
        return self.etas.shape[1]

    @cached_property
    def course(self) -> Course:
        """Where the ropes of all the walks begin and end."""
        return Course.of(self.walks)

    @property
    def of_two_ropes(self) -> bool:
        """Whether a second rope's tackle hauls the first."""
        return self.course.grip is not None

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What can fail, of all that is known."""
        return HAULING if self.duty is Duty.HAUL else LETTING_DOWN

    def alone(self, row: int) -> Self:
        """One walk's evaluation by itself: what keeps it does not keep all that were worked out with
        it."""
        rows = slice(row, row + 1)

        def some(values: Any) -> Any:
            return None if values is None else values[rows].copy()

        return replace(
            self,
            walks=self.walks[rows].copy(),
            etas=self.etas[rows].copy(),
            units=self.units[:, :, rows].copy(),
            lengths=self.lengths[:, rows].copy(),
            tau=self.tau[:, rows].copy(),
            weight=some(self.weight),
            resistance=some(self.resistance),
            ring=None if self.ring is None else self.ring[:, rows].copy(),
            limit=some(self.limit),
            over=None if self.over is None else self.over.pick(rows),
            slung=None if self.slung is None else self.slung.pick(rows),
            free=some(self.free),
            twin=None if self.twin is None else self.twin.alone(row),
        )

    @cached_property
    def of_its_own(self) -> Mask:
        """(n,) which walks make use of what the scene's rigs lay on edges: those that run over none are the
        same in the scene in which nothing is laid."""
        if self.over is None or self.scene.edging.protector is None:
            return np.ones(len(self.walks), dtype=bool)
        return np.asarray(self.over.bent.any(axis=(0, 2)))

    # ---- efficiencies that are given as ranges ----------------------------------------------------

    def rubs(self, row: int) -> bool:
        """Whether a walk runs over an edge anywhere."""
        return self.over is not None and bool(self.over.bent[:, row].any())

    def ends(self, row: int) -> Array:
        """(q, m) efficiencies of a walk at every combination of ends of their ranges, each sheave by itself;
        all at their low ends first. One row where all are certain."""
        known = self.scene.eta_ends
        low = self.etas[row].tolist()
        rows = list(product(*((eta, known[eta]) if eta in known else (eta,) for eta in low)))
        return np.array(rows, dtype=float).reshape(len(rows), len(low))

    @property
    def ranged(self) -> bool:
        """Whether an efficiency of any walk may be a range's."""
        return bool(self.scene.eta_ends) and (self.free is None or not self.free.all())

    # ---- forces -----------------------------------------------------------------------------------

    @cached_property
    def at_load(self) -> Mask:
        """(m + 2, n) which nodes are on the load."""
        return (self.walks == 0).T

    @cached_property
    def begin_tau(self) -> Array:
        """(m + 1, n, X or 1) tension of each segment where it begins / pull."""
        return self.tau if self.over is None else self.tau * self.over.passed

    @cached_property
    def tight(self) -> Array:
        """(m + 1, n, X or 1) tension of each segment where it is tightest / pull."""
        return np.asarray(np.maximum(self.tau, self.begin_tau))

    @cached_property
    def node_force(self) -> Array:
        """(m + 2, 3, n, X) force of the rope on each node."""
        segments, _, n, states = self.units.shape
        ends = self.units if self.over is None else self.over.ends
        out = np.zeros((segments + 1, 3, n, states))
        for k in range(segments):
            out[k] += self.units[k] * self.begin_tau[k][None]
            out[k + 1] -= ends[k] * self.tau[k][None]
        return out

    @cached_property
    def on_load(self) -> Array:
        """(3, n, X) g: the rig's pull on the load."""
        return np.einsum("kcnx,kn->cnx", self.node_force, self.at_load.astype(float))

    def _along(self, vectors: Array, axis: Array) -> Array:
        at = axis[self.states.station]
        return vectors[0] * at[:, 0] + vectors[1] * at[:, 1] + vectors[2] * at[:, 2]

    @cached_property
    def advance(self) -> Array:
        """(n, X) g.t: actual advantage."""
        return self._along(self.on_load, self.scene.stations.along)

    @cached_property
    def lift(self) -> Array:
        return self._along(self.on_load, self.scene.stations.normal)

    @cached_property
    def sideways(self) -> Array:
        return self._along(self.on_load, self.scene.stations.across)

    @cached_property
    def ideal_advance(self) -> Array:
        """(n, X) g.t without friction, per unit of pull on the first rope's hauling part times the parts that
        haul that."""
        out = np.zeros(self.lengths.shape[1:])
        along = self.scene.stations.along
        ends = self.units if self.over is None else self.over.ends
        begins, comes = self.at_load[:-1].astype(float), self.at_load[1:].astype(float)
        for k in range(self.units.shape[0]):
            part = self._along(self.units[k], along)
            if self.over is None:
                out += part * (begins[k] - comes[k])[:, None]
            else:
                out += part * begins[k][:, None] - self._along(ends[k], along) * comes[k][:, None]
        tackle = self.course.tackle
        return out if tackle is None else out * tackle.parts

    @property
    def gained(self) -> Array:
        """(n,) tension of the first of two ropes at the grip / pull."""
        assert self.course.grip is not None
        return np.asarray(self.tau[self.course.grip - 1, :, 0])

    @cached_property
    def steering(self) -> Steering | None:
        """What the scene's steering lines do; None without any. Beside two ropes none is in the space."""
        if not self.scene.guides or self.of_two_ropes:
            return None
        return steering(
            self.scene.leads, self.states.station, sideways=self.sideways, advance=self.advance,
            limit=self.side_limit,
        )  # fmt: skip

    @cached_property
    def _driven(self) -> tuple[Array, Array]:
        """(n, X) advance and lift, with what a steering line does to them."""
        if self.steering is None:
            return self.advance, self.lift
        return self.advance + self.steering.along, self.lift + self.steering.onto

    @cached_property
    def pull(self) -> Array:
        """(n, X) H, N: +inf where the rig cannot move the load, or hold it where it may run. Letting down, 0
        where it rests by itself."""
        if self.given is not None:
            return self.given[self.states.station][None, :]
        advance, lift = self._driven
        st, i = self.scene.stations, self.states.station
        if self.duty is Duty.LOWER:
            out = moving.hold_needed(
                along=st.held_back[i],
                resistance=st.resistance_sure[i],
                advance=advance,
                lift=lift,
            )
            return self._over_steps(out, st.resting[i])
        weight = st.weight[i] if self.weight is None else self.weight
        out = moving.pull_needed(
            weight=weight,
            slope_sin=st.slope_sin[i],
            slope_cos=st.slope_cos[i],
            resistance=st.resistance[i] if self.resistance is None else self.resistance,
            advance=advance,
            lift=lift,
            saved=self.saved,
        )
        if self.scene.kept:
            out = np.where(self.runs_on, 0.0, out)
        return self._over_steps(out, weight / st.moved[i])

    def _over_steps(self, out: Array, weight: Array) -> Array:
        """Pulls (n, X) on even ground, and over steps what these take besides; `weight` (X,) or (n, X) N on
        the wheels. A step that cannot be climbed is none to drop over either: no steady force holds that."""
        advance, lift = self._driven
        st, i, load = self.scene.stations, self.states.station, self.scene.site.load
        for s in np.flatnonzero(st.step > 0.0):
            here = i == s
            if not step.climbable(wheel_radius=load.wheel_radius, step=float(st.step[s])):
                out[:, here] = np.inf
                continue
            assert load.wheel_radius is not None
            over = step.pull_over_step(
                wheel_radius=load.wheel_radius,
                step=float(st.step[s]),
                slope_sin=st.slope_sin[s],
                slope_cos=st.slope_cos[s],
                axle_weight=weight[..., here] * load.axle_share,
                advance=advance[:, here],
                lift=lift[:, here],
            )
            with np.errstate(invalid="ignore"):  # all of it on the axle, and it cannot be moved
                rest = np.nan_to_num(out[:, here] * (1.0 - load.axle_share), nan=0.0, posinf=np.inf)
            out[:, here] = np.maximum(out[:, here], over + rest)
        return out

    @cached_property
    def forward(self) -> Array:
        """(n, X) g.t + c g.n: forward pull on the load and friction saved, per unit of pull; at 0 and
        below nothing moves."""
        advance, lift = self._driven
        st = self.scene.stations
        own = st.resistance[self.states.station] if self.resistance is None else self.resistance
        return moving.gained(advance=advance, lift=lift, resistance=own, saved=self.saved)

    @cached_property
    def saved(self) -> Array | None:
        """(X,) or (n, X): resistance that a line which lifts surely saves; None: all there is."""
        st = self.scene.stations
        if (st.resistance_saved == st.resistance).all():
            return None
        least = st.resistance_saved[self.states.station]
        return least if self.resistance is None else np.minimum(least, self.resistance)

    @cached_property
    def runs_on(self) -> Mask:
        """(X,) or (n, X): the load needs no pull there, it runs on downhill by itself."""
        st, i = self.scene.stations, self.states.station
        c = st.resistance[i] if self.resistance is None else self.resistance
        return np.asarray(st.slope_sin[i] + c * st.slope_cos[i] <= 0.0)

    @cached_property
    def may_run_on(self) -> Mask:
        """(X,) or (n, X): the load runs on by itself there with the least resistance of a range, and
        no holding line is to keep it."""
        st, i = self.scene.stations, self.states.station
        if self.scene.kept or self.resistance is not None:
            return np.zeros(len(i), dtype=bool)
        return np.asarray(st.slope_sin[i] + st.resistance_least[i] * st.slope_cos[i] <= 0.0)

    @cached_property
    def reaction(self) -> Array:
        """(n, X) ground reaction under the load, N; NaN where the rig cannot move it."""
        st, i = self.scene.stations, self.states.station
        pull = np.where(np.isfinite(self.pull), self.pull, np.nan)
        weight = st.weight[i] if self.weight is None else self.weight
        if self.duty is Duty.LOWER:
            weight = st.resting[i]
        lift = self.lift if self.steering is None else self.lift + self.steering.off
        return np.asarray(
            moving.ground_reaction(weight=weight, slope_cos=st.slope_cos[i], pull=pull, lift=lift)
        )

    @cached_property
    def side_pull(self) -> Array:
        """(n, X) sideways / forward pull, positive either way; letting down 0 where the line is slack."""
        out = moving.side_pull(sideways=self.sideways, advance=self.advance)
        if self.steering is not None:
            held = self.steering.steered & (self.advance + self.steering.along > 0.0)
            out = np.where(held, np.minimum(out, self.side_limit), out)
        return out if self.duty is Duty.HAUL else np.where(self.pull > 0.0, out, 0.0)

    @cached_property
    def side_limit(self) -> Array:
        """(X,)"""
        p = self.scene.site.preferences
        rolling = self.scene.stations.rolling[self.states.station]
        return np.where(rolling, p.side_pull_rolling, p.side_pull_sliding)

    @cached_property
    def puller_limit(self) -> Array:
        """(n, X) greatest pull of the puller with this walk's hauling line, N."""
        if self.limit is not None:
            return self.limit
        last = self.walks[:, -2]
        fixed = self.scene.limit_last[last][:, self.states.spot]
        if not (last == 0).any():
            return fixed
        straight = self.scene.limit_from_load[self.states.station, self.states.spot]
        return np.where((last == 0)[:, None], straight[None, :], fixed)

    @cached_property
    def hauling_angles(self) -> tuple[Array, Array]:
        """(n, X) rad: how far the hauling line leads off the puller's run, in plan and in rise (either
        way); both 0 where the puller does not mind."""
        puller, last, scene = self.scene.puller, self.walks[:, -2], self.scene
        if puller.run <= 0.0 or puller.purchase is not None:
            return np.zeros(self.lengths.shape[1:]), np.zeros(self.lengths.shape[1:])
        from_load = scene.hitch[self.states.station][None, :, :]
        fixed = np.nan_to_num(scene.position[last])[:, None, :]
        target = np.where((last == 0)[:, None, None], from_load, fixed)
        angle, rise = line_angles(puller=puller, way=target - scene.spots[self.states.spot])
        return angle, np.abs(rise)

    def runs_free(self, a: Numbers, b: Numbers) -> Mask:
        """(n, X) the straight lines between two places (n,) of each walk run free of trunks, posts and
        ground."""
        other = np.where(a == 0, b, a)
        touches = (a == 0) | (b == 0)
        from_load = self.scene.clear_from_load[other][:, self.states.station]
        between = self.scene.clear[a, b][:, None]
        return np.where(touches[:, None], from_load, between)

    @cached_property
    def clear(self) -> Mask:
        """(n, X) every segment runs free of trunks, posts and ground."""
        out = np.ones(self.lengths.shape[1:], dtype=bool)
        for one, two in self.course.runs:
            a, b = self.walks[:, one], self.walks[:, two]
            out &= self.runs_free(a, b)
            if self.of_two_ropes and self.scene.over_edges:  # a grip cannot pass an edge
                out &= ~self.scene.lines(a, b, self.states.station, self.states.spot).bent
        if self.slung is not None:
            out = out & slung.runs_clear(self, self.slung)
        return out if self.ring is None else out & self._ring_clear(self.ring)

    def _ring_clear(self, ring: Array) -> Mask:
        """(n, X) the parts from a bridle's ring, where it comes to rest, run free as far as to where they
        bend first. The rows are one walk's."""
        out = np.ones(ring.shape[1:], dtype=bool)
        begin = np.moveaxis(ring, 0, -1)
        edges, over = self.scene.fixed.edges, self.over
        bare = clearance.ground_points(self.scene.site) if edges is None else edges.bare
        numbers = self.course.numbers
        for k in range(self.sheaves + 1):
            one, two = numbers[k], numbers[self.course.seen(k + 1)]
            if 0 in (one, two):
                sign, other = (1.0, two) if one == 0 else (-1.0, one)
                way, long = sign * self.units[k], self.lengths[k]
                if over is not None:
                    way, long = (
                        (way, over.first[k]) if sign > 0.0 else (-over.ends[k], over.last[k])
                    )
                end = begin + np.moveaxis(way * long, 0, -1)
                own = self.scene.places[other].name
                if other == self.scene.puller_number:
                    own = self.scene.puller.anchor or ""
                out &= clearance.runs_free(self.scene.site, bare, begin, end, own)
        return out

    @cached_property
    def pulls_on_made(self) -> tuple[ways.Pulls, ...]:
        """The pulls on each anchor that stands some pulls only."""
        made = ways.minds(self.scene.site.anchors)
        return tuple(ways.pulls(self, a) for a in made if (self.anchors == a).any())

    @property
    def too_steep(self) -> Array:
        """(n, X) rad by which an anchor is pulled up more steeply than it stands; -inf where none minds."""
        return ways.too_steep(self.pulls_on_made, self.pull.shape)

    @property
    def too_far_aside(self) -> Array:
        """(n, X) rad by which an anchor is pulled further aside than it stands; -inf where none minds."""
        return ways.too_far_aside(self.pulls_on_made, self.pull.shape)

    @property
    def not_made(self) -> Mask:
        """(n,) walks whose anchors take more than is there to make them of."""
        return ways.missing(self)

    @property
    def run_over(self) -> Mask:
        """(n,) walks whose puller goes over an anchor that is made."""
        return ways.run_over(self)

    @property
    def shared_wrongly(self) -> Mask:
        """(n, X) where two trees with a sling carry more than one block or end, are used besides, or are
        passed almost straight."""
        return slung.wrongly(self)

    @property
    def verdict(self) -> Verdict:
        """What fails where, and by how much: everything but what the pieces stand."""
        return Verdict(self)

    @cached_property
    def works(self) -> Mask:
        """(n, X) nothing fails."""
        own = self.verdict.works
        return own if self.twin is None else np.asarray(own & self.twin.works)

    @cached_property
    def total_length(self) -> Array:
        """(n, X) rope between the standing end and the puller, m."""
        return self.lengths.sum(axis=0)

    @cached_property
    def anchors(self) -> Numbers:
        """(n, nodes) index of each node's anchor, -1 where there is none."""
        known = self.scene.anchor_of[np.maximum(self.walks, 0)]
        return np.where(self.walks == GRIP_NUMBER, -1, known)

    @cached_property
    def anchor_demand(self) -> dict[int, tuple[Mask, Array]]:
        """For each anchor of the site that any walk uses: which walks, and the demand (n, X) on it at
        working pull, of all ropes together: moment [N·m] for trees, force [N] for rated anchors. No
        dynamic factor."""
        out: dict[int, tuple[Mask, Array]] = {}
        anchors = self.anchors
        for a in np.unique(anchors[anchors >= 0]):
            uses = (anchors == a).any(axis=1)
            rows = np.flatnonzero(uses)
            levers = np.where(anchors[rows] == a, self.scene.lever[self.walks[rows]], 0.0)
            flat = self.scene.site.anchors[a].horizontal_only
            force = self.node_force[:, : 2 if flat else 3, rows]
            size = np.sqrt((np.einsum("kcnx,nk->cnx", force, levers) ** 2).sum(axis=0))
            demand = np.zeros(self.lengths.shape[1:])
            with np.errstate(invalid="ignore"):  # NaN where nothing pulls on it and nothing moves
                demand[rows] = size * self.pull[rows]
            out[int(a)] = (uses, demand)
        return out

    def puller_margin(self, rows: Numbers) -> Array:
        """(k,) least of what the puller can pull / the pull, of some rows (k,), over all states."""
        limit = np.maximum(self.puller_limit[rows], 1e-9)
        with np.errstate(divide="ignore"):  # no pull where the load runs on by itself
            return np.asarray((limit / self.pull[rows]).min(axis=1))

    def anchor_margin(self, rows: Numbers, *, by_state: bool = False) -> Array:
        """(k,) least strength / demand over the rated anchors of some rows (k,), with the puller's dynamic
        factor, over all states; (k, X) in each of them with `by_state`. Infinite where no rated anchor is
        pulled on, 0 where the load cannot be moved."""
        dynamic = self.scene.puller.dynamic
        out = np.full((len(rows), len(self.states.station)) if by_state else len(rows), np.inf)
        for a, (uses, demand) in self.anchor_demand.items():
            strength = self.scene.site.anchors[a].strength.capacity
            if strength is not None:
                on = np.flatnonzero(uses[rows])
                some = demand[rows[on]]
                peak = (some if by_state else some.max(axis=1)) * dynamic
                peak = np.where(np.isnan(peak), np.inf, peak)
                margin = np.where(peak > 0.0, strength / np.maximum(peak, 1e-9), np.inf)
                out[on] = np.minimum(out[on], margin)
        return out

    def joint_force(self, nodes: tuple[int, ...]) -> Array:
        """(n, X) size of the force that the rope puts on these nodes together, N at working pull."""
        total = self.node_force[list(nodes)].sum(axis=0)
        return np.asarray(np.sqrt((total**2).sum(axis=0)) * self.pull)

    def tension(self, segment: int) -> Array:
        """(n, X) tension of a segment, N."""
        return self.tight[segment] * self.pull
