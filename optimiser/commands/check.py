"""`bankhaul check`: is the site file right, and what was understood of it."""

from math import dist
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimiser.commands.drawing import check_output, output_option, paper_option, put
from optimiser.commands.options import answer, form_option, load_site, site_argument

if TYPE_CHECKING:
    from catalogue.gear import Protector
    from optimiser.site.model import Owned, Site
    from shared.listing import Listing
    from shared.report import Block


@click.command("check")
@site_argument
@form_option
@output_option(
    required=False, text="Draw the site, seen from above and from the side, to this file"
)
@paper_option
def command(site: str | None, form: str, output: Path | None, paper: str, force: bool) -> None:
    """Check a site file.

    Every fault is reported at once; where there is none, what was understood of SITE is listed, and what can
    be but hardly is meant so is asked about. Slopes of the path and lengths that a tape can check are
    listed too; -o draws the site as it was read, before anything is worked out, whether a haul works or not.

    \b
    Example: bankhaul check -o site.html
    """
    check_output(output, site, force)
    loaded = load_site(site)
    from optimiser.jobs.remarks import data_end_blocks, data_ends_json
    from optimiser.telling.onward import command_line, sentence
    from optimiser.telling.readings.measured import measured_blocks, measured_json
    from optimiser.telling.readings.pulled import pulled_blocks, pulled_json
    from shared.report import records

    system = loaded.preferences.units
    name = site if site is not None else "the demonstration site"
    report: list[Block] = [
        ("", f"{'standard input' if name == '-' else name}: no fault found."),
        (f"Understood: {loaded.title}", understood(loaded, system)),
        ("Taken at the worse end", guesses(loaded, system)),
        *pulled_blocks(loaded),
        *data_end_blocks(loaded),
    ]
    data = None
    after = command_line("rank", site)
    if form == "json":
        data = records(report) | {"beyond_data": data_ends_json(loaded)} | measured_json(loaded)
        data |= pulled_json(loaded) | {"next": after}
    last: list[Block] = [] if form == "csv" else [("", sentence(after))]
    answer(loaded, [*report, *measured_blocks(loaded), *last], form, data)
    if output is not None:
        from optimiser.sheet.site_page import site_booklet, site_page
        from optimiser.telling.readings.measured import drawn_blocks

        put(
            site_booklet(site_page(loaded, drawn_blocks(loaded))), output, paper, force, beside=True
        )


def understood(site: "Site", system: str) -> "Listing":
    """One row for each thing on the site, with the figures that are used."""
    from shared.listing import Column, Listing

    return Listing(
        columns=(
            Column(key="what", heading="what"),
            Column(key="name", heading="name"),
            Column(key="figures", heading="figures used"),
        ),
        rows=tuple(
            {"what": what, "name": name, "figures": figures}
            for what, name, figures in _things(site, system)
        ),
    )


def guesses(site: "Site", system: str) -> "Listing":
    """One row for each uncertain value: which end is planned for, and the better one."""
    from shared.listing import Column, Listing, Measure
    from shared.units import Dimension

    return Listing(
        columns=(
            Column(key="key", heading="in the site file"),
            Column(key="worst", heading="worst end"),
            Column(key="best", heading="better end"),
            Column(key="planned", heading="planned for"),
            Column(key="dimension", heading="dimension"),
        ),
        rows=tuple(
            {
                "key": guess.key,
                "worst": Measure(guess.worst, Dimension(guess.dimension)),
                "best": Measure(guess.best, Dimension(guess.dimension)),
                "planned": "both ends" if guess.either else "the worst end",
                "dimension": guess.dimension,
            }
            for guess in site.guesses
        ),
        empty="every value is stated without a range",
    )


def _laid(owned: "Owned[Protector]", system: str) -> str:
    """What a line over an edge needs to know of what can be laid there. How worn it is does not matter:
    nothing hangs on it."""
    from shared.units import Dimension, show

    gear = owned.gear
    long, along = (show(size, Dimension.LENGTH, system) for size in (gear.length, gear.covers))
    return (
        f"{owned.count} x {gear.name}, {long} across the rope, covers {along} along it, the rope "
        f"{show(gear.clearance, Dimension.SIZE, system)} above the ground"
    )


def _things(site: "Site", system: str) -> list[tuple[str, str, str]]:
    from catalogue.gear import Protector
    from optimiser.site.model import is_of
    from optimiser.telling.readings.taped import in_degrees, steepness
    from shared.units import Dimension, Rounding, show

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
    rows += [(p.kind.value, p.name, f"pulls up to {force(p.limit)}") for p in site.pullers]
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
