"""Sorts the cases of a test into those that every run looks at, those that only a full run does, and those
that no run looks at unless it is requested.

`pytest -m "not long"` leaves the long ones out, `pytest --rare -m rare` runs the rare ones; DEVELOPERS.md
says what belongs to them.
"""

from collections.abc import Collection, Iterable
from typing import Any

import pytest

long = pytest.mark.long
"""A whole test that only a full run looks at: one that has quick company for the same statement."""
rare = pytest.mark.rare
"""A further case of a comparison that takes too long even for a full run."""


def cases(
    every: Iterable[Any], *, quick: Collection[Any], seldom: Collection[Any] = ()
) -> list[Any]:
    """The cases of `pytest.mark.parametrize`, in their order; those not in `quick` are long, and those in
    `seldom` rare."""
    listed = list(every)
    missing = [case for case in (*quick, *seldom) if case not in listed]
    assert not missing, f"named, but no case: {missing}"
    both = [case for case in quick if case in seldom]
    assert not both, f"quick and seldom: {both}"
    return [
        case
        if case in quick
        else pytest.param(
            *(case if isinstance(case, tuple) else (case,)),
            marks=rare if case in seldom else long,
        )
        for case in listed
    ]
