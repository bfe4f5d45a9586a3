"""Dismisses walks between whose anchors there is no room for gear that is strong enough."""

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.search.bounds.bound_rows import Tables

CLOSE = 6.0
"""m: anchors further apart than this have room for any gear (nothing is dismissed wrongly by it)."""


def has_room(tables: Tables, ev: Evaluation, rows: Numbers, least: Array) -> Mask:
    """(n,) for some rows of an evaluation: whether straps of at least `least` (n,) times the demand, with
    the shortest block, could fit into every part between two anchors."""
    out = np.ones(len(rows), dtype=bool)
    walks = ev.walks[rows]
    anchored = tables.scene.anchor_of[walks] >= 0
    anchored[:, -1] = False
    shortest = ev.lengths[:, rows].min(axis=2).T  # (n, m + 1)
    close = anchored[:, 1:-1] & anchored[:, 2:] & (shortest[:, 1:] < CLOSE)
    picked = np.flatnonzero(close.any(axis=1))
    if not len(picked):
        return out
    needs = np.zeros((len(picked), walks.shape[1]))
    for k in range(1, walks.shape[1] - 1):
        some = np.flatnonzero(anchored[picked, k])
        if len(some):
            needs[some, k] = _hardware(tables, ev, rows[picked[some]], k, least[picked[some]])
    between = needs[:, 1:-1] + needs[:, 2:]
    fits = between <= shortest[picked][:, 1:] + 1e-6
    out[picked] = (fits | ~close[picked]).all(axis=1)
    return out


def _hardware(tables: Tables, ev: Evaluation, rows: Numbers, k: int, least: Array) -> Array:
    """(n,) least length at node k between the anchor's axis and the rope, m."""
    walks = ev.walks[rows]
    same = (walks == walks[:, k : k + 1]).astype(float)
    force = np.einsum("kcnx,nk->cnx", ev.node_force[:, :, rows], same)
    demand = (np.sqrt((force**2).sum(axis=0)) * ev.pull[rows]).max(axis=1)
    demand *= tables.scene.puller.dynamic * least
    out = np.zeros(len(rows))
    for place in np.unique(walks[:, k]):
        here = walks[:, k] == place
        anchor = tables.scene.anchor_at(place)
        around = tables.kit.round_anchor(anchor)
        if anchor.girth is None or not around:
            continue
        standoff = np.array([h.standoff for h in around])
        stands = np.array([np.inf if h.capacity is None else h.capacity for h in around])
        able = stands[None, :] >= demand[here][:, None] * (1 - 1e-9)
        out[here] = np.where(able, standoff[None, :], np.inf).min(axis=1) + tables.shortest_block
    return out
