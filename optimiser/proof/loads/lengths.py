"""Works out how much rope a rig of one rope takes, and how often whoever has its end takes a new grip."""

from optimiser.proof.claim import Claim
from optimiser.proof.loads.states import Found
from optimiser.proof.notes import Notes
from optimiser.proof.pieces.hanging import Hanging
from optimiser.site.model import Site


def check(
    site: Site, claim: Claim, hanging: Hanging, found: Found, owned: float | None, notes: Notes
) -> None:
    """Rope needed: the longest line, what is kept in hand, what ends eat, and the turns round a trunk.
    `owned`: m of rope that the answer states, None where it does not."""
    assert claim.rope.length is not None
    needs = needed(site, claim, hanging, found)
    if not notes.need(bool(needs), "no way to make the rope's ends fast as stated"):
        return
    stated = claim.lines[0].rope_needed
    nearest = min(needs, key=lambda need: abs(need - stated))
    notes.same("rope needed", stated, nearest)
    if owned is not None:
        notes.same("rope owned", owned, claim.rope.length)
    notes.need(
        nearest <= claim.rope.length + 1e-6,
        f"rope too short: {nearest:.3f} m needed, {claim.rope.length:.3f} m owned",
    )


def needed(site: Site, claim: Claim, hanging: Hanging, found: Found) -> list[float]:
    """m of rope that the rig takes, for each reading of how its ends are made fast."""
    rope, anchor = claim.rope.gear, hanging.anchor(0)
    longest = max(found.near) + site.preferences.rope_spare
    if claim.by_hand:
        trunk = hanging.anchor(hanging.end)
        longest += claim.turns * ((trunk.girth or 0.0) if trunk is not None else 0.0)
    return [
        longest + first.eats(rope, anchor) + second.eats(rope, None)
        for first, second in hanging.both_ends()
    ]
