"""Checks which way anchors that are made are pulled, and that there is what they are made of."""

from collections import Counter
from collections.abc import Mapping
from itertools import pairwise
from math import atan2, degrees, hypot, pi

from optimiser.proof.claim import Claim
from optimiser.proof.loads.forces import Found, Group
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
        forces = [force for _, force in found.ways.get(group, [])]
        up = max(
            (atan2(z, hypot(x, y)) for x, y, z in forces if hypot(x, y, z) > NO_WAY), default=0.0
        )
        notes.need(
            up <= stands.up + SLACK,
            f"{anchor.name} is pulled up at {degrees(up):.1f} degrees",
        )
        if stands.aside is not None:
            wide = _fan([atan2(y, x) for x, y, _ in forces if hypot(x, y) > NO_WAY])
            notes.need(
                wide <= 2.0 * stands.aside + SLACK,
                f"pulls on {anchor.name} are {degrees(wide):.1f} degrees apart",
            )
    _there_is_enough(site, claim, notes)


def _fan(ways: list[float]) -> float:
    """The narrowest fan that takes in all of some directions, rad: the circle but for the widest gap."""
    if not ways:
        return 0.0
    rising = sorted(ways)
    return 2.0 * pi - max(b - a for a, b in pairwise([*rising, rising[0] + 2.0 * pi]))


def _there_is_enough(site: Site, claim: Claim, notes: Notes) -> None:
    """Notes what all anchors of the rig together take too much of."""
    used = {place.name for line in claim.lines for place in line.walk} | {claim.puller.anchor}
    used |= {word.removeprefix("anchor ") for word in claim.taken if word.startswith("anchor ")}
    taken: Counter[str] = Counter()
    for anchor in site.anchors:
        if anchor.name in used:
            taken.update(dict(anchor.uses))
    there = dict(site.stock)
    for what, many in taken.items():
        notes.need(
            many <= there.get(what, 0), f"{many} of {what} where {there.get(what, 0)} are there"
        )
