"""Evaluates one filled rig under many sets of inputs at once.

The rig and the geometry stay; weight, resistance, efficiencies, the puller and every rating may differ
from set to set. Forces are vectorised over the sets; what pieces stand is looked up set by set.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

import numpy as np
import numpy.typing as npt

from catalogue.gear import Rope
from optimiser.mechanics.arrays import Array
from optimiser.rig.components import name_of
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import capacity, kit_of, rope_capacity, round_trunk, trunk_of
from optimiser.rig.gear.loads import (
    Bears,
    Force,
    InLeg,
    InSling,
    Joint,
    Load,
    OfAnchor,
    OfHanging,
    OfHitch,
    OfPiece,
    OfPuller,
    OfPullerHitch,
    OfRope,
    OnAnchor,
    OverSheaves,
    Pull,
    Tension,
    Tightest,
)
from optimiser.rig.gear.row import RigRow, in_bridle
from optimiser.rig.gear.slots import Variant
from optimiser.rig.ground.pulling import line_pull_limit
from optimiser.rig.setup import Role
from optimiser.rig.slings import between
from optimiser.site.model import Owned, Puller, Site, is_of, is_strap
from optimiser.site.roaming.stands import puller_of

ROWS = 64
"""Sets at a time: keeps the arrays inside the processor's cache."""


@dataclass(frozen=True)
class Slot:
    """A loaded piece: the force on it in each row of an evaluation (n,) [N or N·m] without the dynamic
    factor, and what it stands on a site (None: unrated)."""

    name: str
    demand: Callable[[Evaluation], Array]
    stands: Callable[[Site], float | None]


@dataclass(frozen=True)
class Outcome:
    """Margins (n,): 0 where the rig does not work at all; the number of the weakest piece (n,), -1 for
    the puller; and whether it works (n,)."""

    margin: Array
    weakest: npt.NDArray[np.int64]
    works: npt.NDArray[np.bool_]


class Batch:
    """A filled rig, ready for many sets of inputs."""

    def __init__(self, filled: Filled) -> None:
        self.filled = filled
        self.row = filled.variant.row
        self.slots = tuple(_slots(filled))

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the slots, and last that of the puller (so that -1 is its number)."""
        return (*(slot.name for slot in self.slots), f"{self.row.scene.puller.name}: pull")

    def outcome(self, sites: Sequence[Site], etas: Array) -> Outcome:
        """Evaluates the rig on each of n sites with the sheaves' efficiencies (n, m).

        The sites may differ in what the top of this module names, and in nothing else.
        """
        parts = [
            self._some(sites[begin : begin + ROWS], etas[begin : begin + ROWS])
            for begin in range(0, len(sites), ROWS)
        ]
        return Outcome(
            np.concatenate([p.margin for p in parts]),
            np.concatenate([p.weakest for p in parts]),
            np.concatenate([p.works for p in parts]),
        )

    def _some(self, sites: Sequence[Site], etas: Array) -> Outcome:
        ev = self.row.turning_at(etas)
        looks = len(ev.walks) // len(sites)
        weight, resistance = self._ground(sites)
        station = ev.states.station
        pullers = [puller_of(site, self.row.scene.puller) for site in sites]
        ev = replace(
            ev,
            weight=np.tile(weight[:, station], (looks, 1)),
            resistance=np.tile(resistance[:, station], (looks, 1)),
            limit=_limits(pullers * looks, ev),
        )
        works = np.asarray(ev.works.all(axis=1).reshape(looks, -1).all(axis=0))
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            margins = [
                self._of_slot(slot, ev, sites) / np.array([p.dynamic for p in pullers])
                for slot in self.slots
            ]
            pull = (ev.puller_limit / ev.pull).min(axis=1)
            margins.append(pull.reshape(looks, -1).min(axis=0))
            table = np.array(margins)
        table[:, ~works] = 0.0
        weakest = table.argmin(axis=0)
        return Outcome(table.min(axis=0), np.where(weakest == len(self.slots), -1, weakest), works)

    @staticmethod
    def _of_slot(slot: Slot, ev: Evaluation, sites: Sequence[Site]) -> Array:
        stands: list[float] = []
        for i, site in enumerate(sites):
            if i and site is sites[i - 1]:  # the same site often comes many times
                stands.append(stands[-1])
            else:
                found = slot.stands(site)
                stands.append(np.inf if found is None else found)
        demand = slot.demand(ev).reshape(-1, len(sites)).max(axis=0)
        out = np.full(len(sites), np.inf)
        np.divide(np.array(stands), demand, out=out, where=demand > 0.0)
        return out

    def _ground(self, sites: Sequence[Site]) -> tuple[Array, Array]:
        """Weight with its factors, and resistance, (n, S)."""
        stations = self.row.scene.stations
        broken = stations.weight > stations.resting * stations.moved
        load = np.array([site.load.weight for site in sites])[:, None]
        apparent = np.array([[leg.apparent for leg in site.legs] for site in sites])
        breakout = np.array([[leg.breakout for leg in site.legs] for site in sites])
        moved = np.array([[leg.moved for leg in site.legs] for site in sites])
        resistance = np.array([[leg.resistance for leg in site.legs] for site in sites])
        leg = stations.leg
        weight = load * apparent[:, leg] * np.where(broken, breakout[:, leg], 1.0) * moved[:, leg]
        return weight, resistance[:, leg]


def _limits(pullers: Sequence[Puller], ev: Evaluation) -> Array:
    """Greatest pull of each row's puller, N (n, X), the way its line comes in."""
    ends = ev.units[-1] if ev.over is None else ev.over.ends[-1]
    ways = -np.moveaxis(ends, 0, -1)
    known: dict[tuple[Puller, bytes], Array] = {}
    rows = []
    for puller, way in zip(pullers, ways, strict=True):
        key = (puller, way.tobytes())
        if key not in known:
            known[key] = line_pull_limit(puller=puller, way=way)
        rows.append(known[key])
    return np.array(rows)


