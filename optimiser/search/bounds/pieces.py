"""Bounds the margin of evaluated walks before pieces are chosen: exact forces, the best pieces."""

from collections.abc import Iterable

import numpy as np

from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.gear.kit import Kit, capacity
from optimiser.rig.gear.row import in_bridle
from optimiser.search.bounds.bound_rows import Tables


def by_hitch(tables: Tables, ev: Evaluation, rows: Numbers, pull: Array) -> Array:
    """Least rating / demand of the load's hitches and of the legs of a bridle between two."""
    hitches, out = tables.scene.attachment.hitches, np.full(len(rows), np.inf)
    if not np.isfinite(tables.hitch_strength) or not len(rows):
        return out
    force = ev.on_load[:, rows] * pull
    if not tables.scene.attachment.bridled:
        peak = np.sqrt((force**2).sum(axis=0)).max(axis=1)
        return np.asarray(tables.hitch_strength / np.maximum(peak, 1e-9))
    station = np.tile(ev.states.station, len(rows))
    tensions = in_bridle(tables.scene, station, force.reshape(3, -1).T)
    leg = _most_of(capacity(strap) for strap in tables.kit.straps)
    for hitch, tension in zip(hitches, tensions, strict=True):
        stands = min(_most_of([hitch.rating]), leg)
        peak = tension.reshape(len(rows), -1).max(axis=1)
        out = np.minimum(out, stands / np.maximum(peak, 1e-9))
    return out


def by_blocks(kit: Kit, ev: Evaluation, rows: Numbers, pull: Array) -> Array:
    """Least capacity / demand with the strongest blocks on the heaviest nodes, by bearings; of nodes
    that may share a block with others at their place there is no bound."""
    if ev.sheaves == 0:
        return np.full(len(rows), np.inf)
    blocks, walks, etas = ev.node_force[1:-1], ev.walks[rows, 1:-1], ev.etas[rows]
    squared = sum(blocks[:, axis, rows] ** 2 for axis in range(3))
    peaks = np.sqrt((squared * pull**2).max(axis=2)).T  # (n, m)
    alone = np.ones(walks.shape, dtype=bool)
    if kit.many_sheaved:
        alike = walks[:, :, None] == walks[:, None, :]
        alike &= etas[:, :, None] == etas[:, None, :]
        alone = alike.sum(axis=2) == 1
    out = np.full(len(rows), np.inf)
    for eta in kit.etas:
        demand = -np.sort(-np.where(alone & (etas == eta), peaks, 0.0), axis=1)
        strength = np.zeros(ev.sheaves)
        best = _strengths(kit, eta)[: ev.sheaves]
        strength[: len(best)] = best
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.where(demand > 0.0, strength[None, :] / demand, np.inf)
        out = np.minimum(out, ratio.min(axis=1))
    return out


def _strengths(kit: Kit, eta: float) -> list[float]:
    """What the blocks of one efficiency stand, N, the strongest first; inf where unrated."""
    out: list[float] = []
    for piece in kit.blocks:
        if piece.gear.eta == eta:
            known = capacity(piece)
            out += [np.inf if known is None else known] * piece.count
    return sorted(out, reverse=True)


def _most_of(ratings: Iterable[float | None]) -> float:
    """The greatest; inf where one is not rated."""
    return max((np.inf if rating is None else rating for rating in ratings), default=0.0)
