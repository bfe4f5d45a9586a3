"""Checks second lines on a hauled load: those that keep it where it would run, and the one that steers
it.

Each is a rig of its own and passes the checks of every rig, on what the haul leaves of anchors and
hitches. Here: that together they keep the load wherever it would run or slew, and what an answer states
of each besides.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from catalogue.gear import Block
from optimiser.mechanics.values import Vec
from optimiser.proof import rigs
from optimiser.proof.claim import Claim, of_haul, of_second_line
from optimiser.proof.duties import Hauls, Holds, Steers, key, rests, runs
from optimiser.proof.loads.forces import work_out
from optimiser.proof.loads.states import Duty, Found
from optimiser.proof.notes import Notes
from optimiser.proof.pieces import stock
from optimiser.proof.place import facing
from optimiser.proof.place.points import Point, hold, length, points, turned
from optimiser.proof.place.trunk import grips
from optimiser.proof.rigs import Worked
from optimiser.proof.way_down import hand_limit, rows
from optimiser.rig.setup import Component, Contact, HoldingLine, HoldRow, Role, Setup, Way
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Owned, Site

NEAR = 1e-6


def check(site: Site, setup: Setup, haul: Worked, owned: Mapping[str, Owned], notes: Notes) -> None:
    """The lines of a setup whose haul was checked."""
    aside = [line for line in setup.holding if line.way is Way.ASIDE]
    guide = setup.steered
    if guide is not None:
        leads = [(line.walk, line.attachment) for line in aside]
        wanted = [((Place(PlaceKind.LOAD), guide.place), guide.hitch.name)]
        notes.need(leads == wanted, "it would slew, and no line steers it as it was worked out")
        notes.need(guide.hitch in site.load.hitches, f"no such hitch as {guide.hitch.name}")
    else:
        notes.need(not aside, "a steering line where nothing slews")
    _all_kept(setup, haul.points, notes)
    _each(site, setup, setup.holding, haul.points, haul.found, owned, notes)


def check_found(
    site: Site, setup: Setup, lines: Sequence[HoldingLine], owned: Mapping[str, Owned], notes: Notes
) -> None:
    """Lines found for a setup that has none, one by one."""
    _each(site, setup, lines, points(site, of_haul(setup), notes), None, owned, notes)


def _all_kept(setup: Setup, line: list[Point], notes: Notes) -> None:
    """Wherever the load would run a line keeps it."""
    for p in line:
        for way, sign in ((Way.BACK, 1.0), (Way.ON, -1.0)):
            if p.row is not None and runs(p, sign) > 0.0:
                kept = any(_covers(held, p.at, way) for held in setup.holding)
                notes.need(kept, f"at {p.at:.2f} m nothing keeps the load from running {way}")


def _covers(line: HoldingLine, at: float, way: Way) -> bool:
    return line.way == way and line.from_m - NEAR <= at <= line.to_m + NEAR


def _each(
    site: Site, setup: Setup, lines: Sequence[HoldingLine], haul: list[Point], found: Found | None,
    owned: Mapping[str, Owned], notes: Notes,
) -> None:  # fmt: skip
    """Each line by itself, on what the haul and the steering line leave."""
    aside = [line for line in lines if line.way is Way.ASIDE]
    along = [of_haul(setup)]
    own = (_claim(site, line, line.profile, (line.from_m, line.to_m), {}, owned) for line in lines)
    facing.check_together(site, [*along, *own], notes)
    taken = _loads(setup.components)
    for line in [*aside, *(line for line in lines if line.way is not Way.ASIDE)]:
        again = Notes()
        if not _line(site, setup, line, haul, found, owned, taken, along, again):
            again.differ("its figures could not be worked out")
        notes.found.extend(f"second line ({line.way}): {what}" for what in again.found)
        if line.way is Way.ASIDE:  # it is there all along; of the lines that hold, one at a time
            along.append(_claim(site, line, line.profile, (line.from_m, line.to_m), {}, owned))
            for word, load in _loads(line.components).items():
                taken[word] = taken.get(word, 0.0) + load


def _loads(components: Sequence[Component]) -> dict[str, float]:
    """What a rig puts on anchors and on the load's hitches, in the words of `Claim.taken`."""
    out: dict[str, float] = {}
    for c in components:
        word = None
        if c.item == c.place:
            word = f"anchor {c.item}"
        elif c.name == f"load: hitch {c.item}":
            word = f"hitch {c.item}"
        if word is not None:
            out[word] = out.get(word, 0.0) + c.demand
    return out


