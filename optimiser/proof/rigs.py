"""Runs the checks that every rig must pass, whatever it is for."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from optimiser.proof import sling, sound, two_ropes
from optimiser.proof.claim import Claim
from optimiser.proof.loads import account, lengths
from optimiser.proof.loads.forces import work_out
from optimiser.proof.loads.states import Duty, Found
from optimiser.proof.notes import Notes
from optimiser.proof.pieces import joins, protectors, room
from optimiser.proof.pieces.hanging import Hanging
from optimiser.proof.pieces.strength import Strength, groups
from optimiser.proof.place import clear, facing
from optimiser.proof.place.ground import Ground
from optimiser.proof.place.points import Hold, Point, hold, points
from optimiser.proof.two_ropes import TwoHanging, TwoStrength
from optimiser.site.model import Owned, Site


@dataclass(frozen=True)
class Worked:
    """What was worked out of a rig. `takes`: m of hardware at each node; `book`: what comes on each
    piece, and what it stands."""

    found: Found
    hanging: Hanging
    hold: Hold
    points: list[Point]
    takes: list[float]
    book: Strength


def ground_under(site: Site, claim: Claim, owned: Mapping[str, Owned]) -> Ground:
    """What the rig's lines may meet, with what it lays for them to run over."""
    return Ground(site, protectors.laid_by(claim, owned), may_touch=claim.may_touch)


def check(
    site: Site, claim: Claim, duty: Duty, owned: Mapping[str, Owned], notes: Notes,
    *, rope_owned: float | None = None, ratio: float = 1.0,
) -> Worked | None:  # fmt: skip
    """Everything but what the rig's own kind of answer states besides; None where it stopped short.

    `owned`: pieces by name; `rope_owned`: m that the answer states; `ratio`: tension in front of the
    turns over the hand's behind them.
    """
    worked = work(site, claim, duty, owned, notes, ratio=ratio)
    if worked is None:
        return None
    protectors.check(site, claim, worked.found, notes)
    if claim.second is None:
        lengths.check(site, claim, worked.hanging, worked.found, rope_owned, notes)
    account.check(worked.book, claim, worked.hanging, notes)
    named = groups(site, claim, worked.hold, worked.hanging)
    facing.check_stated(site, claim, named, worked.found, notes)
    _sling(site, claim, worked, notes)
    return worked


def _sling(site: Site, claim: Claim, worked: Worked, notes: Notes) -> None:
    """What the answer states of a sling between two trees."""
    trees = sling.shared(site, claim)
    if trees is not None:
        nodes = (trees.node,)
        group = groups(site, claim, worked.hold, worked.hanging)[f"nodes {nodes}"]
        worst = worked.found.worst[group].value * claim.puller.dynamic
        rope = worked.hanging.straps[nodes]
        sling.stated(claim, trees, worked.found.shackles, worst, rope, notes)


def work(
    site: Site, claim: Claim, duty: Duty, owned: Mapping[str, Owned], notes: Notes,
    *, ratio: float = 1.0,
) -> Worked | None:  # fmt: skip
    """Works a rig out, and notes whatever cannot be: a piece that does not go where it hangs, a load
    that is not moved or kept, a line that is not free, gear that has no room."""
    grip = hold(site.load, claim.attachment)
    if not sound.check(site, claim, grip, owned, notes):
        return None
    assert grip is not None
    sling.check(site, claim, notes)
    both = claim.second is not None
    hanging = (TwoHanging if both else Hanging)(site, claim, grip, dict(owned), notes)
    hanging.check()
    if notes.found:
        return None
    line = points(site, claim, notes)
    if notes.found:
        return None
    ground = ground_under(site, claim, owned)
    named = groups(site, claim, grip, hanging)
    wanted = dict.fromkeys(named.values())
    if both:
        found = two_ropes.work_out_both(site, claim, duty, grip, line, wanted, owned, notes)
    else:
        found = work_out(site, ground, claim, duty, grip, line, wanted, owned)
    for why, where in found.needs.why:
        at = found.course.at[found.listed & where.any(axis=1)]
        if len(at):
            notes.differ(f"at {at[0]:.2f} m: {why}")
            return None
    if not np.isfinite(found.pull).all():
        notes.differ("the load does not move, or is not kept, somewhere between two stations")
        return None
    clear.check(site, ground, claim, grip, line, notes)
    facing.check(site, claim, named, found, notes)
    trees = sling.shared(site, claim)
    if trees is not None:
        sling.clear(ground, claim, trees, found.shackles, notes)
    takes = room.hardware(claim, hanging)
    room.check(claim, takes, found, notes)
    if not both:
        joins.check(site, ground, claim, grip, hanging, line, takes, found, notes)
    book = (TwoStrength if both else Strength)(site, claim, grip, hanging, found, named, ratio)
    return Worked(found, hanging, grip, line, takes, book)
