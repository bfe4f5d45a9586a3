"""Works out what goes round a trunk: straps and chains by hitch, and turns of a rope that is eased out."""

from dataclasses import dataclass, replace
from functools import cache
from math import asin, degrees, exp, pi, sin, sqrt

from catalogue.gear import Chain, Rope, Strap
from optimiser.proof.pieces.read_figures import figure, table
from optimiser.site.model import Anchor, AnchorKind, Owned

TURNED_ROUND = (AnchorKind.TREE, AnchorKind.POST)
"""Kinds of anchor on which a rope may be eased round: it would saw on anything else."""
UNKNOWN = "slippery"
"""The kind a rope's material is taken for where nothing is known of it: the one that grips least."""
CLOSE = 1e-15


@dataclass(frozen=True, slots=True)
class Way:
    """One hitch of a strap round a trunk. `capacity` N, None where the strap is unrated; `standoff` m
    from the trunk's middle to what hangs in it."""

    how: str
    capacity: float | None
    standoff: float


def ways_round(piece: Owned, anchor: Anchor) -> list[Way]:
    """Every hitch by which the strap or chain goes round the trunk.

    The strap lies on the trunk and leaves it along two tangents that meet at distance e from its
    middle: each is √(e² - r²) long, and between them it lies on the arc π + 2 asin(r / e).
    """
    gear, girth = piece.gear, anchor.girth
    if not isinstance(gear, Strap | Chain) or girth is None:
        return []
    thick = anchor.radius if anchor.radius > 0.0 else girth / (2.0 * pi)
    thin = anchor.least_radius if anchor.radius > 0.0 else thick
    short, long = gear.length, gear.length if gear.length_most is None else gear.length_most
    # A short one reaches least far round a thick trunk; a long one on a thin trunk stands out most.
    rated = None if piece.unrated or gear.wll is None else gear.wll * piece.condition.keeps
    out = {way.how: way for way in _ways(gear, rated, thin, long)}
    return [
        replace(way, standoff=out[way.how].standoff) for way in _ways(gear, rated, thick, short)
    ]


def _ways(gear: Strap | Chain, rated: float | None, radius: float, length: float) -> list[Way]:
    widest = figure("strap", "basket_most_included")
    nearest = radius / sin(widest / 2.0)  # where the legs meet at the widest angle
    noose = _length(radius, nearest)
    out = []
    if length >= noose:
        meets = _meets(radius, nearest, length)
        spread = sqrt(max(1.0 - (radius / meets) ** 2, 0.0))  # cosine of half the legs' angle
        stands = None if rated is None else gear.basket_factor * rated * spread
        out.append(Way("basket", stands, meets))
    if length >= noose + figure("strap", "choker_least_leg"):
        stands = None if rated is None else gear.choker_factor * rated * _choke(degrees(widest))
        out.append(Way("choker", stands, nearest + length - noose))
    return out


def _length(radius: float, meets: float) -> float:
    tangent = sqrt(max(meets * meets - radius * radius, 0.0))
    return 2.0 * tangent + radius * (pi + 2.0 * asin(min(radius / meets, 1.0)))


@cache
def _meets(radius: float, nearest: float, length: float) -> float:
    """Where the legs of a basket of that length meet, m from the trunk's middle."""
    low, high = nearest, length / 2.0 + radius
    for _ in range(200):
        middle = (low + high) / 2.0
        if _length(radius, middle) < length:
            low = middle
        else:
            high = middle
        if high - low <= CLOSE * high:
            break
    return (low + high) / 2.0


def _choke(angle: float) -> float:
    """Share of the choker rating kept at an angle of choke [degrees]."""
    steps = table("strap")["choke_angle"]
    pairs = zip(steps["least_degrees"], steps["values"], strict=True)
    return max(float(share) for least, share in pairs if angle >= least - 1e-9)


@dataclass(frozen=True, slots=True)
class Grips:
    """How a rope holds round a trunk: friction that is counted on, friction at most, and how many
    turns it may have."""

    low: float
    high: float
    most_turns: int

    def ratio(self, turns: int) -> float:
        """Tension in front of the turns over the hand's behind them, as far as it is counted on."""
        return exp(2.0 * pi * turns * self.low)

    def most_ratio(self, turns: int) -> float:
        """The same where the rope grips as well as it may."""
        return exp(2.0 * pi * turns * self.high)


def grips(rope: Rope) -> Grips | None:
    """None for wire rope, which is not eased out by hand."""
    if not rope.knottable:
        return None
    kinds = table("capstan")
    word = rope.material.casefold()
    known = [
        kind
        for kind in kinds.values()
        if word in [name.casefold() for name in kind.get("materials", ())]
    ]
    entry = known[-1] if known else kinds[UNKNOWN]
    return Grips(float(entry["low"]), float(entry["high"]), int(entry["most_turns"]))
