"""Compares an answer's list of components with the check's own: demands, capacities, margin, the
weakest."""

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from optimiser.proof.claim import Claim
from optimiser.proof.notes import EXACT, Notes, equal
from optimiser.proof.pieces.hanging import Hanging
from optimiser.proof.pieces.strength import Loaded, Strength
from optimiser.rig.setup import Component, IfStands

BETWEEN = 0.05
"""Relative: how much worse than at the stations a force may be midway between two of them. Stations
lie no further apart than an eighth of the way to the nearest anchor, which leaves a part in some
hundreds; the rest of it is room before an answer is refused as a defect. Over an edge a line turns quicker,
so that stations further apart than a site file may have them (`CLOSE`) leave that much more."""
CLOSE = 0.25
"""m between two stations, the most that a site file may have."""


def check(account: Strength, claim: Claim, hanging: Hanging, notes: Notes) -> None:
    """Demands, capacities, margin, the weakest piece and the pieces without a rating."""
    every = [account.lines(ends) for ends in hanging.all_ends()]
    if not notes.need(bool(every), "no way to make the rope's ends fast as stated"):
        return
    # Of several readings of one name the one that the answer means.
    lines = min(every, key=lambda one: abs(_least(one) - claim.margin))
    at_rows, anywhere = account.end()
    margin = min(at_rows, _least(lines))
    notes.same("margin", claim.margin, margin)
    worst = min(anywhere, *(line.margin_between for line in lines))
    apart = max((b.at - a.at for a, b in pairwise(claim.rows)), default=0.0)
    coarse = max(apart / CLOSE, 1.0) if account.found.touched else 1.0
    notes.need(
        worst >= margin * (1.0 - BETWEEN * coarse),
        f"margin {worst:.4g} between two stations, not {margin:.4g}",
    )
    notes.need(
        margin >= claim.least * (1.0 - EXACT), f"a piece is above its capacity: margin {margin:.6g}"
    )
    tight = [c for c in claim.components if c.name == claim.weakest]
    notes.need(any(equal(c.margin, margin) for c in tight), f"the weakest is not {claim.weakest}")
    notes.need(
        set(claim.unrated) == account.unrated(), f"unrated: {sorted(account.unrated())} found"
    )
    _components(claim, account, [*lines, account.own_line()], notes)
    if claim.if_stands is not None:
        _conditions(claim, lines, account.site.preferences.margin_wanted, notes)


def _conditions(claim: Claim, lines: list[Loaded], wanted: float, notes: Notes) -> None:
    """What each piece without a rating would have to stand: for a rope with what a knot leaves of it."""
    ropes, left = {line.rope.name for line in claim.lines}, list(claim.if_stands or ())
    for line in lines:
        if line.capacity is not None:
            continue
        place, force = line.place, line.demand * wanted
        if line.item in ropes:
            place, force = "", force / line.keeps
        conditions = [c for c in claim.if_stands or () if (c.item, c.place) == (line.item, place)]
        enough = any(c.force >= force * (1.0 - EXACT) and c.unit == line.unit for c in conditions)
        notes.need(enough, f"{line.item} would have to stand {force:.6g} {line.unit}")
        left = [c for c in left if c not in conditions or not equal(c.force, force)]
    for other in left:
        notes.differ(f"nothing asks {other.what} to stand {other.force:.6g} {other.unit}")


def margin(account: Strength, hanging: Hanging) -> float:
    """The rig's margin at the profile's points; of several readings of its ends the least."""
    every = [_least(account.lines(ends)) for ends in hanging.all_ends()]
    return min(account.end()[0], *every) if every else 0.0


def check_conditions(stated: Iterable[IfStands], claim: Claim, wanted: float, notes: Notes) -> None:
    """What parts without a rating are stated to have to stand, against the components (which are checked):
    each at least what comes on it times the margin wanted, and nothing but a rope more, which has to make
    up for its knots."""
    ropes = {line.rope.name for line in claim.lines}
    loose = [c for c in claim.components if c.capacity is None]
    left = list(stated)
    for item, place in dict.fromkeys((c.item, "" if c.item in ropes else c.place) for c in loose):
        demands = [
            c.demand for c in loose if c.item == item and (item in ropes or c.place == place)
        ]
        found = [one for one in left if (one.item, one.place) == (item, place)]
        forces = [one.force for one in found]
        if item in ropes:
            right = len(forces) == 1 and forces[0] >= max(demands) * wanted * (1.0 - EXACT)
        else:
            # Equal pieces at one place may be listed as one, by the greater.
            right = bool(forces) and equal(max(forces), max(demands) * wanted)
            right = right and all(any(equal(f, d * wanted) for d in demands) for f in forces)
        notes.need(right, f"{item} without a rating is not said to have to stand what comes on it")
        left = [one for one in left if one not in found]
    notes.need(not left, "more conditions than parts without a rating")


def _least(lines: list[Loaded]) -> float:
    return min(line.margin for line in lines)


def _components(claim: Claim, account: Strength, lines: list[Loaded], notes: Notes) -> None:
    """The answer's list of components against the check's, each once."""
    left = list(claim.components)
    for line in lines:
        match = next((c for c in left if _matches(c, line)), None)
        if match is None:
            notes.differ(
                f"no component {line.item} at {line.place or 'the rope'} with a demand of "
                f"{line.demand:.6g} and a capacity of {line.capacity}"
            )
            continue
        left.remove(match)
        notes.need(_comes_at(match, line, account), f"{match.name}: the worst comes elsewhere")
    for extra in left:
        notes.differ(f"component {extra.name} is not in this rig, or not with these figures")


def _matches(c: Component, line: Loaded) -> bool:
    where = (c.item, c.place, c.unit) == (line.item, line.place, line.unit)
    if not where or not c.name.endswith(line.ending) or not equal(c.demand, line.demand):
        return False
    if c.capacity is None or line.capacity is None:
        return c.capacity is None and line.capacity is None
    return equal(c.capacity, line.capacity)


def _comes_at(c: Component, line: Loaded, account: Strength) -> bool:
    """Whether the demand comes where the component states."""
    if line.own:
        return any(abs(at - c.at) < 1e-6 for at in account.tight())
    found = account.found
    if line.group is None:
        near = found.listed & (np.abs(found.course.at - c.at) < 1e-6)
        here = line.tension.at(found)[near] * account.dynamic
    else:
        worst = found.worst[line.group]
        here = worst.force[np.abs(worst.at - c.at) < 1e-6] * account.dynamic + line.more
    return any(equal(force, c.demand) for force in here.ravel().tolist())
