"""Partial walks, many of one depth at a time, and the bounds on what they may still become."""

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from optimiser.keys import Order
from optimiser.search.tables import Array, Mask

Numbers = npt.NDArray[np.int64]
SLACK = 1e-6
"""Relative slack of a bound against rounding."""


@dataclass(frozen=True)
class Partial:
    """n partial walks of one depth. K rows."""

    path: Numbers  # (n, depth) places from the puller backwards, without the puller
    gained: Array  # (n, K)
    used: Array  # (n, K) greatest use per newton of pull: margin = 1 / (use * pull)
    rope: Array  # (n,) m of rope so far at the stretch's start
    travel: Array  # (n,) m so far
    loads: npt.NDArray[np.int64]  # (n,) visits to the load so far
    run: npt.NDArray[np.int64]  # (n,) anchors in a row at the end

    def __len__(self) -> int:
        return len(self.path)

    @property
    def depth(self) -> int:
        return self.path.shape[1]

    def pick(self, index: npt.NDArray[np.int64] | Mask | slice) -> "Partial":
        return Partial(**{f.name: getattr(self, f.name)[index] for f in fields(self)})

    @staticmethod
    def join(parts: list["Partial"]) -> "Partial":
        return Partial(
            **{f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(Partial)}
        )


@dataclass(frozen=True)
class Bound:
    """The best each of n walks can be: margin, resets, rope (each by itself)."""

    margin: Array
    resets: Array
    rope: Array

    def columns(self, order: Order) -> list[Array]:
        """Counts in the order's sequence, less is better; counts without a bound are -inf."""
        out = []
        for name in order.names:
            if name == "margin":
                capped = np.minimum(self.margin * (1 + SLACK), order.enough)
                out.append(-np.floor(capped / order.band + 1e-6))
            elif name == "resets":
                out.append(self.resets)
            elif name == "rope":
                out.append(np.round(self.rope - 1e-3, 3))
            else:
                out.append(np.full(len(self.rope), -np.inf))
        return out

    def hopeful(self, order: Order, limit: tuple[float, ...] | None, floor: float) -> Mask:
        """Which can still be at least as good as `limit` and reach the least margin."""
        out = self.margin * (1 + SLACK) >= floor
        out &= (self.resets <= order.most_resets) & (self.rope <= order.most_rope + 1e-6)
        if limit is None:
            return out
        better = np.zeros(len(out), dtype=bool)
        equal = np.ones(len(out), dtype=bool)
        for column, wanted in zip(self.columns(order), limit, strict=True):
            better |= equal & (column < wanted)
            equal &= column == wanted
        return out & (better | equal)

    def pick(self, index: npt.NDArray[np.int64] | Mask) -> "Bound":
        return Bound(self.margin[index], self.resets[index], self.rope[index])
