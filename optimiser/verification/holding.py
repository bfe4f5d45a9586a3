"""Holding lines, checked against the haul they go with.

Each line by itself is checked as every hold is (`optimiser.lowering.verify`) when it is found. Here:
that they keep the load wherever it would run, that no piece is used twice, and that an anchor or a
hitch that both lines pull on stands both.
"""

from collections import Counter
from math import hypot

from optimiser.results import HoldingLine, Setup
from optimiser.rig import Place
from optimiser.site.model import Leg, Site
from optimiser.verification.notes import Notes
from optimiser.verification.stretch import carried, points

LEAST = 1.0
"""N along the ground from which a load is said to run."""
HUNG = ("strap", "shackle", "block", "hook", "bridle leg")
NEAR = 1e-6


def check(site: Site, setup: Setup, steered: float, notes: Notes) -> None:
    """Everything of a setup's second lines that does not hold. `steered`: the most that its steering
    line has to pull, N."""
    aside = [line for line in setup.holding if line.way == "aside"]
    if setup.steered is not None:
        guide = setup.steered
        ways = [(line.walk, line.attachment) for line in aside]
        leads = ((Place("load"), guide.place), guide.hitch.name)
        notes.need(ways == [leads], "it would slew, and no line steers it as it was worked out")
    for line in aside:
        notes.same("steering line", line.line, steered, near=1e-6)
        trunk = line.walk[-1]
        told = [c.demand for c in line.components if c.item == c.place == trunk.name]
        least = line.line * site.anchor(trunk.name).lever(trunk.height)
        if site.anchor(trunk.name).horizontal_only:
            least *= _level(site, setup, line)
        enough = bool(told) and least <= max(told) * (1.0 + NEAR)
        notes.need(enough, "the steering line's trunk carries more than is told")
    for p in points(site, setup, Notes()):
        for way in ("back", "on"):
            force = _runs(p.leg, p.resting, p.along[2], p.normal[2], way)
            if p.row is None or force < LEAST:
                continue
            lines = [line for line in setup.holding if _covers(line, p.at, way)]
            if notes.need(
                bool(lines), f"at {p.at:.2f} m nothing keeps the load from running {way}"
            ):
                most = max(line.force for line in lines)
                notes.need(
                    force <= most * (1.0 + NEAR), f"at {p.at:.2f} m it runs with {force:.1f} N"
                )
    for line in setup.holding:
        _pieces(site, setup, line, notes)
        _strength(site, setup, line, notes)
        # A line that presses the load onto the ground holds up to so much more than it carries.
        gains = max(hypot(1.0, leg.resistance_low) for leg in site.legs)
        one = len(line.walk) == 2
        notes.need(line.line * gains >= line.force * (1.0 - NEAR) or not one, "too little is held")
        notes.need(line.hand <= line.hand_limit * (1.0 + NEAR), "the hand holds more than it may")
        notes.need(line.rope_needed <= (line.rope.length or 0.0) + NEAR, "its rope is too short")


def _level(site: Site, setup: Setup, line: HoldingLine) -> float:
    """The least share of a steering line's pull that is level."""
    assert setup.steered is not None
    hitch, trunk = setup.steered.hitch, line.walk[-1]
    x, y, z = site.anchor(trunk.name).position
    shares = []
    for p in points(site, setup, Notes()):
        hook = carried(p, hitch.ahead, hitch.left, hitch.height)
        flat = hypot(x - hook[0], y - hook[1])
        shares.append(flat / hypot(flat, z + trunk.height - hook[2]))
    return min(shares)


def _runs(leg: Leg, weight: float, rise: float, level: float, way: str) -> float:
    """N along the ground with which the load runs back, or on, by itself."""
    return weight * ((rise if way == "back" else -rise) - leg.resistance_low * level)


def _covers(line: HoldingLine, at: float, way: str) -> bool:
    return line.way == way and line.from_m - NEAR <= at <= line.to_m + NEAR


def _pieces(site: Site, setup: Setup, line: HoldingLine, notes: Notes) -> None:
    ropes = [rope.rope.name for rope in setup.lines]
    for piece in (rope.rope for rope in setup.lines):
        if piece.joined is not None:
            ropes += [piece.joined.first.name, piece.joined.second.name]
    notes.need(line.rope.name not in ropes, f"{line.rope.name} hauls already")
    # A steering line is there all along; of the lines that hold, one at a time.
    along = [h for other in setup.holding if other.way == "aside" for h in other.gear]
    beside = [h for h in line.gear if line.way != "aside"]
    ropes += [o.rope.name for o in setup.holding if o.way == "aside" and o is not line]
    used = Counter(h.item for h in (*setup.gear, *along, *beside) if h.role in HUNG)
    for name, many in used.items():
        have = sum(piece.count for piece in site.gear if piece.name == name)
        if any(h.item == name for h in line.gear):
            notes.need(many <= have, f"{many} of {name} with the holding line, {have} owned")


def _strength(site: Site, setup: Setup, line: HoldingLine, notes: Notes) -> None:
    """An anchor or hitch under both lines carries both."""
    for part in line.components:
        notes.need(part.margin >= 1.0 - NEAR, f"holding line: {part.name} is above its capacity")
        for other in setup.components:
            same_anchor = part.item == part.place == other.item == other.place
            same_hitch = part.name == other.name and part.name.startswith("load: hitch ")
            if (same_anchor or same_hitch) and other.capacity is not None:
                both = part.demand + other.demand
                notes.need(
                    both <= other.capacity * (1.0 + NEAR), f"both lines overload {part.name}"
                )
    del site
