"""Sorts the cases of a test into those that every run looks at and those that only a full run does.

`pytest -m "not long"` leaves the long ones out; DEVELOPERS.md says what belongs to them.
"""

from collections.abc import Collection, Iterable
from typing import Any

import pytest

long = pytest.mark.long
"""A whole test that only a full run looks at: one that has quick company for the same statement."""


def cases(every: Iterable[Any], *, quick: Collection[Any]) -> list[Any]:
    """The cases of `pytest.mark.parametrize`, in their order; those not in `quick` are long."""
    listed = list(every)
    missing = [case for case in quick if case not in listed]
    assert not missing, f"quick, but no case: {missing}"
    return [
        case
        if case in quick
        else pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=long)
        for case in listed
    ]
