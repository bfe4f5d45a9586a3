"""Whether two answers are the same but for rounding."""

from dataclasses import fields, is_dataclass
from math import isclose
from typing import Any

import numpy as np

from optimiser.rig.setup import Component, Ranking

NEAR = 1e-7


def differences(one: Any, other: Any, *, near: float = NEAR, at: str = "") -> list[str]:
    """Where two values differ by more than rounding: floats within `near` (relative, and absolute
    below 1), all else exactly. Texts are compared without their digits: they may show a rounding."""
    if isinstance(one, float) and isinstance(other, int | float):
        same = one == other or isclose(one, other, rel_tol=near, abs_tol=near)
        return [] if same else [f"{at}: {one!r} and {other!r}"]
    if is_dataclass(one) and type(one) is type(other):
        return [
            found
            for field in fields(one)
            if field.compare
            for found in differences(
                getattr(one, field.name), getattr(other, field.name), near=near,
                at=f"{at}.{field.name}",
            )
        ]  # fmt: skip
    if isinstance(one, np.ndarray) and isinstance(other, np.ndarray):
        same = one.shape == other.shape and np.allclose(one, other, rtol=near, atol=near)
        return [] if same else [f"{at}: {one!r} and {other!r}"]
    if isinstance(one, tuple | list) and isinstance(other, tuple | list):
        if len(one) != len(other):
            return [f"{at}: {len(one)} and {len(other)} of them"]
        pairs = enumerate(zip(one, other, strict=True))
        return [d for i, (a, b) in pairs for d in differences(a, b, near=near, at=f"{at}[{i}]")]
    if isinstance(one, str) and isinstance(other, str):
        return [] if _wordy(one) == _wordy(other) else [f"{at}: {one!r} and {other!r}"]
    return [] if one == other else [f"{at}: {one!r} and {other!r}"]


def _wordy(text: str) -> str:
    return "".join(sign for sign in text if not sign.isdigit())


def distinguished(one: Ranking, other: Ranking, *, near: float = NEAR) -> list[str]:
    """Where two rankings differ in their setups: walks, pieces, figures. Pullers are left out (they
    stand elsewhere on a site that was moved), and signs of side pull."""
    if len(one) != len(other):
        return [f"{len(one)} and {len(other)} setups"]
    out = []
    for a, b in zip(one, other, strict=True):
        for name in (
            "walk", "attachment", "etas", "parts", "pull", "pull_at", "margin", "unrated",
            "rope_needed", "hauled", "strokes", "resets", "gear", "weakest",
        ):  # fmt: skip
            at = f"{a.reeving}: {name}"
            out += differences(getattr(a, name), getattr(b, name), near=near, at=at)
        for x, y in zip(_by_name(a.components), _by_name(b.components), strict=True):
            for name in ("name", "demand", "at", "capacity"):
                at = f"{x.name}: {name}"
                out += differences(getattr(x, name), getattr(y, name), near=near, at=at)
    return out


def _by_name(components: tuple[Component, ...]) -> list[Component]:
    """They are numbered in the order of the file."""
    return sorted(components, key=lambda c: (c.name, c.place))


def figures(ranking: Ranking) -> list[tuple[float, ...]]:
    """What the setups of a list are ranked by, rounded: equal for lists that differ only in which
    of equal setups they show."""
    return [
        (round(s.margin, 6), float(s.resets), round(s.rope_needed, 6), float(s.parts))
        for s in ranking
    ]
