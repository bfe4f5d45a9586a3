"""What the sheet says in words: the gear to lay out, the steps in order, when to stop, the resets."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalogue.gear import Block
from optimiser import keepout
from optimiser.results import Hung, names
from optimiser.rig import Place
from optimiser.sheet.rigged import Rigged
from optimiser.stations import path_length
from optimiser.words import ordinal
from shared.units import STANDARD_GRAVITY, Dimension, Rounding, show

_ROLES = ("strap", "bridle leg", "shackle", "hook", "block", "tie", "end")
"""From the anchor to the rope: the order in which pieces are hung."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One line of the checklist."""

    count: int
    name: str
    kind: str
    where: str


def gear(rigged: Rigged) -> tuple[Item, ...]:
    """Everything to lay out, equal pieces together."""
    setup, system = rigged.setup, rigged.site.preferences.units
    needed = show(setup.rope_needed, Dimension.LENGTH, system, Rounding.UP)
    owned = show(setup.rope_owned, Dimension.LENGTH, system, Rounding.DOWN)
    rope = Item(
        count=1, name=setup.rope.name, kind=setup.rope.gear.name, where=f"{needed} used of {owned}"
    )
    pieces: dict[str, list[Hung]] = {}
    for hung in setup.gear:
        if hung.role not in ("end", "tie"):
            pieces.setdefault(hung.item, []).append(hung)
    owns = {owned.name: owned.gear.name for owned in rigged.site.gear}
    items = [
        Item(
            count=len(hung),
            name=name,
            kind=owns.get(name, hung[0].role),
            where=", ".join(dict.fromkeys(letter(rigged, h.place) for h in hung)),
        )
        for name, hung in pieces.items()
    ]
    return (rope, *items, *_besides(rigged))


def _besides(rigged: Rigged) -> Iterator[Item]:
    """What no rig is made of and every haul needs."""
    if keepout.run_back_end(rigged.setup) is not None:
        yield Item(count=2, name="chocks", kind="to hold the load", where="at the load")
    if any(leg.edge_protected for leg in rigged.site.legs):
        yield Item(count=1, name="roller, log or hose", kind="for the ground edge", where="path")
    yield Item(count=1, name="gloves for everybody", kind="", where="")


def steps(rigged: Rigged) -> tuple[str, ...]:
    """The setup's steps in order. Letters are those of the drawings, numbers those of the rope's parts."""
    return (
        *_before(rigged),
        *_hanging(rigged),
        *_threading(rigged),
        *_hauling(rigged),
    )


def _before(rigged: Rigged) -> Iterator[str]:
    setup = rigged.setup
    yield "Look over every piece of the list. What is worn, cut or bent stays out."
    if rigged.number > 1:
        yield "Leave the load chocked from the stage before until this rig pulls."
    elif setup.profile and setup.profile[0].runs_back >= keepout.LEAST_RUN_BACK:
        yield "Chock the load. It runs back by itself where it stands now."
    yield (
        "Mark the hatched areas of the plan. Send everybody out of them; agree on one signal to pull "
        "and one to stop."
    )


def _hanging(rigged: Rigged) -> Iterator[str]:
    """One step for each place: what hangs there, from the anchor to the rope."""
    walk, gear_ = rigged.setup.walk, rigged.setup.gear
    for place in dict.fromkeys(walk[:-1]):
        here = [h for h in gear_ if h.place == str(place) and h.role not in ("end", "tie")]
        if not here:
            continue
        told = [_hung(h) for h in sorted(here, key=lambda h: (min(h.nodes), _order(h)))]
        yield f"{_at(rigged, place)}: {'; '.join(told)}."


def _hung(hung: Hung) -> str:
    match hung.role:
        case "strap":
            return f"put {hung.item} round it as a {hung.how}"
        case "shackle" | "hook":
            return f"{hung.item}{f', which {hung.how}' if hung.how else ''}"
        case "block":
            return f"{hung.item}, {hung.how}" if hung.how else hung.item
        case _:
            return f"{hung.role} {hung.item}{f' {hung.how}' if hung.how else ''}"


