"""Re-checks a setup from first principles, without the search's code.

Plain Python, point by point: from the site and what the setup says hangs where, the forces,
lengths, counts and capacities are worked out again and compared with what the setup claims. A
disagreement is a defect of the program, never of the input.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import isinf

from catalogue.gear import Block, Rope, Shackle
from optimiser.results import Component, Setup
from optimiser.site.model import Owned, Site, Vec
from optimiser.verification import holding, joins, pulling, two_ropes
from optimiser.verification.forces import Haul, State, fixed_places, haul, spots_of
from optimiser.verification.hanging import Hanging
from optimiser.verification.lines import Ground, meets
from optimiser.verification.notes import EXACT, Notes, equal
from optimiser.verification.strength import Line, Strength, groups
from optimiser.verification.stretch import Hold, Point, carried, hold, points
from optimiser.verification.two_ropes import TwoHanging, TwoStrength

BETWEEN = 0.05
"""Relative: how much worse than at the stations a force may be midway between two of them. Stations
lie no further apart than an eighth of the way to the nearest anchor, which leaves a part in some
hundreds; the rest of it is room before an answer is refused as a defect."""
ROUNDED = 5e-4
"""m: lengths of hardware are rounded to a tenth of a millimetre where pieces are chosen."""
END_TAKES = 0.2
"""m from the bearing point of the standing end to where the plain rope begins."""


class VerificationError(RuntimeError):
    """A setup is not what it says: an internal error. `disagreements` are told in the message."""

    def __init__(self, setup: Setup, disagreements: Sequence[str]) -> None:
        self.disagreements = tuple(disagreements)
        text = "; ".join(self.disagreements)
        super().__init__(f"setup {setup.rank} ({setup.reeving}) fails its re-check: {text}")


def verify(site: Site, setup: Setup, *, extra: Sequence[Owned] = (), kept: bool = False) -> None:
    """Raise `VerificationError` unless every figure that can be worked out again is right.

    `extra`: pieces that would be bought, owned besides those of the site; `kept`: where the load runs
    on downhill by itself a holding line is to be found for it (if the setup has one, that is checked).
    """
    notes = Notes()
    owned = {piece.name: piece for piece in (*site.gear, *extra)}
    grip = hold(site.load, setup.attachment)
    if _sound(site, setup, grip, owned, notes):
        assert grip is not None
        found = _check(site, setup, grip, owned, notes, kept=kept or bool(setup.holding))
        if found is not None and setup.holding:
            steered = max(s.steer for s in found.states if s.point.row is not None)
            holding.check(site, setup, steered, notes)
    if notes.found:
        raise VerificationError(setup, notes.found)


def _sound(
    site: Site, setup: Setup, grip: Hold | None, owned: dict[str, Owned], notes: Notes
) -> bool:
    """The walk is a walk over the site's places, and all that is named is there."""
    walk = setup.walk
    notes.need(grip is not None, f"no hitch or bridle '{setup.attachment}' on the load")
    notes.need(setup.puller in site.pullers, f"no such puller as {setup.puller.name}")
    nodes = setup.nodes
    whole = len(walk) >= 2 and nodes[-1].kind == "puller" and nodes[-1].name == setup.puller.name
    notes.need(whole, "the walk does not end at the puller")
    notes.need(all(p.kind != "puller" for p in nodes[:-1]), "the walk passes a puller")
    notes.need(any(p.kind == "load" for p in walk), "the walk does not touch the load")
    twice = any(a == b for line in setup.lines for a, b in pairwise(line.walk))
    notes.need(not twice, "a place comes twice in a row")
    if setup.second is not None:
        two_ropes.sound(site, setup, notes)
    stands = {(a.name, h) for a in site.anchors for h in a.heights}
    for place in nodes:
        if place.kind == "anchor":
            notes.need((place.name, place.height) in stands, f"no place for a strap at {place}")
    notes.need(len(setup.etas) == len(walk) - 2, "sheaves and efficiencies differ in number")
    notes.need(all(0.0 < eta <= 1.0 for eta in setup.etas), "an efficiency out of range")
    for h in setup.gear:
        notes.need(h.item in owned, f"{h.item} is not owned")
    for rope in (line.rope for line in setup.lines):
        known = owned.get(rope.name) == rope and isinstance(rope.gear, Rope)
        notes.need(known, f"rope {rope.name} is not owned")
        notes.need(rope.length is not None, f"rope {rope.name} has no length")
    return not notes.found