def _line(
    site: Site, setup: Setup, line: HoldingLine, haul: list[Point], found: Found | None,
    owned: Mapping[str, Owned], taken: Mapping[str, float], along: list[Claim], notes: Notes,
) -> bool:  # fmt: skip
    """Whether the line could be worked out."""
    ground, profile, ends = site, line.profile[::-1], (line.from_m, line.to_m)
    if line.way is Way.ON:
        long = length(site)
        ground = turned(site)
        profile = tuple(replace(row, at=long - row.at) for row in profile)
        ends = (long - line.to_m, long - line.from_m)
    claim = _claim(ground, line, profile, ends, taken, owned)
    if line.way is Way.ON:
        claim = replace(claim, long=long, contacts=tuple(_turned(c, long) for c in line.contacts))
    notes.need(claim.second is None and not line.rope.joined, "a second line of two ropes")
    stock.check([*along, claim], owned, notes)
    rope = line.rope.gear
    able = grips(rope)
    if not notes.need(able is not None, f"{line.rope.name} is not eased out by hand"):
        return False
    assert able is not None
    ratio = able.ratio(line.turns)
    limit = hand_limit(None)
    duty = _duty(site, setup, line, ground, haul, found, owned, limit * ratio)
    checked = rigs.check(ground, claim, duty, owned, notes, ratio=ratio)
    if checked is None:
        return False
    own = checked.found
    top = max(own.pulls())
    notes.same("line", line.line, top)
    notes.same("hand", line.hand, top / ratio)
    notes.same("limit of the hand", line.hand_limit, limit)
    sign = 1.0 if line.way is Way.BACK else -1.0
    covered = [
        p for p in haul if p.row is not None and line.from_m - NEAR <= p.at <= line.to_m + NEAR
    ]
    if line.way is not Way.ASIDE:
        covered = [p for p in covered if runs(p, sign) > 0.0]
    worst = max((rests(p) for p in covered), default=None)
    notes.need(line.rest == worst, "not what the load does when let go of")
    if line.way is Way.ASIDE:
        notes.same("force across the path", line.force, float(own.needs.steer[own.listed].max()))
        steered = [p.at for p in haul if p.row is not None and setup.profile[p.row].steer > 0.0]
        whole = bool(steered) and (steered[0], steered[-1]) == (line.from_m, line.to_m)
        notes.need(whole, "it is not there wherever it has to steer")
    else:
        inside = [p for p in haul if p.row is not None and _covers(line, p.at, line.way)]
        force = max((runs(p, sign) for p in inside), default=0.0)
        notes.same("force along the ground", line.force, force)
        edges = [p.at for p in inside if runs(p, sign) > 0.0]
        whole = bool(edges) and abs(edges[0] - line.from_m) + abs(edges[-1] - line.to_m) < NEAR
        notes.need(whole, "it is not there just where the load would run")
    rows(profile, own, checked.points, ratio, notes, by_hand=True)
    notes.same("rope taken", line.taken, max(own.near) - min(own.near))
    return True


def _turned(c: Contact, long: float) -> Contact:
    """A contact as it lies on the path taken the other way round."""
    load_from = None if c.load_to is None else long - c.load_to
    load_to = None if c.load_from is None else long - c.load_from
    return replace(
        c, from_m=long - c.to_m, to_m=long - c.from_m, left_from=-c.left_to, left_to=-c.left_from,
        load_from=load_from, load_to=load_to,
    )  # fmt: skip


def _duty(
    site: Site, setup: Setup, line: HoldingLine, ground: Site, haul: list[Point],
    found: Found | None, owned: Mapping[str, Owned], limit: float,
) -> Duty:  # fmt: skip
    if line.way is not Way.ASIDE:
        return Holds(ground, limit)
    given: dict[tuple[float, Vec], float] = {}
    states = found or _haul(site, setup, haul, owned)
    for point, steer in zip(states.course.points, states.needs.steer.tolist(), strict=True):
        given[key(point)] = max(given.get(key(point), 0.0), *steer)
    return Steers(given, limit)


def _haul(site: Site, setup: Setup, line: list[Point], owned: Mapping[str, Owned]) -> Found:
    """The states of the haul alone."""
    grip, claim = hold(site.load, setup.attachment), of_haul(setup)
    assert grip is not None
    ground, duty = rigs.ground_under(site, claim, owned), Hauls(site, True, setup.steered)
    return work_out(site, ground, claim, duty, grip, line, (), owned)


def _claim(
    site: Site, line: HoldingLine, profile: Sequence[HoldRow], ends: tuple[float, float],
    taken: Mapping[str, float], owned: Mapping[str, Owned],
) -> Claim:  # fmt: skip
    """The line as a rig; its sheaves pass on what the blocks in it do."""
    etas = [1.0] * (len(line.walk) - 2)
    for h in line.gear:
        block = owned[h.item].gear if h.item in owned else None
        if h.role is Role.BLOCK and isinstance(block, Block):
            for n in h.nodes:
                if 1 <= n <= len(etas):
                    etas[n - 1] = block.eta
    least = site.preferences.margin_wanted
    return of_second_line(line, tuple(etas), profile, ends, least=least, taken=taken)