def _threading(rigged: Rigged) -> Iterator[str]:
    """One step for each part of the rope."""
    walk, setup = rigged.setup.walk, rigged.setup
    ends = {h.nodes[0]: h for h in setup.gear if h.role in ("end", "tie")}
    first = ends.get(0)
    how = f" with {_article(first.how)}" if first is not None else ""
    yield (
        f"Lay out {setup.rope.name} without kinks. Make its standing end fast at "
        f"{_spot(rigged, walk[0])}{how}. Part 1 begins here."
    )
    for k, place in enumerate(walk[1:-1], start=1):
        yield (
            f"Part {k}: lead the rope to {_spot(rigged, place)} and round {_sheave(rigged, k)}. "
            f"Part {k + 1} begins here."
        )
    last = len(walk) - 1
    end = ends.get(last)
    held = f" ({end.how})" if end is not None else ""
    joined = [h.item for h in setup.gear if h.nodes == (-1,)]
    by = f" by {names(joined)}" if joined else ""
    yield f"Part {last}: lead the rope to {_spot(rigged, walk[last])} and make it fast{by}{held}."


def _hauling(rigged: Rigged) -> Iterator[str]:
    setup, system = rigged.setup, rigged.site.preferences.units
    yield (
        "Follow the rope from its standing end and count the numbers on the drawing. No part may be "
        "twisted round another, and every block must be closed."
    )
    yield (
        "Take up the slack slowly until the line is tight. Stop. Look at every anchor, knot and block "
        "from outside the hatched areas."
    )
    pull = show(setup.pull, Dimension.FORCE, system, Rounding.UP)
    at = show(setup.pull_at, Dimension.LENGTH, system)
    yield f"Haul slowly, without jerks. It takes most, {pull}, with the load at {at} of the path."
    if rigged.stops:
        yield "At each reset do what stands under “Resets”."
    end = show(setup.to_m, Dimension.LENGTH, system)
    done = rigged.number == rigged.count or setup.to_m >= path_length(rigged.site) - 1e-6
    told = "the end of the path" if done else "the end of this stage"
    yield f"Stop with the load at {end}, {told}. Chock it before the line is slackened."


def stops(rigged: Rigged) -> tuple[str, ...]:
    """When to stop: at which pull, and at what sight."""
    setup, system = rigged.setup, rigged.site.preferences.units
    least = float(rigged.limits.min())
    where = show(float(rigged.at[int(rigged.limits.argmin())]), Dimension.LENGTH, system)
    pull = _pull(least, system, Rounding.DOWN)
    if least > setup.pull:
        line = (
            f"Stop at a pull of {pull} at the hauling end, wherever the load is. The first piece to "
            f"reach what it stands: {rigged.first_to_go}."
        )
    else:
        worst = _pull(float(rigged.limits[rigged.worst]), system, Rounding.DOWN)
        at = show(setup.pull_at, Dimension.LENGTH, system)
        line = (
            f"Stop at a pull of {pull} at the hauling end with the load at {where}, and of {worst} with "
            f"the load at {at}: see the chart for the places between."
        )
    expected = _pull(setup.pull, system, Rounding.UP)
    watched = [
        f"{line} Expected is {expected} at most. More than expected means that something holds the "
        "load: stop and look.",
        "Stop when a tree leans or shakes at its foot, roots lift, or a strap or chain slips.",
        "Stop when a strand breaks, a knot creeps, a block turns over or the rope jumps its sheave.",
        "Stop when the load slews off its path or tips.",
        "Stop when the puller slips, stalls or slides. Do not make up for it with a run-up.",
        "Stop when a block on the load comes near a block or strap at an anchor.",
        "Stop when anybody steps into a hatched area.",
    ]
    return tuple(watched)