def _check(
    site: Site, setup: Setup, grip: Hold, owned: dict[str, Owned], notes: Notes, *, kept: bool
) -> Haul | None:
    """What was worked out anew; None where it stopped short."""
    both = setup.second is not None
    hanging = (TwoHanging if both else Hanging)(site, setup, grip, owned, notes)
    hanging.check()
    line = points(site, setup, notes)
    if notes.found:
        return None
    named = groups(site, setup, grip, hanging)
    wanted = dict.fromkeys(named.values())
    if both:
        found = two_ropes.haul_both(site, setup, grip, line, wanted, notes, kept=kept)
    else:
        found = haul(
            site, setup.walk, setup.etas, setup.puller, grip, line, wanted, kept=kept,
            guide=setup.steered,
        )  # fmt: skip
    for state in found.states:
        if state.why and state.point.row is not None:
            notes.differ(f"at {state.point.at:.2f} m: {state.why}")
            return None
    if any(isinf(state.pull) for state in found.states):
        notes.differ("the load does not move somewhere between two stations")
        return None
    _lines_free(site, setup, grip, line, notes)
    _profile(setup, found, notes)
    _counts(setup, notes)
    takes = _hardware(setup, hanging)
    _room(setup, takes, found, notes)
    if isinstance(hanging, TwoHanging):
        two_ropes.check_work(site, setup, hanging, grip, line, takes, notes)
    else:
        joins.check(site, setup, grip, hanging, line, takes, notes)
        _rope_and_strokes(site, setup, hanging, found, notes)
    account = (TwoStrength if both else Strength)(site, setup, grip, hanging, found, named)
    _strength(account, setup, hanging, notes)
    return found


# ---- lines --------------------------------------------------------------------------------------


def _lines_free(site: Site, setup: Setup, grip: Hold, line: list[Point], notes: Notes) -> None:
    """Every run of rope is free of posts and ground, and the load's nose of its anchors."""
    ground, spots = Ground(site), spots_of(setup.puller)
    listed = [p for p in line if p.row is not None]
    hitches = [carried(p, grip.ahead, grip.left, grip.height) for p in listed]
    done = set()
    for a, b in two_ropes.runs(setup):
        if frozenset((a, b)) in done:
            continue
        done.add(frozenset((a, b)))
        own = {p.name for p in (a, b) if p.kind == "anchor"}
        if b.kind == "puller" and setup.puller.anchor is not None:
            own.add(setup.puller.anchor)
        first, second = fixed_places(site, (a, b))
        if first is None:
            begins, ends = hitches, spots if second is None else [second]
        elif second is None and b.kind == "load":
            begins, ends = hitches, [first]
        else:
            begins, ends = [first], spots if second is None else [second]
        from_load = "load" in (a.kind, b.kind)
        free = _free(ground, begins, ends, own, from_load=from_load)
        notes.need(free, f"the line {a} to {b} meets a post or the ground")
        for place, at in ((a, first), (b, second)):
            if from_load and place.kind == "anchor" and at is not None:
                radius = site.anchor(place.name).radius
                clear = all(_nose_free(site, p, at, radius) for p in listed)
                notes.need(clear, f"the load runs up against {place.name}")