# ---- the pieces ------------------------------------------------------------------------------------


def _slots(filled: Filled) -> Iterator[Slot]:
    """Everything that the rig loads, the puller's own pull left out."""
    v = filled.variant
    for load in filled.loads():
        if load.role is not Role.PULLER and load.bears is not None:
            yield Slot(name_of(v, load), _demand(v.row, load.force), _stands(v, load, load.bears))


def _demand(row: RigRow, force: Force) -> Callable[[Evaluation], Array]:
    match force:
        case Tension(parts) | OverSheaves(parts):  # hauling, the part after a sheave is the tighter
            return _tension(parts)
        case Tightest(segment):
            return _tension((segment,))
        case Joint(nodes):
            return lambda ev: ev.joint_force(nodes).max(axis=1)
        case InLeg(leg):
            return _leg(row, leg)
        case OnAnchor(number):
            return lambda ev: ev.anchor_demand[number][1].max(axis=1)
        case InSling(nodes, by):
            return lambda ev: ev.joint_force(nodes).max(axis=1) * by
        case Pull():
            raise ValueError("the puller is looked at by itself")
        case _:
            assert_never(force)


def _tension(segments: tuple[int, ...]) -> Callable[[Evaluation], Array]:
    def demand(ev: Evaluation) -> Array:
        worst = [ev.tension(segment).max(axis=1) for segment in segments]
        return np.asarray(np.max(worst, axis=0))

    return demand


def _leg(row: RigRow, number: int) -> Callable[[Evaluation], Array]:
    """Tension of a bridle leg. Its share of the pull on the ring goes by the pull's direction, which
    the efficiencies change; so it is worked out anew for every row that differs in it."""

    def demand(ev: Evaluation) -> Array:
        shares: dict[bytes, Array] = {}
        out = []
        for i in range(len(ev.walks)):
            pulls = ev.node_force[list(row.on_load), :, i].sum(axis=0).T
            mark = pulls.tobytes()
            if mark not in shares:
                shares[mark] = in_bridle(ev.scene, ev.states.station, pulls)[number]
            out.append(float((shares[mark] * ev.pull[i]).max()))
        return np.array(out)

    return demand


# ---- what stands it on another site ----------------------------------------------------------------


def _stands(v: Variant, load: Load, bears: Bears) -> Callable[[Site], float | None]:
    """What takes a load on a site, N or N·m; None where it has no rating."""
    match bears:
        case OfPiece(piece):
            return lambda site: capacity(_owned(site, piece.name))
        case OfRope(rope, knot, _, over):
            return _rope_stands(rope, keeps=1.0 if knot is None else knot.keeps, bend=over)
        case OfHanging(hanging):
            anchor = v.row.scene.places[v.row.numbers[load.nodes[0]]].name
            return _strap_stands(hanging.piece.name, hanging.how, anchor)
        case OfAnchor(anchor):
            return lambda site: site.anchor(anchor.name).strength.capacity
        case OfHitch(hitch):
            return lambda site: next(h for h in site.load.hitches if h.name == hitch.name).rating
        case OfPullerHitch(puller) | OfPuller(puller):
            return lambda site: puller_of(site, puller).hitch_rating
        case _:
            assert_never(bears)


def _owned(site: Site, name: str) -> Owned:
    return next(piece for piece in site.gear if piece.name == name)


def _rope(site: Site, name: str) -> Owned[Rope]:
    return next(piece for piece in site.gear if is_of(piece, Rope) and piece.name == name)


def _rope_stands(rope: Owned[Rope], *, keeps: float, bend: float) -> Callable[[Site], float | None]:
    """Working strength of the rope; of two that are joined, that of the weaker."""
    joined = rope.joined
    if joined is None:
        names: tuple[str, ...] = (rope.name,)
    elif joined.bend is None:
        names = (joined.second.name,)
    else:
        names = (joined.first.name, joined.second.name)

    def stands(site: Site) -> float | None:
        found = [rope_capacity(_rope(site, name), keeps=keeps, bend=bend) for name in names]
        known = [value for value in found if value is not None]
        return min(known) if len(known) == len(found) else None

    return stands


def _strap_stands(name: str, how: str, anchor: str) -> Callable[[Site], float | None]:
    """A strap in one hitch round an anchor, or a sling between two trees; 0 where it does not reach."""

    def stands(site: Site) -> float | None:
        if site.anchor(anchor).sling is not None:
            slings = between(kit_of(site), site, site.anchor(anchor))
            return next((s.capacity for s in slings if (s.piece.name, s.how) == (name, how)), 0.0)
        strap = next(piece for piece in site.gear if is_strap(piece) and piece.name == name)
        ways = round_trunk(strap, trunk_of(site.anchor(anchor)))
        return next((way.capacity for way in ways if way.how == how), 0.0)

    return stands
