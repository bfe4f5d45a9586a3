"""Computes the fewest strokes that a line straight from the load can need, for the bounds.

What one stroke of a puller takes in depends on where the load is: the nearer it comes, the more the
puller's run is in line with it. So strokes are counted along the way. How the rope that is taken in
spreads over the way is not known before the walk is; it lies between the slowest and the fastest of
its parts, whose shares of the whole are each known at every station.
"""

from dataclasses import dataclass

import numpy as np

from optimiser.mechanics.arrays import Array

MOST = 30
"""Strokes that are counted; more are at least so many."""
FINE = 40
"""Lengths looked at for each stroke."""
SLACK = 1e-6


@dataclass(frozen=True)
class Reach:
    """`strokes` (G,): the fewest that take in `step`, 2 `step`, ... m of rope."""

    step: float
    strokes: Array

    def fewest(self, taken: Array) -> Array:
        """Strokes that taking in so much rope, m, needs at least."""
        index = np.floor(taken / self.step).astype(int).clip(0, len(self.strokes)) - 1
        return np.where(index < 0, 1.0, self.strokes[index])


def reach(drop: Array, gain: Array) -> Reach | None:
    """`drop` (X, S): by how much each part that a walk may have is shorter at each station than at the
    first, m; `gain` (S,): what a stroke that ends there takes in at most, m. None where a part is not
    shorter in the end: no bound then."""
    if not len(drop) or drop[:, -1].min() <= 0.0 or gain.max() <= 0.0:
        return None
    share = drop / drop[:, -1:]
    low, high = share.min(axis=0), share.max(axis=0)
    # Of each piece between two stations; what lies between is linear.
    low, high = np.minimum(low[:-1], low[1:]), np.maximum(high[:-1], high[1:])
    most = np.maximum(gain[:-1], gain[1:]) * (1.0 + SLACK)
    step = float(gain.max()) / FINE
    taken = step * np.arange(1, MOST * FINE + 1)
    done = np.zeros(len(taken))
    strokes = np.zeros(len(taken))
    for _ in range(MOST):
        going = np.flatnonzero(done < 1.0 - SLACK)
        strokes[going] += 1.0
        ends = np.minimum(high, done[going, None] + most / taken[going, None])
        done[going] = np.where(ends >= low, ends, 0.0).max(axis=1)
    return Reach(step, strokes)
