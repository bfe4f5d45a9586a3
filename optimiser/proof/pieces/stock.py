"""Checks whether all lines of an answer together use no more than there is."""

from collections import Counter
from collections.abc import Iterable, Mapping

from optimiser.proof.claim import Claim
from optimiser.proof.notes import Notes
from optimiser.rig.setup import Role
from optimiser.site.model import Owned

HUNG = (
    Role.STRAP, Role.SHACKLE, Role.BLOCK, Role.HOOK, Role.LEG, Role.EXTENSION, Role.PROTECTOR,
)  # fmt: skip
"""Roles of pieces that are used up where they hang; what else is listed is done with a rope."""


def used(claims: Iterable[Claim]) -> Counter[str]:
    """How many of each item some rigs use at one time, ropes included. A rope that is put together
    uses each rope in it; a strap or chain that lengthens one is listed by itself."""
    out: Counter[str] = Counter()
    for claim in claims:
        out.update(h.item for h in claim.gear if h.role in HUNG)
        for line in claim.lines:
            joined = line.rope.joined
            if joined is None:
                out[line.rope.name] += 1
            else:
                out.update([joined.second.name] + ([joined.first.name] if joined.bend else []))
    return out


def check(claims: Iterable[Claim], owned: Mapping[str, Owned], notes: Notes) -> None:
    """Every item against what is owned of it."""
    for name, many in used(claims).items():
        have = owned[name].count if name in owned else 0
        notes.need(many <= have, f"{many} of {name} used, {have} owned")