def _free(
    ground: Ground, begins: Sequence[Vec], ends: Sequence[Vec], own: set[str], *, from_load: bool
) -> bool:
    posts = ground.posts_near(begins, ends, own)
    below = ground.ground_near(begins, ends)
    if not posts and not below:
        return True
    return not any(
        any(meets(begin, end, post) for post in posts)
        or ground.touches(begin, end, below, from_load=from_load)
        for begin in begins
        for end in ends
    )


def _nose_free(site: Site, p: Point, anchor: Vec, radius: float) -> bool:
    load, t, b = site.load, p.along, p.across
    x, y, z = anchor[0] - p.ground[0], anchor[1] - p.ground[1], anchor[2] - p.ground[2]
    ahead = x * t[0] + y * t[1] + z * t[2] - load.overhang
    aside = abs(x * b[0] + y * b[1] + z * b[2])
    return aside > load.width / 2 + radius or ahead >= radius or ahead < -load.length - radius


# ---- figures ------------------------------------------------------------------------------------


def _profile(setup: Setup, found: Haul, notes: Notes) -> None:
    """Every row of the profile, and the figures at the worst pull."""
    worst: dict[int, State] = {}
    steered: dict[int, float] = {}  # a line straight from the load to its puller slews by its spot
    for state in found.states:
        row = state.point.row
        if row is not None:
            steered[row] = max(steered.get(row, 0.0), state.steer)
        if row is not None and (row not in worst or state.pull > worst[row].pull):
            worst[row] = state
    top = max(state.pull for state in worst.values())
    notes.same("pull", setup.pull, top)
    tops = [s for s in worst.values() if s.pull >= top * (1 - EXACT)]
    notes.need(
        any(abs(s.point.at - setup.pull_at) < 1e-6 for s in tops), "the worst pull is elsewhere"
    )
    for what, stated, kind in (
        ("ideal advantage", setup.ideal_advantage, "ideal"),
        ("actual advantage", setup.actual_advantage, "advance"),
    ):
        fits = any(equal(stated, getattr(s, kind)) for s in tops)
        notes.need(
            fits, f"{what}: the setup says {stated:.6g}, the check {getattr(tops[0], kind):.6g}"
        )
    for row, s in worst.items():
        said, p = setup.profile[row], s.point
        here = f"at {p.at:.2f} m"
        notes.same(f"{here}: pull", said.pull, s.pull)
        notes.same(f"{here}: ground reaction", said.ground_reaction, s.reaction, near=1e-5)
        notes.same(f"{here}: side pull", said.side_pull, s.sideways)
        notes.same(f"{here}: steering line", said.steer, steered[row], near=1e-5)
        notes.same(f"{here}: advantage", said.advantage, s.advance)
        notes.same(f"{here}: ideal advantage", said.ideal_advantage, s.ideal)
        back = max(p.resting * (p.along[2] - p.leg.resistance_low * p.normal[2]), 0.0)
        notes.same(f"{here}: runs back", said.runs_back, back, near=1e-5)
        notes.need(said.surface == p.leg.surface, f"{here}: surface {said.surface}")


def _counts(setup: Setup, notes: Notes) -> None:
    ends = sum(
        (a.kind == "load") + (b.kind == "load")
        for a, b in zip(setup.walk[:-1], setup.walk[1:], strict=True)
    )
    notes.need(setup.parts == ends, f"{setup.parts} parts stated, {ends} at the load")
    notes.need(setup.resets == setup.strokes - 1, "resets are not strokes less one")
    if setup.stops:
        notes.need(len(setup.stops) == setup.resets, "stops and resets differ in number")


def _hardware(setup: Setup, hanging: Hanging) -> list[float]:
    """m of what hangs between each place and the rope."""
    takes = [0.0] * len(setup.nodes)
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


def _room(setup: Setup, takes: list[float], found: Haul, notes: Notes) -> None:
    """What hangs at both ends of each run of rope fits into it where it is shortest."""
    for k, short in enumerate(found.shortest):
        asked = takes[k] + takes[k + 1] + (joins.lengthened_by(setup.rope) if k == 0 else 0.0)
        notes.need(
            asked <= short + ROUNDED,
            f"two-blocked: {asked:.3f} m of gear in {short:.3f} m between {setup.nodes[k]} and "
            f"{setup.nodes[k + 1]}",
        )


