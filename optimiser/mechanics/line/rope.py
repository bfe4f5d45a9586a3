"""What a rope may carry, how far it stretches, and what it stores."""

from math import isfinite

import numpy as np

from optimiser.mechanics.domain import positive, within
from optimiser.mechanics.published import row


def working_strength(
    *,
    mbs: float | None,
    design_factor: float,
    wll: float | None,
    condition: float,
    termination: float = 1.0,
    bend: float = 1.0,
) -> float | None:
    """min(MBS / f, WLL) × condition × termination × bend.

    mbs: new breaking strength [N] or None; design_factor f [-], at least 1; wll: a stated rating
    [N] or None; condition, termination, bend: shares kept [-], 0 .. 1. Result: [N], None where
    neither strength nor rating is known (unrated). The cap comes before the shares: a stated rating
    is for a sound rope with the end its maker put on it. Sources: ci-1401, cfr-393-108.
    """
    within("design factor", design_factor, 1.0, 100.0)
    for name, share in (("condition", condition), ("termination", termination), ("bend", bend)):
        within(name, share, 0.0, 1.0)
    limits = []
    if mbs is not None:
        limits.append(positive("breaking strength", mbs) / design_factor)
    if wll is not None:
        limits.append(positive("WLL", wll))
    return min(limits) * condition * termination * bend if limits else None


def wire_bend(*, sheave_diameter: float, rope_diameter: float) -> float:
    """Share of a wire rope's strength kept over a sheave or pin, by D / d; linear between the
    published ratios, and not above the last of them.

    sheave_diameter at the bottom of the groove, rope_diameter [m]. ValueError below D / d = 1.
    Source: trade-sheets.
    """
    ratio = positive("sheave diameter", sheave_diameter) / positive("rope diameter", rope_diameter)
    ratios, shares = row("rope", "wire_bend", "ratios"), row("rope", "wire_bend")
    if ratio < ratios[0]:
        raise ValueError(f"D / d = {ratio:.2f}: no strength is published for less than 1")
    return float(np.interp(ratio, ratios, shares))


def stiffness(*, mbs: float, stretch_at_break: float) -> float:
    """EA = MBS / ε_break [N], the rope taken as linear up to break.

    mbs [N]; stretch_at_break: fraction, 0 < .. <= 1. Source: mechanics; ufc-4-159-03 gives EA.
    """
    positive("breaking strength", mbs)
    positive("stretch at break", stretch_at_break)
    return mbs / within("stretch at break", stretch_at_break, 0.0, 1.0)


def elongation(*, tension: float, length: float, stiffness: float) -> float:
    """ΔL = T L / EA [m]: tension [N], length [m], stiffness EA [N]. Source: mechanics."""
    if not (isfinite(tension) and tension >= 0.0):
        raise ValueError(f"tension {tension} N: must be at least 0")
    return tension * positive("length", length) / positive("stiffness", stiffness)


def stored_energy(*, tension: float, length: float, stiffness: float) -> float:
    """E = T² L / (2 EA) [J]: what flies about if the rope parts. Arguments as in `elongation`.

    Source: mechanics.
    """
    return tension * elongation(tension=tension, length=length, stiffness=stiffness) / 2.0
