"""Computes what pieces without a rating would have to stand: the condition on which a setup is an
answer."""

from collections.abc import Iterable
from dataclasses import replace
from math import prod
from typing import Any

from catalogue.gear import Protector, Rope
from optimiser.mechanics.values import AnchorStrength
from optimiser.rig.setup import Component, IfStands, LoweringSetup, Role, Setup, names
from optimiser.site.model import Owned, Site
from shared.units import Dimension, Rounding, show
from shared.words import with_the

BEYOND = 1e9
"""N or N·m: more than comes on anything here. Stands for the strength of what has no rating where a search
asks what would do if it held; no answer ever prints it."""
_OF_THE_ROPE = ("divided by design factor", "condition: ")
"""Factors of a rope that have nothing to do with how its ends are made fast."""


def conditions(
    parts: Iterable[Component], ropes: Iterable[str], puller: str, wanted: float
) -> tuple[IfStands, ...]:
    """One condition for each part without a rating: what comes on it at worst times the margin wanted. A
    rope has one, for what its ends and bends leave of it."""
    out: dict[tuple[str, str], IfStands] = {}
    whole = set(ropes)
    for part in parts:
        if part.capacity is not None:
            continue
        place, what, force = part.place, part.name, part.demand * wanted
        if part.item in whole:
            place, what, force = "", part.item, force / _left_of(part)
        elif part.role is Role.HITCH:
            what = f"hitch {part.item} on the load"
        elif part.role is Role.PULLER_HITCH:
            what = f"hitch of {with_the(puller)}"
        elif part.role is Role.ANCHOR:
            what = part.item
        known = out.get((what, place))
        if known is None or known.force < force:
            found = IfStands(item=part.item, place=place, what=what, force=force, unit=part.unit)
            out[what, place] = found
    return tuple(out.values())


def _left_of(part: Component) -> float:
    """Share of a rope's strength that a knot or a bend leaves."""
    shares = (
        factor.value
        for factor in part.factors
        if factor.unit == "" and not factor.name.startswith(_OF_THE_ROPE)
    )
    return prod(shares)


def together(setups: Iterable[Setup | LoweringSetup]) -> tuple[IfStands, ...]:
    """The conditions of several stages: of each part the hardest."""
    out: dict[tuple[str, str], IfStands] = {}
    for setup in setups:
        for one in setup.if_stands:
            known = out.get((one.what, one.place))
            if known is None or known.force < one.force:
                out[one.what, one.place] = one
    return tuple(out.values())


def in_words(some: Iterable[IfStands], system: str) -> str:
    """ "if the hitch eye on the load stands 3.1 kN and the old strap ... stands 2.0 kN"; "" without any."""
    clauses = []
    for one in some:
        dimension = Dimension.MOMENT if one.unit == "N·m" else Dimension.FORCE
        what = with_the(one.what) if one.what.startswith("hitch ") else one.what
        clauses.append(f"{what} stands {show(one.force, dimension, system, Rounding.UP)}")
    return f"if {names(clauses)}" if clauses else ""


def unrated(setup: Setup | LoweringSetup, system: str) -> str:
    """Names in words what has no rating, and what it would have to stand; "" where all is rated."""
    if not setup.unrated:
        return ""
    text = in_words(setup.if_stands, system)
    return f"UNRATED, so unproven: {f'it holds only {text}' if text else '; '.join(setup.unrated)}"


def as_if_rated(site: Site) -> Site:
    """The site with all that has no rating taken to stand whatever comes on it: only for finding what would
    do if it held."""
    hitches = tuple(replace(h, rating=BEYOND) if h.rating is None else h for h in site.load.hitches)
    pullers = tuple(
        replace(p, hitch_rating=BEYOND) if p.needs_termination and p.hitch_rating is None else p
        for p in site.pullers
    )
    anchors = tuple(
        replace(a, strength=_strong(a.strength)) if a.strength.capacity is None else a  # type: ignore[type-var]
        for a in site.anchors
    )
    return replace(
        site, load=replace(site.load, hitches=hitches), pullers=pullers, anchors=anchors,
        gear=tuple(_rated(piece) for piece in site.gear),
    )  # fmt: skip


def _strong(strength: AnchorStrength) -> AnchorStrength:
    return replace(strength, capacity=BEYOND)


def _rated(piece: Owned) -> Owned:
    gear = piece.gear
    if isinstance(gear, Protector):
        return piece  # what a rope runs over needs none
    if isinstance(gear, Rope):
        known = not piece.unrated and (gear.mbs is not None or gear.wll is not None)
        strong: Any = replace(gear, mbs=BEYOND * gear.design_factor, wll=None)
    else:
        known = not piece.unrated and gear.wll is not None
        strong = replace(gear, wll=BEYOND)
    return piece if known else replace(piece, gear=strong, unrated=False)
