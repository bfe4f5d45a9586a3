"""Checks where an answer says that its rope runs over edges, and what it lays there."""

from collections import Counter
from collections.abc import Mapping
from math import ceil, inf

from catalogue.edges import rubbing
from catalogue.gear import Protector
from optimiser.proof.claim import Claim
from optimiser.proof.loads.pressing import Touched
from optimiser.proof.loads.states import Found
from optimiser.proof.notes import Notes
from optimiser.rig.setup import Contact, Role
from optimiser.site.model import Owned, Site
from shared.units import Dimension, show

BARELY = 1e-6
"""rad: an angle of contact that may be left out, or said where there is none."""
PLACED = 1e-6
"""m within which a contact is where it is said to be."""
BESIDE = 0.3
"""m of a protector besides the width that the rope sweeps over (the job's own definition)."""


def laid_by(claim: Claim, owned: Mapping[str, Owned]) -> Protector | None:
    """What the rig lays on bare edges: the one kind of protector in its list of gear."""
    item = claim.protector
    gear = owned[item].gear if item is not None and item in owned else None
    return gear if isinstance(gear, Protector) else None


def check(site: Site, claim: Claim, found: Found, notes: Notes) -> None:
    """The answer's contacts and pieces against the check's, each once."""
    items = {h.item for h in claim.gear if h.role is Role.PROTECTOR}
    notes.need(len(items) <= 1, "more than one kind of protector laid")
    left = list(claim.contacts)
    for (part, at), here in sorted(found.touched.items()):
        match = next((c for c in left if c.part == part + 1 and _at(c, at)), None)
        if match is None:
            named = here.turn <= BARELY
            notes.need(
                named, f"part {part + 1} runs over the edge at {at:.3f} m, and it is not said"
            )
            continue
        left.remove(match)
        _same(match, here, claim, found.slips, notes)
    for extra in left:
        barely = extra.angle <= BARELY
        notes.need(barely, f"part {extra.part} runs over no edge at {extra.from_m:.3f} m")
    _pieces(site, claim, found, notes)


def _at(c: Contact, at: float) -> bool:
    return c.from_m - PLACED <= at <= c.to_m + PLACED


def _same(
    stated: Contact, here: Touched, claim: Claim, slips: bool, notes: Notes,
) -> None:  # fmt: skip
    place, protector = f"part {stated.part} at {here.spot.at:.2f} m", here.spot.protector
    assert protector is not None
    notes.same(f"{place}: angle", stated.angle, here.turn)
    notes.same(f"{place}: force on the edge", stated.force, here.force)
    notes.same(f"{place}: level pull on what lies there", stated.shift, here.shift)
    notes.same(f"{place}: left from", stated.left_from, here.left_from)
    notes.same(f"{place}: left to", stated.left_to, here.left_to)
    rubs = rubbing(protector, claim.rope.gear)
    notes.same(f"{place}: friction", stated.friction, rubs.low if slips else rubs.high)
    for end, load, own in (
        ("from", stated.load_from, here.load_from),
        ("to", stated.load_to, here.load_to),
    ):
        notes.same(f"{place}: the load {end}", inf if load is None else load, own)
    item = claim.protector
    if not here.spot.ours:
        fits = stated.owned is None and stated.protector == protector.name
    else:
        piece = stated.owned
        fits = piece is not None and piece.name == stated.protector == item
        fits = fits and piece is not None and piece.gear == protector
    notes.need(fits, f"{place}: {stated.protector} does not lie there")


def _pieces(site: Site, claim: Claim, found: Found, notes: Notes) -> None:
    """As many pieces as cover what the ropes run over where nothing lies yet, where it is."""
    spread: dict[float, tuple[float, float]] = {}
    kind: Protector | None = None
    for here in found.touched.values():
        if here.spot.ours and here.turn > BARELY:
            low, high = spread.get(here.spot.at, (inf, -inf))
            spread[here.spot.at] = min(low, here.left_from), max(high, here.left_to)
            kind = here.spot.protector
    need: Counter[str] = Counter()
    for group in _places(sorted(spread), 0.0 if kind is None else kind.covers):
        low, high = min(spread[at][0] for at in group), max(spread[at][1] for at in group)
        assert kind is not None
        ends = sorted({group[0], group[-1]})
        if claim.long is not None:
            ends = [claim.long - end for end in reversed(ends)]
        where = " to ".join(show(m, Dimension.LENGTH, site.preferences.units) for m in ends)
        many = ceil((high - low + BESIDE) / kind.length - 1e-9)
        need[f"the edge at {where} of the path"] += many
    laid = Counter(h.place for h in claim.gear if h.role is Role.PROTECTOR)
    notes.need(laid == need, f"protectors laid at {dict(laid)}, needed at {dict(need)}")


def _places(touched: list[float], covers: float) -> list[list[float]]:
    """The touched points, m along the path in order, by what one piece after the other covers."""
    out: list[list[float]] = []
    for at in touched:
        if out and at <= out[-1][0] + covers + 1e-9:
            out[-1].append(at)
        else:
            out.append([at])
    return out
