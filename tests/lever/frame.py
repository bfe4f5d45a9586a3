"""A frame of 1.2 x 0.8 m on four feet, and a bar."""

from dataclasses import replace
from typing import Any

from optimiser.site.lever import Corner, LeverJob

RECTANGLE = [(1.2, 0.8), (0.0, 0.8), (0.0, 0.0), (1.2, 0.0)]
NAMES = ("front left", "rear left", "rear right", "front right")


def frame(**changes: Any) -> LeverJob:
    """The frame with some of its figures changed."""
    job = LeverJob(
        corners=tuple(
            Corner(name=name, ahead=x, left=y)
            for name, (x, y) in zip(NAMES, RECTANGLE, strict=True)
        ),
        centre=(0.5, 0.35),
        height=0.5,
        bar=1.8,
        nose=0.12,
        bar_rating=None,
        hand=400.0,
        bite=0.03,
        block=0.05,
        wanted=0.1,
        clearance=0.01,
        rise_ahead=0.0,
        rise_left=0.0,
        spare_tilt=0.0873,
    )
    return replace(job, **changes)
