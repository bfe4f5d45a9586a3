"""Works out the margins of a setup at the ends of the site's ranges."""

from dataclasses import replace
from math import asin, dist, inf

from catalogue.gear import Block
from optimiser.proof import rigs
from optimiser.proof.claim import Claim, of_haul, of_way_down
from optimiser.proof.duties import Hauls, Holds, runs
from optimiser.proof.loads import account, lengths
from optimiser.proof.loads.states import Duty
from optimiser.proof.notes import Notes, refusing
from optimiser.proof.pieces import joins
from optimiser.proof.place.points import each_leg
from optimiser.proof.way_down import hand_limit, turns_of
from optimiser.rig.setup import HoldRow, LoweringSetup, Role, Setup, StationRow
from optimiser.site.model import Puller, Site

NEAR = 1e-6


def verify_margins(setup: Setup, worst: Site, best: Site) -> None:
    """Raise `VerificationError` unless the setup's margin at the worst is what it has on the site `worst`,
    with every range at its worse end, and its margin at best the one on `best`, but no less than at the
    worst. 0 where it does not work there."""
    with refusing(f"setup {setup.rank} ({setup.reeving})") as notes:
        if setup.margin_worst is None or setup.margin_best is None:
            return
        least = margin_on(worst, setup)
        if setup.second is not None and setup.margin_worst == 0.0:
            return  # how far a grip goes is not looked at here
        notes.same("margin at the worst", setup.margin_worst, least, near=NEAR)
        most = max(margin_on(best, setup), least)
        notes.same("margin at best", setup.margin_best, most, near=NEAR)


def verify_margins_down(
    setup: LoweringSetup, worst: Site, best: Site, *, hand: float | None = None
) -> None:
    """The same of a way down; both sites with the path from its lower end up. Its margin is infinite where
    the load rests all along its stretch. `hand`: the most that the hand may hold, N, where that was
    requested."""
    with refusing(f"way down {setup.rank} ({setup.reeving})") as notes:
        if setup.margin_worst is None or setup.margin_best is None:
            return
        least = margin_down_on(worst, setup, hand=hand)
        if setup.margin_worst == 0.0:
            return  # it may also be that the load runs beyond the stretch that it holds
        notes.same("margin at the worst", setup.margin_worst, least, near=NEAR)
        most = max(margin_down_on(best, setup, hand=hand), least)
        if most == inf or setup.margin_best == inf:
            notes.need(most == setup.margin_best, "whether it rests at the best ends")
        else:
            notes.same("margin at best", setup.margin_best, most, near=NEAR)


def standing_there(own: Puller, claimed: Puller) -> Puller:
    """A site's puller where an answer has it stand, if that is for the answer to say."""
    if own.room is None:
        return own
    return replace(
        own,
        position=claimed.position,
        heading=claimed.heading,
        run=claimed.run,
        stand=claimed.stand,
    )


def margin_on(site: Site, setup: Setup) -> float:
    """Margin of the setup on another site, with that site's pieces, puller and hitches by their names; 0
    where it does not work there."""
    return _margin(site, of_haul(setup), Hauls(site, guide=setup.steered))


def margin_down_on(site: Site, setup: LoweringSetup, *, hand: float | None = None) -> float:
    """The same of a way down, on a site whose path begins at its lower end; infinite where the load rests all
    along its stretch."""
    claim = of_way_down(setup, 0.0)
    able = turns_of(claim)
    ratio = 1.0 if able is None else able.ratio(setup.turns)
    limit = hand_limit(hand) * ratio
    runs_there = [
        point
        for start, end, point in each_leg(site)
        if runs(point, 1.0) > 0.0 and min(end, setup.from_m) - max(start, setup.to_m) > NEAR
    ]
    if not runs_there:
        return inf
    duty = Holds(site, limit if claim.by_hand else None)
    return _margin(site, claim, duty, ratio=ratio)


def _margin(site: Site, claim: Claim, duty: Duty, *, ratio: float = 1.0) -> float:
    """Margin of a rig on another site; 0 where it does not work there."""
    owned = {piece.name: piece for piece in site.gear}
    pullers = (
        [claim.puller]
        if claim.by_hand
        else [p for p in site.pullers if p.name == claim.puller.name]
    )
    ropes = [joins.of_parts(line.rope, owned) for line in claim.lines]
    known = [rope for rope in ropes if rope is not None]
    if not pullers or len(known) < len(ropes):
        return 0.0
    owned |= {rope.name: rope for rope in known}
    etas: dict[int, float] = {}
    for h in claim.gear:
        block = owned[h.item].gear if h.item in owned else None
        if h.role is Role.BLOCK and isinstance(block, Block):
            etas |= dict.fromkeys(h.nodes, block.eta)
    lines, begin = [], 1
    for line, rope in zip(claim.lines, known, strict=True):
        passed = [etas.get(n, eta) for n, eta in enumerate(line.etas, start=begin)]
        lines.append(replace(line, rope=rope, etas=tuple(passed)))
        begin += len(line.walk)
    rows = tuple(_over(site, row) for row in claim.rows)
    claim = replace(
        claim, lines=tuple(lines), puller=standing_there(pullers[0], claim.puller), rows=rows
    )
    notes = Notes()
    worked = rigs.work(site, claim, duty, owned, notes, ratio=ratio)
    if worked is None or notes.found:
        return 0.0
    if claim.second is None:
        needs = lengths.needed(site, claim, worked.hanging, worked.found)
        if not needs or min(needs) > (claim.rope.length or 0.0) + 1e-6:
            return 0.0
    return account.margin(worked.book, worked.hanging)


def _over(site: Site, row: StationRow | HoldRow) -> StationRow | HoldRow:
    """The row with the name that the ground under it has on another site of the same path: a leg that
    gives its resistance as a range is named by the end that is taken."""
    start, under = 0.0, []
    for leg in site.legs:
        end = start + dist(leg.start, leg.end)
        if start - NEAR <= row.at <= end + NEAR:
            under.append(leg)
        start = end
    if not under or row.surface in {leg.surface for leg in under}:
        return row
    rise = [asin((leg.end[2] - leg.start[2]) / dist(leg.start, leg.end)) for leg in under]
    nearest = min(range(len(under)), key=lambda i: abs(rise[i] - row.slope))
    return replace(row, surface=under[nearest].surface)
