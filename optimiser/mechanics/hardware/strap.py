"""Straps, slings and chains round a trunk: basket, choker, and a straight pull.

Seen from above, a strap pulled taut round a trunk of radius r lies on it over an arc and leaves it
along two tangents that meet at distance e from the axis. With θ half the angle between them
sin θ = r / e, and the strap is 2 r / tan θ + r (π + 2 θ) long. Derived (plane geometry).
"""

from dataclasses import dataclass
from math import asin, cos, degrees, pi, sin, tan

from optimiser.mechanics.domain import positive, within
from optimiser.mechanics.published import number, row, source_of
from optimiser.mechanics.values import Factor


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundTrunk:
    """A way of putting a strap round a trunk.

    `how`: "basket" or "choker". `capacity`: N on what hangs in it, None where the strap is unrated.
    `standoff`: from the trunk's axis to where the shackle hangs, m. `included_angle`: between the
    legs, rad (0 for a choker, which pulls on one leg).
    """

    how: str
    capacity: float | None
    standoff: float
    included_angle: float
    factors: tuple[Factor, ...]


def basket_length(*, radius: float, included_angle: float) -> float:
    """L = 2 r / tan θ + r (π + 2 θ), θ half of `included_angle`.

    radius of the trunk [m]; included_angle between the legs [rad], 0 < .. <= 120°. Result: [m].
    """
    positive("trunk radius", radius)
    most = number("strap", "basket_most_included").value
    positive("included angle", included_angle)
    within("included angle", included_angle, 0.0, most + 1e-12, "rad")
    half = included_angle / 2.0
    return radius * (2.0 / tan(half) + pi + 2.0 * half)


def least_length(*, radius: float) -> float:
    """Least strap that goes round a trunk of `radius` [m] at all: a basket with its legs as wide apart as
    they may be. Result: [m]."""
    most = number("strap", "basket_most_included").value
    return basket_length(radius=radius, included_angle=most)


def basket_included_angle(*, length: float, radius: float) -> float:
    """The angle between the legs of a strap of `length` [m] round a trunk of `radius` [m], rad.

    Inverse of `basket_length`. ValueError where the strap is too short for 120° or less.
    """
    most = number("strap", "basket_most_included").value
    needed = least_length(radius=radius)
    if not length >= needed:
        raise ValueError(f"strap of {length} m: a basket round this trunk needs {needed:.2f} m")
    # f falls from +inf to `needed` over (0, most]; e >= r keeps the lower bracket positive.
    low, high = 2.0 * asin(min(1.0, radius / (length / 2.0 + radius))) / 4.0, most
    for _ in range(200):
        middle = (low + high) / 2.0
        if basket_length(radius=radius, included_angle=middle) > length:
            low = middle
        else:
            high = middle
        if high - low < 1e-14:
            break
    return high


def basket_capacity(*, wll: float, basket_factor: float, included_angle: float) -> float:
    """basket_factor · WLL · cos(included / 2).

    wll: straight-pull rating [N]; basket_factor: with parallel legs, 0 .. 2; included_angle [rad]
    up to 120°. Result: [N]. Source: trade-sheets (1.9, 1.73, 1.41, 1.0 at 30, 60, 90, 120°).
    """
    positive("WLL", wll)
    within("basket factor", basket_factor, 0.0, 2.0)
    within("included angle", included_angle, 0.0, number("strap", "basket_most_included").value)
    return basket_factor * wll * cos(included_angle / 2.0)


def choke_angle_factor(*, angle: float) -> float:
    """Share of the choker rating kept at an angle of choke [rad], 0 .. 180°; steps as published.

    A noose drawn tight by the pull takes 120° or more of its own accord. Source: trade-sheets.
    """
    within("angle of choke", angle, 0.0, pi, "rad")
    steps = zip(
        row("strap", "choke_angle", "least_degrees"), row("strap", "choke_angle"), strict=True
    )
    return next(share for least, share in steps if degrees(angle) >= least - 1e-9)


def choker_capacity(
    *, wll: float, choker_factor: float, angle: float = 2.0943951023931953
) -> float:
    """choker_factor · WLL, times what the angle of choke [rad] leaves. Result: [N].

    wll [N]; choker_factor 0 .. 1 (0.75 .. 0.8 by kind). Source: trade-sheets, asme-b30.
    """
    positive("WLL", wll)
    within("choker factor", choker_factor, 0.0, 1.0)
    return choker_factor * wll * choke_angle_factor(angle=angle)


def choker_length(*, radius: float) -> float:
    """Least strap length for a choker round a trunk of `radius` [m]: the noose at 120° and a leg
    long enough to hang a shackle in. Result: [m]. Derived; the leg: common practice, no source."""
    noose = least_length(radius=radius)
    return noose + number("strap", "choker_least_leg").value


def round_trunk(
    *,
    length: float,
    radius: float,
    wll: float | None,
    choker_factor: float,
    basket_factor: float,
) -> tuple[RoundTrunk, ...]:
    """Every way this strap goes round this trunk, strongest first; empty where it is too short.

    length: of the strap, bearing to bearing [m]; radius: of the trunk [m]; wll: straight-pull
    rating [N] or None for unrated; choker_factor, basket_factor: shares of it by hitch.
    """
    positive("strap length", length)
    positive("trunk radius", radius)
    ways: list[RoundTrunk] = []
    most = number("strap", "basket_most_included")
    if length >= least_length(radius=radius):
        included = basket_included_angle(length=length, radius=radius)
        share = cos(included / 2.0)
        ways.append(
            RoundTrunk(
                how="basket",
                capacity=None
                if wll is None
                else basket_capacity(wll=wll, basket_factor=basket_factor, included_angle=included),
                standoff=radius / sin(included / 2.0),
                included_angle=included,
                factors=(
                    Factor(
                        name="basket, legs parallel", value=basket_factor, unit="", source="gear"
                    ),
                    Factor(
                        name="angle between the legs",
                        value=degrees(included),
                        unit="°",
                        source="geometry",
                    ),
                    Factor(
                        name="cosine of half of it", value=share, unit="", source="trade-sheets"
                    ),
                ),
            )
        )
    if length >= choker_length(radius=radius):
        noose = least_length(radius=radius)
        ways.append(
            RoundTrunk(
                how="choker",
                capacity=None
                if wll is None
                else choker_capacity(wll=wll, choker_factor=choker_factor, angle=most.value),
                standoff=radius / sin(most.value / 2.0) + length - noose,
                included_angle=0.0,
                factors=(
                    Factor(name="choker", value=choker_factor, unit="", source="gear"),
                    Factor(
                        name="angle of choke, 120° or more",
                        value=choke_angle_factor(angle=most.value),
                        unit="",
                        source=source_of("strap", "choke_angle"),
                    ),
                ),
            )
        )
    return tuple(sorted(ways, key=lambda way: -(way.capacity or 0.0)))
