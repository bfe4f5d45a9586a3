"""Whether a haul with the holding lines it needs exists on a stretch, by plain enumeration: every way to part
the gear between the two, every rig of both.

Slow on purpose: no bounds, no order, nothing known from other stretches. What works and what it bears say the
enumerations of hauls and of ways down, which take nothing of the program but the site.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from catalogue.gear import Block, Rope, Shackle
from optimiser.site.model import Anchor, Owned, Site, is_strap
from tests.oracle.enumeration import rated_scene, rigs, scenes_of
from tests.oracle.fill import Rigged
from tests.oracle.ground import Station
from tests.oracle.letting_down import eased_rigs, kept_by_hand, runs_back
from tests.oracle.stretches import Path
from tests.stages.exhaustive import marks_of

Split = tuple[Owned, ...]
MOST_OF_A_LINE = {Block: 1, Shackle: 3}
"""Pieces of a kind beyond which a line of one sheave has no place for more; straps: two."""
NOTHING = 1e-6
"""N or N·m left where the haul takes all."""


def fewest_stages(site: Site, grain: float, most: int) -> int | None:
    """The fewest stages, each of which has its holding lines; None where most do not do."""
    marks, path = marks_of(site, grain), Path(site)
    reached = {0}
    for stages in range(1, most + 1):
        reached = {
            end
            for begin in reached
            for end in range(begin + 1, len(marks))
            if works(site, list(path.between(marks[begin], marks[end])))
        }
        if len(marks) - 1 in reached:
            return stages
    return None


def works(site: Site, line: list[Station]) -> bool:
    """Whether any haul over a stretch that nowhere falls leaves what holds the load wherever it would run
    back."""
    assert all(s.t[2] >= 0.0 for s in line), "not of paths that fall"
    held = runs_back(site, line)
    if not held:
        return any(_hauls(site, line))
    for split in _splits(site):
        if not _holds(replace(site, gear=split), held):
            continue
        for haul in _hauls(replace(site, gear=_rest(site, split)), line):
            if _holds(replace(spare_site(site, haul), gear=split), held):
                return True
    return False


def spare_site(site: Site, haul: Rigged) -> Site:
    """The site without what a haul puts on its anchors and on the hitches of the load, whether both pull at
    one time or not. The gear is parted before."""
    on_anchors = {name: worst for name, worst, _ in haul.on_anchors()}
    on_hitches = {
        hitch.name: worst
        for hitch, worst in zip(haul.scene.grip.hitches, haul.hitches, strict=True)
    }
    hitches = tuple(
        h if h.rating is None else replace(h, rating=_left(h.rating, on_hitches.get(h.name, 0.0)))
        for h in site.load.hitches
    )
    anchors = tuple(_weaker(anchor, on_anchors.get(anchor.name, 0.0)) for anchor in site.anchors)
    return replace(site, anchors=anchors, load=replace(site.load, hitches=hitches))


def _weaker(anchor: Anchor, taken: float) -> Anchor:
    assert anchor.directions is None, "not of anchors that stand some pulls only"
    assert anchor.sling is None, "not of trees that share a pull"
    stands = anchor.strength.capacity
    if stands is None:
        return anchor
    strength = replace(anchor.strength, capacity=_left(stands, taken))
    return replace(anchor, strength=strength)  # type: ignore[type-var]


def _left(stands: float, taken: float) -> float:
    return max(stands - taken, NOTHING)


def _splits(site: Site) -> Iterator[Split]:
    """Every set of gear that a line may have, with one rope."""
    ropes = [p for p in site.gear if isinstance(p.gear, Rope)]
    others = [p for p in site.gear if not isinstance(p.gear, Rope)]
    most = [2 if is_strap(p) else MOST_OF_A_LINE.get(type(p.gear), 0) for p in others]
    counts = [range(min(p.count, many) + 1) for p, many in zip(others, most, strict=True)]
    for rope in ropes:
        for many in product(*counts):
            some = (replace(p, count=n) for p, n in zip(others, many, strict=True) if n)
            yield (rope, *some)


def _rest(site: Site, split: Split) -> tuple[Owned, ...]:
    taken = {piece.name: piece.count for piece in split}
    left = (replace(p, count=p.count - taken.get(p.name, 0)) for p in site.gear)
    return tuple(p for p in left if p.count > 0)


def _hauls(site: Site, line: list[Station]) -> Iterator[Rigged]:
    """Every haul over some stations with the gear of a site."""
    for scene in scenes_of(site, line):
        if rated_scene(scene):
            yield from (haul for haul in rigs(scene, only_rated=True) if _does(haul))


def _holds(site: Site, line: list[Station]) -> bool:
    """Whether any line of at most one sheave, in a hand behind turns, keeps the load over some stations."""
    for scene in kept_by_hand(site, line):
        if rated_scene(scene) and any(map(_does, eased_rigs(scene, 1, only_rated=True))):
            return True
    return False


def _does(rig: Rigged) -> bool:
    """Whether some filling keeps the margin wanted."""
    wanted = rig.scene.site.preferences.margin_wanted
    return rig.fixed >= wanted and rig.best()[0] >= wanted
