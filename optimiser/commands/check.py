"""`bankhaul check`: is the site file right, and what was understood of it."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimiser.commands.drawing import check_output, output_option, paper_option, put
from optimiser.commands.options import answer, both_trips, form_option, load_site, site_argument

if TYPE_CHECKING:
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
    from optimiser.jobs.remarks import data_end_blocks
    from optimiser.telling.onward import command_line, sentence
    from optimiser.telling.readings.checked import (
        CHECKED,
        GUESS,
        GUESSES,
        THING,
        UNDERSTOOD,
        things,
    )
    from optimiser.telling.readings.measured import measured_blocks
    from optimiser.telling.readings.pulled import pulled_blocks
    from shared.listing import Listing

    name = site if site is not None else "the demonstration site"
    understood = Listing.of(THING, things(loaded))
    guessed = Listing.of(GUESS, loaded.guesses, empty="every value is stated without a range")
    report: list[Block] = [
        ("", f"{'standard input' if name == '-' else name}: no fault found."),
        (f"{UNDERSTOOD}{loaded.title}", understood),
        (GUESSES, guessed),
        *pulled_blocks(loaded),
        *data_end_blocks(loaded),
    ]
    after = command_line("rank", site)
    trips = both_trips(loaded)
    more = {"trips": trips} if trips else {}
    data = CHECKED.json(loaded) | {"next": after} | more if form == "json" else None
    noted: list[Block] = [("", trips)] if trips else []
    answer(loaded, [*report, *measured_blocks(loaded), *noted, ("", sentence(after))], form, data)
    if output is not None:
        from optimiser.sheet.site_page import site_booklet, site_page
        from optimiser.telling.readings.measured import drawn_blocks

        put(
            site_booklet(site_page(loaded, drawn_blocks(loaded))), output, paper, force, beside=True
        )