def _rope_and_strokes(
    site: Site, setup: Setup, hanging: Hanging, found: Haul, notes: Notes
) -> None:
    rope, anchor = setup.rope.gear, hanging.anchor(0)
    assert isinstance(rope, Rope)
    assert setup.rope.length is not None
    longest = max(found.near) + site.preferences.rope_spare
    needs = [
        longest + first.eats(rope, anchor) + second.eats(rope, None)
        for first, second in hanging.both_ends()
    ]
    if not notes.need(bool(needs), "no way to make the rope's ends fast as stated"):
        return
    nearest = min(needs, key=lambda need: abs(need - setup.rope_needed))
    notes.same("rope needed", setup.rope_needed, nearest)
    notes.same("rope owned", setup.rope_owned, setup.rope.length)
    notes.need(
        nearest <= setup.rope.length + 1e-6,
        f"rope too short: {nearest:.3f} m needed, {setup.rope.length:.3f} m owned",
    )
    notes.same("rope hauled", setup.hauled, pulling.taken_in(found.near))
    strokes = pulling.strokes(setup.puller, found.near, found.far)
    notes.need(setup.strokes == strokes, f"{setup.strokes} strokes stated, {strokes} found")


def _strength(account: Strength, setup: Setup, hanging: Hanging, notes: Notes) -> None:
    """Demands, capacities, margin, the weakest piece and the pieces without a rating."""
    ends = hanging.all_ends()
    if not ends:
        return
    lines = account.lines(ends[0])
    for other in ends[1:]:  # several readings of one name: the one that the setup means
        again = account.lines(other)
        if abs(_least(again) - setup.margin) < abs(_least(lines) - setup.margin):
            lines = again
    at_rows, anywhere = account.puller()
    margin = min(at_rows, _least(lines))
    notes.same("margin", setup.margin, margin)
    worst = min(anywhere, *(line.margin_between for line in lines))
    notes.need(
        worst >= margin * (1.0 - BETWEEN),
        f"margin {worst:.4g} between two stations, not {margin:.4g}",
    )
    notes.need(margin >= 1.0 - EXACT, f"a piece is above its capacity: margin {margin:.6g}")
    tight = [c for c in setup.components if c.name == setup.weakest]
    notes.need(any(equal(c.margin, margin) for c in tight), f"the weakest is not {setup.weakest}")
    notes.need(
        set(setup.unrated) == account.unrated(), f"unrated: {sorted(account.unrated())} found"
    )
    _components(setup, account, [*lines, account.own_pull()], notes)


def _least(lines: list[Line]) -> float:
    return min(line.margin for line in lines)


def _components(setup: Setup, account: Strength, lines: list[Line], notes: Notes) -> None:
    """The setup's list of components against the checker's, each once."""
    left = list(setup.components)
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


def _matches(c: Component, line: Line) -> bool:
    if (c.item, c.place) != (line.item, line.place) or not equal(c.demand, line.demand):
        return False
    if c.capacity is None or line.capacity is None:
        return c.capacity is None and line.capacity is None
    return equal(c.capacity, line.capacity)


def _comes_at(c: Component, line: Line, account: Strength) -> bool:
    """Whether the demand comes where the component says."""
    if line.own_pull:
        return any(abs(at - c.at) < 1e-6 for at in account.tight())
    if line.group is None:
        here = [
            s.pull * line.share * account.dynamic
            for s in account.haul.states
            if abs(s.point.at - c.at) < 1e-6
        ]
    else:
        worst = account.haul.worst[line.group]
        here = [force * account.dynamic for at, force in worst.at if abs(at - c.at) < 1e-6]
    return any(equal(force, c.demand) for force in here)
