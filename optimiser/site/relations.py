"""Checks what has to agree between the parts of a document: names, places, and who refers to whom."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from math import hypot, pi
from typing import Any

from catalogue.book import load_catalogue
from catalogue.ground import Motion
from optimiser.mechanics.values import Vec
from optimiser.site.document.part import point
from optimiser.site.document.path import resolved
from optimiser.site.document.pullers import HandWinch
from optimiser.site.document.quantity import Quantity
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.messages import place
from shared.words import closest, did_you_mean, listed

ROOM = 0.1
"""m between the path and the face of anything that stands."""

SMALL = 0.6
"""Share of a surface's wheel radius below which its figure is not used: resistance grows by about
two thirds when a wheel is halved (choice of this program, after the Bekker form)."""

Found = tuple[Key, str]


def name_faults(raw: Mapping[str, Any]) -> Iterator[Found]:
    """Names that are used twice. Works on a document with other faults, so that all are reported."""
    yield from _twice(raw, ("tree", "anchor", "made", "obstacle", "puller", "mark"))
    yield from _twice(raw, ("gear",))
    load = raw.get("load")
    if isinstance(load, dict):
        yield from _twice(load, ("hitch",), before=("load",))


def relation_faults(document: SiteDocument) -> tuple[Iterator[Found], ...]:
    """What contradicts itself between the parts of a document that is sound part by part, rule by rule."""
    rules = (_surfaces, _winches, _on_the_path, _inside_each_other, _no_trees)
    return tuple(rule(document) for rule in rules)


def _twice(raw: Mapping[str, Any], sections: Sequence[str], before: Key = ()) -> Iterator[Found]:
    first: dict[str, Key] = {}
    for section in sections:
        items = raw.get(section)
        for number, item in enumerate(items if isinstance(items, list) else ()):
            if not isinstance(item, dict):
                continue
            name = item.get("name", item.get("id") if section == "gear" else None)
            if not isinstance(name, str) or not name:
                continue
            key: Key = (*before, section, number, "name" if "name" in item else "id")
            if name.casefold() in first:
                other = place(first[name.casefold()][:-1])
                advice = "" if "name" in item else '; add a line such as name = "second one"'
                yield key, f"the name '{name[:40]}' is already used by {other}{advice}"
            else:
                first[name.casefold()] = key


def _surfaces(document: SiteDocument) -> Iterator[Found]:
    load = document.load
    for number, leg in enumerate(document.path.leg):
        key = ("path", "leg", number)
        if leg.step is not None and leg.step.interval.high > 0 and load.motion is Motion.SLIDING:
            yield (
                (*key, "step"),
                f"the load rests on its {load.rests_on}, and only wheels climb a step; put a ramp "
                "there and make it a leg of its own",
            )
        if leg.surface is None:
            continue
        surface = resolved(leg.surface, load.motion)
        wrong = _wrong_surface(leg.surface, load.motion, load.rests_on)
        if wrong:
            yield (*key, "surface"), wrong
        elif leg.resistance is None and _too_small(load.wheel_radius, surface.wheel_radius):
            yield (
                (*key, "surface"),
                f"'{leg.surface}' holds for wheels of {surface.wheel_radius:g} m radius, and these "
                f"are far smaller; take {_for_small_wheels(leg.surface)}give a resistance",
            )


def _wrong_surface(surface: str, motion: Motion, rests_on: str) -> str:
    """What is wrong with a surface under a load that moves in a certain way; "" if nothing is."""
    found = resolved(surface, motion)
    if found.motion is motion:
        return ""
    surfaces = load_catalogue().surfaces
    fitting = [id for id, other in surfaces.items() if other.motion is motion]
    same = surface.removesuffix("-sliding")
    near = [id for id in fitting if id == same] or [
        id for id in fitting if f"-{same}-" in f"-{id}-"
    ]
    hint = f"; did you mean {listed(near[:3])}?" if near else did_you_mean(surface, fitting)
    return (
        f"'{surface}' is for a load that is {found.motion.value}; on {rests_on} "
        f"it is {motion.value}{hint}"
    )


def _no_anchor(name: str, named: Iterable[str]) -> str:
    return f"no [[tree]] or [[anchor]] is named '{name[:40]}'{did_you_mean(name, named)}"


def _too_small(wheel: Quantity | None, reference: float | None) -> bool:
    if wheel is None or reference is None:
        return False
    return wheel.at("stated") < SMALL * reference


def _for_small_wheels(surface: str) -> str:
    other = f"{surface}-hard-wheel"
    return f"'{other}' or " if other in load_catalogue().surfaces else "another surface, or "


def _winches(document: SiteDocument) -> Iterator[Found]:
    named = {thing.name: thing for thing in (*document.tree, *document.anchor)}
    for number, puller in enumerate(document.puller):
        if not isinstance(puller, HandWinch):
            continue
        anchor: str | None = puller.anchor
        if puller.anchor not in named:
            yield ("puller", number, "anchor"), _no_anchor(puller.anchor, named)
            anchor = closest(puller.anchor, named)
        if anchor is None:
            continue
        highest = max(named[anchor].heights(2))
        if puller.height.at("stated") > highest + 1e-9:
            yield (
                ("puller", number, "height"),
                (f"higher than the highest strap on '{anchor}', {highest:g} m"),
            )


def _on_the_path(document: SiteDocument) -> Iterator[Found]:
    points = [point(document.path.start), *(point(leg.to) for leg in document.path.leg)]
    for key, name, at, radius in _standing(document):
        gap = min(_plan_distance(at, start, end) for start, end in pairwise(points))
        if gap < radius + ROOM:
            yield (
                (*key, "at"),
                (
                    f"'{name}' stands on the path: its middle is {gap:.2f} m from it, and it is "
                    f"{2 * radius:.2f} m thick"
                ),
            )


def _inside_each_other(document: SiteDocument) -> Iterator[Found]:
    seen: list[tuple[str, Vec, float]] = []
    for key, name, at, radius in _standing(document):
        for other, there, thick in seen:
            if hypot(at[0] - there[0], at[1] - there[1]) < max(radius, thick):
                yield (*key, "at"), f"'{name}' stands where '{other}' stands"
                break
        seen.append((name, at, radius))


def _no_trees(document: SiteDocument) -> Iterator[Found]:
    for number, tree in enumerate(document.tree):
        if wrong := tree.impossible():
            yield ("tree", number), wrong


def _standing(document: SiteDocument) -> Iterator[tuple[Key, str, Vec, float]]:
    """Key, name, place and largest half-width of whatever stands on the site."""
    for number, tree in enumerate(document.tree):
        around = tree.diameter.interval.high if tree.diameter is not None else 0.0
        around = tree.girth.interval.high / pi if tree.girth is not None else around
        yield ("tree", number), tree.name, point(tree.at), around / 2
    for number, anchor in enumerate(document.anchor):
        yield ("anchor", number), anchor.name, point(anchor.at), anchor.half_width("worst")
    for number, made in enumerate(document.made):
        for name, at in zip(made.spot_names, made.points, strict=True):
            yield ("made", number), name, at, 0.0
    for number, obstacle in enumerate(document.obstacle):
        radius = obstacle.diameter.at("stated") / 2
        yield ("obstacle", number), obstacle.name, point(obstacle.at), radius


def _plan_distance(at: Vec, start: Vec, end: Vec) -> float:
    """Distance in plan from a point to a straight leg, m."""
    along = (end[0] - start[0], end[1] - start[1])
    square = along[0] ** 2 + along[1] ** 2
    share = ((at[0] - start[0]) * along[0] + (at[1] - start[1]) * along[1]) / square
    share = min(1.0, max(0.0, share))
    return hypot(at[0] - start[0] - share * along[0], at[1] - start[1] - share * along[1])
