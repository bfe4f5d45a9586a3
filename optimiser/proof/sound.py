"""Checks whether what an answer names is there: the walk is a walk over the site's places, pieces are
owned."""

from collections.abc import Mapping
from itertools import pairwise

from catalogue.gear import Rope
from optimiser.proof import two_ropes
from optimiser.proof.claim import Claim
from optimiser.proof.notes import Notes
from optimiser.proof.place import stand
from optimiser.proof.place.points import Hold
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Owned, Site


def check(
    site: Site, claim: Claim, grip: Hold | None, owned: Mapping[str, Owned], notes: Notes
) -> bool:
    """Whether so much is right that the rest can be worked out."""
    walk, nodes = claim.walk, claim.nodes
    notes.need(grip is not None, f"no hitch or bridle '{claim.attachment}' on the load")
    if claim.by_hand:
        whole = len(walk) >= 2 and nodes[-1].kind is PlaceKind.ANCHOR
        notes.need(whole, "the rope does not end at what it is turned round")
        notes.need(all(p.kind is not PlaceKind.PULLER for p in nodes), "the walk passes a puller")
    else:
        puller = claim.puller
        stand.check(site, puller, {place.name for place in nodes}, notes)
        stand.check_printed(site, puller, claim.standing, notes)
        whole = (
            len(walk) >= 2 and nodes[-1].kind is PlaceKind.PULLER and nodes[-1].name == puller.name
        )
        notes.need(whole, "the walk does not end at the puller")
        notes.need(
            all(p.kind is not PlaceKind.PULLER for p in nodes[:-1]), "the walk passes a puller"
        )
    notes.need(any(p.kind is PlaceKind.LOAD for p in walk), "the walk does not touch the load")
    twice = any(a == b for line in claim.lines for a, b in pairwise(line.walk))
    notes.need(not twice, "a place comes twice in a row")
    if claim.second is not None:
        two_ropes.sound(claim, notes)
    else:
        notes.need(
            all(p.kind is not PlaceKind.GRIP for p in walk), "a grip on a rope, and no second rope"
        )
    stands = {(a.name, h) for a in site.anchors for h in a.heights}
    for place in nodes:
        if place.kind is PlaceKind.ANCHOR:
            notes.need((place.name, place.height) in stands, f"no place for a strap at {place}")
    notes.need(len(claim.etas) == len(walk) - 2, "sheaves and efficiencies differ in number")
    notes.need(all(0.0 < eta <= 1.0 for eta in claim.etas), "an efficiency out of range")
    for h in claim.gear:
        notes.need(h.item in owned, f"{h.item} is not owned")
    for rope in (line.rope for line in claim.lines):
        known = owned.get(rope.name) == rope and isinstance(rope.gear, Rope)
        notes.need(known, f"rope {rope.name} is not owned")
        notes.need(rope.length is not None, f"rope {rope.name} has no length")
    return not notes.found
