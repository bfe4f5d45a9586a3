"""Checks which way anchors that are made are pulled, and that there is what they are made of."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from itertools import pairwise
from math import atan2, cos, degrees, hypot, pi, sin

from optimiser.proof.claim import Claim
from optimiser.proof.loads.states import Found, Group
from optimiser.proof.notes import Notes
from optimiser.site.model import Site

SLACK = 1e-6
"""rad, for rounding."""
NO_WAY = 1e-8
"""Of the pull at the rope's end: what is less leads nowhere."""


def check(site: Site, claim: Claim, named: Mapping[str, Group], found: Found, notes: Notes) -> None:
    """Notes an anchor that is pulled too steeply or from too many sides, and one too many."""
    for anchor in site.anchors:
        group, stands = named.get(f"anchor {anchor.name}"), anchor.directions
        if group is None or stands is None:
            continue
        up, level = _ways(found, group)
        notes.need(
            up <= stands.up + SLACK,
            f"{anchor.name} is pulled up at {degrees(up):.1f} degrees",
        )
        if stands.aside is not None:
            wide = _fan(level)
            notes.need(
                wide <= 2.0 * stands.aside + SLACK,
                f"pulls on {anchor.name} are {degrees(wide):.1f} degrees apart",
            )
    before = {w.removeprefix("anchor ") for w in claim.taken if w.startswith("anchor ")}
    _there_is_enough(site, _names(claim) | before, notes)


def _ways(found: Found, group: Group) -> tuple[float, list[float]]:
    """How steeply the steepest pull on an anchor rises, and which way each leads in plan, rad."""
    forces = [force for force in found.ways.get(group, []) if hypot(*force) > NO_WAY]
    up = max((atan2(z, hypot(x, y)) for x, y, z in forces), default=0.0)
    return up, [atan2(y, x) for x, y, _ in forces if hypot(x, y) > NO_WAY]


def _fan(ways: list[float]) -> float:
    """The narrowest fan that takes in all of some directions, rad: the circle but for the widest gap."""
    if not ways:
        return 0.0
    rising = sorted(ways)
    return 2.0 * pi - max(b - a for a, b in pairwise([*rising, rising[0] + 2.0 * pi]))


def check_stated(
    site: Site, claim: Claim, named: Mapping[str, Group], found: Found, notes: Notes
) -> None:
    """Notes an anchor to be made whose pulls are not as the answer states them."""
    for anchor in site.anchors:
        group, making = named.get(f"anchor {anchor.name}"), anchor.making
        if group is None or making is None or anchor.directions is None:
            continue
        stated = [one for one in claim.made if one.anchor == anchor.name]
        if not notes.need(len(stated) == 1, f"{anchor.name} is not said to be made first"):
            continue
        (one,) = stated
        notes.need(one.making == making, f"{anchor.name} is made otherwise")
        up, level = _ways(found, group)
        wide = _fan(level)
        notes.same(f"rise of the pull on {anchor.name}", one.rise, up)
        notes.same(f"spread of the pulls on {anchor.name}", one.spread, wide / 2.0)
        if anchor.directions.aside is None:
            notes.need(one.way is None, f"{anchor.name} may face any way")
        elif notes.need(one.way is not None, f"{anchor.name} has to face its pulls"):
            assert one.way is not None
            off = max(abs(_turned(way - one.way)) for way in level) if level else 0.0
            notes.need(off <= wide / 2.0 + SLACK, f"{anchor.name} does not face its pulls")


def _turned(angle: float) -> float:
    """The same angle within half a turn either way, rad."""
    return atan2(sin(angle), cos(angle))


def check_together(site: Site, claims: Sequence[Claim], notes: Notes) -> None:
    """Notes what rigs on one load take too much of, and an anchor that was to face the pulls of two."""
    each = [_names(claim) for claim in claims]
    for anchor in site.anchors:
        many = sum(anchor.name in names for names in each)
        notes.need(
            many < 2 or (anchor.directions is None and anchor.sling is None),
            f"{anchor.name} is laid out for the pulls of one line, and {many} pull on it",
        )
    _there_is_enough(site, set[str]().union(*each), notes)


def _names(claim: Claim) -> set[str]:
    """Where the lines of a rig lead, by name."""
    used = {place.name for line in claim.lines for place in line.walk}
    return used | {claim.puller.anchor or ""}


def _there_is_enough(site: Site, used: Collection[str], notes: Notes) -> None:
    """Notes what anchors take too much of all together."""
    taken: Counter[str] = Counter()
    for anchor in site.anchors:
        if anchor.name in used:
            taken.update(dict(anchor.uses))
    there = dict(site.stock)
    for what, many in taken.items():
        notes.need(
            many <= there.get(what, 0), f"{many} of {what} where {there.get(what, 0)} are there"
        )
