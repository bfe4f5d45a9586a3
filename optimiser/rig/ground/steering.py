"""Computes a second line on the load that keeps it on line where the haul by itself would slew it.

It leads from a hitch of the load to an anchor at the side and is tended by somebody with just the
force that brings the side pull back to its limit. Whatever it pulls forward, or lifts, is not counted
as a help: the hauling line has to do without.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array, Mask, Numbers
from optimiser.mechanics.ground import moving
from optimiser.rig.ground import clearance, sweeping
from optimiser.rig.ground.stations import Stations
from optimiser.rig.ground.strings import Edges, strings
from optimiser.rig.walk import Guide
from optimiser.site.model import Site

AT_ONCE = 200_000
"""Leads times states worked out together."""


@dataclass(frozen=True)
class Leads:
    """The directions of Q steering lines at S stations, from the load: shares along the path, to its
    left and off the ground (Q, S); and where each runs free."""

    along: Array
    across: Array
    lift: Array
    free: Mask


def leads(site: Site, st: Stations, guides: Sequence[Guide], edges: Edges | None = None) -> Leads:
    """The ways to lead a steering line, tabulated at every station. It runs over no edge: it is moved about
    by hand and would not stay on what lies there."""
    shape = (len(guides), len(st))
    along, across, lift = (np.empty(shape) for _ in range(3))
    free = np.zeros(shape, dtype=bool)
    for q, guide in enumerate(guides):
        hitch = st.point + guide.hitch.ahead * st.along + guide.hitch.left * st.across
        hitch = hitch + np.array((0.0, 0.0, guide.hitch.height))
        x, y, z = site.anchor(guide.place.name).position
        end = np.array((x, y, z + guide.place.height))
        way = end - hitch
        way /= np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
        along[q], across[q], lift[q] = (
            np.einsum("si,si->s", way, axis) for axis in (st.along, st.across, st.normal)
        )
        own = [guide.place.name]
        free[q] = clearance.from_load(site, st, hitch, end[None, :], own)[0]
        free[q] &= ~sweeping.swept(site, hitch, end[None, :], own)[0]
        if edges is not None:
            there = np.broadcast_to(end, hitch.shape)
            names = np.full((len(hitch), 1), guide.place.name)
            free[q] &= ~strings(edges, hitch, there, both_ends=False, own=names).bent
    return Leads(along, across, lift, free)


@dataclass(frozen=True)
class Steering:
    """What the best of some steering lines does, (n, X), per unit of the hauling pull: its tension
    (+inf where none of them keeps the load on line), and its shares along the ground, onto it (both
    0 or below) and off it (0 or above)."""

    tension: Array
    along: Array
    onto: Array
    off: Array

    @property
    def steered(self) -> Mask:
        """Where the line has to pull, and can."""
        return np.asarray((self.tension > 0.0) & np.isfinite(self.tension))


def steering(
    known: Leads, station: Numbers, *, sideways: Array, advance: Array, limit: Array
) -> Steering:
    """Of the steering lines the one that costs the hauling line least, in each state.

    `station` (X,) of the states; `sideways`, `advance` (n, X) of the hauling rope per unit of pull;
    `limit` (X,) of the side pull. Each share is the best of all lines on its own, so that with several
    of them nothing better is left out; with one it is exact.
    """
    tension, along, onto, off = (np.zeros(advance.shape) for _ in range(4))
    rows, states = np.nonzero((advance > 0.0) & (np.abs(sideways) > limit * advance + 1e-12))
    each = max(AT_ONCE // max(len(known.along), 1), 1)
    for begin in range(0, len(rows), each):
        i, x = rows[begin : begin + each], states[begin : begin + each]
        at = station[x]
        h = np.minimum(known.along[:, at], 0.0)
        needed = moving.steering_needed(
            sideways=sideways[i, x], advance=advance[i, x], limit=limit[x], line_along=h,
            line_across=known.across[:, at],
        )  # fmt: skip
        needed = np.where(known.free[:, at], needed, np.inf)
        able = np.isfinite(needed)
        pulled = np.where(able, needed, 0.0)
        none = np.asarray(~able.any(axis=0))
        tension[i, x] = needed.min(axis=0)
        along[i, x] = _best(pulled * h, able, none)
        onto[i, x] = _best(pulled * np.minimum(known.lift[:, at], 0.0), able, none)
        off[i, x] = -_best(-pulled * np.maximum(known.lift[:, at], 0.0), able, none)
    return Steering(tension, along, onto, off)


def _best(shares: Array, able: Mask, none: Mask) -> Array:
    """(x,) the greatest of some shares (Q, x) of lines that are able."""
    return np.asarray(
        np.where(none, 0.0, np.where(able, shares, -np.inf).max(axis=0, initial=-np.inf))
    )
