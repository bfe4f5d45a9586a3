"""Checks whether what hangs at both ends of each part of the line fits into it where it is shortest."""

from catalogue.gear import Block, Shackle
from optimiser.proof.claim import Claim
from optimiser.proof.loads.states import Found
from optimiser.proof.notes import Notes
from optimiser.proof.pieces.hanging import Hanging
from optimiser.proof.pieces.joins import lengthened_by

ROUNDED = 5e-4
"""m: lengths of hardware are rounded to a tenth of a millimetre where pieces are chosen."""
END_TAKES = 0.2
"""m from the bearing point of the standing end to where the plain rope begins."""


def hardware(claim: Claim, hanging: Hanging) -> list[float]:
    """m of what hangs between each place and the rope."""
    takes = [0.0] * len(claim.nodes)
    for node in hanging.standing_nodes():
        takes[node] = END_TAKES
    for pieces in (hanging.blocks, hanging.shackles):
        for nodes, piece in pieces.items():
            for n in nodes:
                if n >= 0 and isinstance(piece.gear, Block | Shackle):
                    takes[n] += piece.gear.length
    for nodes, way in hanging.ways.items():
        for n in nodes:
            takes[n] += way.standoff
    return takes


def check(claim: Claim, takes: list[float], found: Found, notes: Notes) -> None:
    """`takes`: m of hardware at each node."""
    for k, short in enumerate(found.shortest):
        needed = (
            takes[k] + takes[k + 1] + (lengthened_by(claim.rope, at_most=True) if k == 0 else 0.0)
        )
        notes.need(
            needed <= short + ROUNDED,
            f"two-blocked: {needed:.3f} m of gear in {short:.3f} m between {claim.nodes[k]} and "
            f"{claim.nodes[k + 1]}",
        )
