"""Computes the force at the end of the rope at which the first piece reaches what it stands, along the
path."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.forces.evaluate import mixed, turning
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.setup import Component, Role
from optimiser.rig.walk import Place, PlaceKind


@dataclass(frozen=True)
class Limits:
    """`forces` (S,): of the puller or the hand, N, at every station; `nodes`: the places of the
    evaluated walk; `added`: per newton of force what is on an anchor besides what the rope leads there
    (the hand behind its turns)."""

    evaluation: Evaluation
    forces: Array
    nodes: Sequence[Place]
    added: Mapping[str, float]

    def of(self, part: Component) -> Array:
        """(S,) N at which a piece reaches what it stands; +inf for one that has no rating or carries
        nothing.

        Its capacity over its demand gives the limit at its worst station; elsewhere that is scaled by
        how the force on its place grows or falls per newton at the rope's end. Where several blocks
        hang at one place the one whose force grows most counts for all: on the safe side. Where sheaves
        may run more easily than planned, a piece has its limit at a lesser force at the rope's end.
        """
        if part.capacity is None or part.demand <= 0.0:
            return np.full(len(self.forces), np.inf)
        here = self.station(part.at)
        with np.errstate(divide="ignore", invalid="ignore"):
            least = self.forces[here] * part.margin * self._easier(part, here)
            return np.asarray(least / self._growth(part, here))

    def station(self, at: float) -> int:
        """The station next to a distance along the path; at a bend, where there are two, the one with
        the greater force: there a piece has its worst."""
        off = np.abs(self.evaluation.scene.stations.at - at)
        near = np.flatnonzero(off <= off.min() + 1e-9)
        return int(near[np.argmax(self.forces[near])])

    def _growth(self, part: Component, station: int) -> Array:
        """(S,) force on a piece per newton at the rope's end, over the same at one station."""
        name, ev = part.place.partition("@")[0], self.evaluation
        number = self._anchor(part)
        if number is not None:
            sizes = [_on_anchor(ev, number)[0] + self.added.get(name, 0.0)]
        else:
            sizes = [_on_nodes(ev, group)[0] for group in self._groups(name)]
        ratios = [np.ones(len(self.forces))] if not sizes else []
        for size in sizes:
            most = size.reshape(len(self.forces), -1).max(axis=1)
            ratios.append(most / max(float(most[station]), 1e-9))
        return np.asarray(np.max(ratios, axis=0))

    def _easier(self, part: Component, station: int) -> float:
        """The least force at the rope's end, over what its margin alone would give, with which a piece may
        have its limit at a station, over the ranges of the sheaves' efficiencies."""
        ev = self.evaluation
        if ev.free is not None:  # some of them may rub all the same
            ends, _ = mixed(ev, 0)
        else:
            ends = ev.ends(0) if ev.ranged else ev.etas[:0]
        if len(ends) < 2:
            return 1.0
        turned = turning(ev, 0, ends)
        shape = (len(ends), len(self.forces), -1)
        pull = turned.pull.reshape(shape)[:, station].max(axis=1)
        number = self._anchor(part)
        if number is not None:
            sizes = [_on_anchor(turned, number)]
        else:
            groups = self._groups(part.place.partition("@")[0])
            sizes = [_on_nodes(turned, group) for group in groups]
        out = 1.0
        for size in sizes:
            each = size.reshape(shape)[:, station].max(axis=1)
            most = float(each.max()) * float(pull[0])
            if most > 0.0:
                out = min(out, float((each * pull).max()) / most)
        return out

    def _anchor(self, part: Component) -> int | None:
        """The number of the anchor that a piece is; None for any other piece."""
        if part.role is not Role.ANCHOR:
            return None
        anchors = self.evaluation.scene.site.anchors
        used = self.evaluation.anchor_demand
        for number, anchor in enumerate(anchors):
            shares = anchor.sling is not None and part.item in anchor.sling.trees
            if shares and number in used:
                return number  # what comes on two trees together is what grows on either
        return [anchor.name for anchor in anchors].index(part.item)

    def _groups(self, name: str) -> list[list[int]]:
        """Nodes at a place that a piece there may carry: each by itself, and all."""
        nodes = [i for i, p in enumerate(self.nodes) if (p.name or p.kind) == name]
        nodes = [i for i in nodes if self.nodes[i].kind is not PlaceKind.PULLER]
        return [[n] for n in nodes] + ([nodes] if len(nodes) > 1 else [])


def _on_nodes(ev: Evaluation, nodes: list[int]) -> Array:
    """(n, X) force on some nodes together per newton at the rope's end."""
    return np.asarray(np.linalg.norm(ev.node_force[nodes].sum(axis=0), axis=0))


def _on_anchor(ev: Evaluation, number: int) -> Array:
    """(n, X) moment or force on an anchor per newton at the rope's end."""
    pull = ev.pull
    demand = ev.anchor_demand[number][1]
    able = np.isfinite(pull) & (pull > 0.0)
    return np.where(able, demand / np.where(able, pull, 1.0), 0.0)


def least(limits: Sequence[tuple[str, Array]], count: int) -> Array:
    """(S,) the least of some limits."""
    rows = [row for _, row in limits]
    return np.asarray(np.min(rows, axis=0)) if rows else np.full(count, np.inf)
