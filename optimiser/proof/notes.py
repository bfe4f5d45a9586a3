"""Collects what a checker found wrong, so that all of it is reported at once."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from math import isclose, isinf

import numpy as np
from numpy.typing import ArrayLike

from optimiser.mechanics.arrays import Array
from shared.errors import WithheldError

EXACT = 1e-6
"""Relative tolerance where the setup and the checker work the same thing out at the same place."""


class VerificationError(WithheldError):
    """An answer is not what it states: an internal error. The disagreements stand in the message."""


@contextmanager
def refusing(title: str) -> Iterator["Notes"]:
    """Notes to collect disagreements in; `VerificationError` at the end if there are any. An answer
    so wrong that it cannot be worked out (a node that is not there, say) is refused as well."""
    notes = Notes()
    try:
        yield notes
    except (ArithmeticError, AssertionError, LookupError, ValueError) as what:
        notes.differ(f"it cannot be worked out ({type(what).__name__}: {what})")
        raise VerificationError(title, notes.found) from what
    if notes.found:
        raise VerificationError(title, notes.found)


@dataclass
class Notes:
    """Disagreements found so far."""

    found: list[str] = field(default_factory=list)

    def differ(self, what: str) -> None:
        """Something is wrong."""
        self.found.append(what)

    def need(self, right: bool, what: str) -> bool:
        """`what` is wrong unless `right`."""
        if not right:
            self.found.append(what)
        return right

    def same(self, what: str, stated: float, own: float, *, near: float = EXACT) -> None:
        """Two figures must agree to a relative `near` (absolute below 1)."""
        if not equal(stated, own, near=near):
            self.found.append(f"{what}: the answer says {stated:.9g}, the check finds {own:.9g}")

    def same_along(
        self, what: str, at: Array, stated: ArrayLike, own: ArrayLike, *, near: float = EXACT
    ) -> None:
        """The same of a figure at each of some places, m along the path."""
        each, mine = np.asarray(stated, dtype=float), np.asarray(own, dtype=float)
        off = each != mine
        off &= ~(np.isclose(each, mine, rtol=near / 2.0, atol=0.0))
        for i in np.flatnonzero(off).tolist():
            self.same(f"at {at[i]:.2f} m: {what}", float(each[i]), float(mine[i]), near=near)


def equal(a: float, b: float, *, near: float = EXACT) -> bool:
    """Whether two figures agree to a relative `near`, or an absolute one below 1."""
    if isinf(a) or isinf(b):
        return a == b
    return isclose(a, b, rel_tol=near, abs_tol=near)