def resets(rigged: Rigged) -> tuple[str, ...]:
    """Where each reset comes and what to do there."""
    setup, system = rigged.setup, rigged.site.preferences.units
    puller = setup.puller
    if not rigged.stops:
        return ("No reset: one run of the puller is enough.",)
    grip = (
        "run the line out again and take a new grip"
        if puller.purchase is not None
        else "go back to the start of the run and make the line fast there, as short as it has become"
    )
    out = [f"At each reset: chock the load, ease the line until the chock holds it, {grip}."]
    for number, at in enumerate(rigged.stops, start=1):
        off = min(abs(r.at - at) for r in setup.profile)
        near = [r for r in setup.profile if abs(r.at - at) <= off + 1e-9]  # two at a bend
        row = max(near, key=lambda r: r.runs_back)
        told = f"Reset {number}: load at {show(at, Dimension.LENGTH, system)}"
        if row.runs_back >= keepout.LEAST_RUN_BACK:
            force = show(row.runs_back, Dimension.FORCE, system, Rounding.UP)
            out.append(f"{told}. IT RUNS BACK here: the chock must hold {force}.")
        else:
            out.append(f"{told}. It stands by itself here; chock it all the same.")
    return tuple(out)


def keep_out(rigged: Rigged) -> tuple[str, ...]:
    """The keep-out areas in words."""
    site, setup = rigged.site, rigged.setup
    system = site.preferences.units
    found = keepout.areas(site, setup)
    turns = [_at(rigged, a.about[0]) for a in found if a.danger is keepout.Danger.BIGHT]
    lanes = [a.reach for a in found if a.danger is keepout.Danger.RECOIL]
    out = []
    if turns:
        out.append(f"Inside the angle of the rope: {'; '.join(dict.fromkeys(turns))}.")
    if lanes:
        wide = show(keepout.LANE, Dimension.LENGTH, system)
        reach = show(max(lanes), Dimension.LENGTH, system, Rounding.UP)
        out.append(
            f"In line with any part of the rope, {wide} to either side, and beyond its ends as far as "
            f"the part is long: up to {reach}, further than the drawing shows."
        )
    upto = keepout.run_back_end(setup)
    if upto is not None:
        wide = show(keepout.CORRIDOR, Dimension.LENGTH, system)
        at = show(upto, Dimension.LENGTH, system)
        out.append(
            f"Below the load, {wide} to either side of its path and on beyond the foot of it: it can "
            f"run back from anywhere up to {at}."
        )
    return tuple(out)


def _pull(value: float, system: str, rounding: Rounding) -> str:
    """A pull as a force, and as the mass that weighs as much: what a hanging scale shows."""
    force = show(value, Dimension.FORCE, system, rounding)
    mass = show(value / STANDARD_GRAVITY, Dimension.MASS, system, rounding)
    return f"{force} ({mass} on a hanging scale)"


def _at(rigged: Rigged, place: Place) -> str:
    spot = _spot(rigged, place)
    return spot[0].upper() + spot[1:]


def _spot(rigged: Rigged, place: Place) -> str:
    """ "B near pine, 1.00 m up"."""
    name = f"{rigged.letters[place.name]} {place.name or rigged.site.load.name}"
    if place.kind != "anchor":
        return name
    return f"{name}, {show(place.height, Dimension.LENGTH, rigged.site.preferences.units)} up"


def letter(rigged: Rigged, place: str) -> str:
    """The letter of a place in the notation of the gear list."""
    return rigged.letters.get("" if place == "load" else place.rpartition("@")[0] or place, place)


def _sheave(rigged: Rigged, node: int) -> str:
    block = next((h for h in rigged.setup.gear if h.role == "block" and node in h.nodes), None)
    if block is None:
        return "its block"
    piece = next((o.gear for o in rigged.site.gear if o.name == block.item), None)
    opened = ", opened and closed again" if isinstance(piece, Block) and piece.opens else ""
    if len(block.nodes) > 1:
        turn = sorted(block.nodes).index(node) + 1
        return f"the {ordinal(turn)} sheave of {block.item}{opened}"
    return f"{block.item}{opened}"


def _article(how: str) -> str:
    return f"{'an' if how[:1].lower() in 'aeiou' else 'a'} {how}"


def _order(hung: Hung) -> int:
    return _ROLES.index(hung.role) if hung.role in _ROLES else len(_ROLES)
