"""Describes the fields of a site as it was read: what was understood, what is guessed, what was read."""

from math import dist

from catalogue.gear import Protector
from optimiser.rig import where_it_stands
from optimiser.site.doubts.data_ends import data_ends
from optimiser.site.model import Guess, Owned, Site, is_of
from optimiser.telling.fields.common import MEASURE, TEXT
from optimiser.telling.fields.several import REMARK
from optimiser.telling.readings import pulled
from optimiser.telling.readings.measured import MEASURED
from optimiser.telling.readings.taped import in_degrees, steepness
from shared.columns import Column, Many, Measure, Record
from shared.units import Dimension, Rounding, show

UNDERSTOOD, GUESSES = "Understood: ", "Taken at the worse end"
Thing = tuple[str, str, str]
"""What it is, its name, its figures in words."""

THING: Record[Thing] = Record("understood", "a thing on the site", (
    Column("what", lambda t: t[0], TEXT, "what it is", "what"),
    Column("name", lambda t: t[1], TEXT, "its name", "name"),
    Column("figures", lambda t: t[2], TEXT, "the figures that are used, in the units of the site",
           "figures used"),
))  # fmt: skip

GUESS: Record[Guess] = Record("uncertain", "a value of the site file that is a range", (
    Column("key", lambda g: g.key, TEXT, "its place in the site file", "in the site file"),
    Column("worst", lambda g: Measure(g.worst, Dimension(g.dimension)), MEASURE, "its worst end",
           "worst end"),
    Column("best", lambda g: Measure(g.best, Dimension(g.dimension)), MEASURE, "its better end",
           "better end"),
    Column("planned", lambda g: "both ends" if g.either else "the worst end", TEXT, "what is planned for",
           "planned for"),
    Column("dimension", lambda g: g.dimension, TEXT, "what it measures, in SI", "dimension"),
))  # fmt: skip

CHECKED: Record[Site] = Record("checked", "a site as it was read", (
    Column(UNDERSTOOD, lambda s: things(s), Many(THING), "what was understood", titled=lambda s: s.title),
    Column(GUESSES, lambda s: s.guesses, Many(GUESS), "values that are ranges"),
    Column(pulled.READ, lambda s: pulled.as_read(s), Many(pulled.AS_READ),
           "the pulls that were read, in words",
           when=pulled.was_pulled),
    Column(pulled.NARROWED, lambda s: pulled.narrowed(s), Many(pulled.NARROW),
           "what the pulls leave of the guesses, in words", when=pulled.was_pulled),
    Column("beyond_data", data_ends, Many(REMARK), "what the data on trees do not cover"),
    *MEASURED.columns,
    Column("pulled", pulled.pulls_of, pulled.PULLED, "before and after the pulls", when=pulled.was_pulled),
))  # fmt: skip


def _laid(owned: Owned[Protector], system: str) -> str:
    """What a line over an edge needs to know of what can be laid there. How worn it is does not matter:
    nothing hangs on it."""
    gear = owned.gear
    long, along = (show(size, Dimension.LENGTH, system) for size in (gear.length, gear.covers))
    return (
        f"{owned.count} x {gear.name}, {long} across the rope, covers {along} along it, the rope "
        f"{show(gear.clearance, Dimension.SIZE, system)} above the ground"
    )


def things(site: Site) -> list[Thing]:
    """Each thing on the site with the figures that are used, in its units."""
    system = site.preferences.units

    def metres(value: float) -> str:
        return show(value, Dimension.LENGTH, system)

    def force(value: float | None, rounding: Rounding = Rounding.DOWN) -> str:
        if value is None:
            return "UNRATED"
        return show(value, Dimension.FORCE, system, rounding)

    def aside(left: float) -> str:
        if abs(left) < 1e-6:
            return "on the centre line"
        return f"{metres(abs(left))} {'left' if left > 0 else 'right'} of the centre line"

    load = site.load
    moves = (
        "slides" if load.wheel_radius is None else f"wheels of radius {metres(load.wheel_radius)}"
    )
    rows = [
        ("load", load.name, f"weight {show(load.weight, Dimension.WEIGHT, system)}, {moves}"),
        *(
            ("hitch", h.name, f"{metres(h.height)} up, {aside(h.left)}, stands {force(h.rating)}")
            for h in load.hitches
        ),
    ]
    for number, leg in enumerate(site.legs, start=1):
        length, rise = dist(leg.start, leg.end), leg.end[2] - leg.start[2]
        steep = in_degrees(steepness(leg))
        text = (
            f"{metres(length)} long, rises {metres(rise)} ({steep}), "
            f"resistance {leg.resistance:.3g}"
        )
        if leg.laid is not None:
            text += f"; lines may run over what lies there: {leg.laid.name}"
        rows.append(("path", f"leg {number}, {leg.surface}", text))
    for anchor in site.anchors:
        heights = ", ".join(metres(height) for height in anchor.heights)
        strength = anchor.strength
        dimension = Dimension.MOMENT if strength.unit == "N·m" else Dimension.FORCE
        stands = (
            "UNRATED"
            if strength.capacity is None
            else f"stands {show(strength.capacity, dimension, system, Rounding.DOWN)}"
        )
        rows.append((anchor.kind, anchor.name, f"{stands} ({strength.governs}), at {heights} up"))
    rows += [("obstacle", o.name, f"radius {metres(o.radius)}") for o in site.obstacles]
    for puller in site.pullers:
        where = where_it_stands.allowed(site, puller, system)
        rows.append((puller.kind.value, puller.name, f"pulls up to {force(puller.limit)}{where}"))
    rows += [
        (
            type(owned.gear).__name__.lower(),
            owned.name,
            _laid(owned, system)
            if is_of(owned, Protector)
            else f"{owned.count} x {owned.gear.name}"
            + (f", {metres(owned.length)}" if owned.length is not None else "")
            + f", {owned.condition.name}"
            + (", UNRATED" if owned.unrated else ""),
        )
        for owned in site.gear
    ]
    return rows
