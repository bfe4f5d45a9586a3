"""What goes with the options of a purchase: copies of site files with what is bought, and what readings
leave open."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimiser.commands.options import measured_answers
from shared.errors import Fault, InputError, reason
from shared.files import check_target, write_atomically
from shared.progress import clear_line

if TYPE_CHECKING:
    from optimiser.jobs.buy.results import AnyOption, Option, OptionDown
    from optimiser.jobs.ranges.elsewhere import Elsewhere
    from optimiser.site.model import Owned, Site
    from optimiser.telling.worst_ends import Answer

NAME = "{}"
"""What stands for the name of each site file in the name of a file to write."""


def targets(sites: Sequence[str | None], target: str | None, *, force: bool) -> list[Path]:
    """The file that each site is to be written to; none without a target. Raises InputError, before any work
    is done, where one of them may not be written, or two would be the same."""
    if target is None:
        return []
    names = [Path(site).name if site and site != "-" else "site.toml" for site in sites]
    if NAME in target:
        files = [Path(target.replace(NAME, Path(name).stem)) for name in names]
    elif len(sites) > 1 or Path(target).is_dir():
        files = [Path(target) / name for name in names]
    else:
        files = [Path(target)]
    twice = next((file for file in files if files.count(file) > 1), None)
    if twice is not None:
        raise InputError(str(twice), [Fault("", "two of the sites would be written to it")])
    read = [] if force else [site for site in sites if site and site != "-"]
    for file in files:
        check_target(file, read=read, replace=False, force=force)
    return files


def write_with(
    file: Path, text: str, option: "AnyOption", *others: "AnyOption", below: str = ""
) -> None:
    """Write the site with an option among its gear, and say so on standard error. `others`: what the same
    purchase makes of the other trips of the load; `below`: comments at its end. Raises InputError."""
    from optimiser.jobs.buy.put_in_file import put_in_file

    try:
        write_atomically(file, put_in_file(text, option, *others) + below)
    except OSError as problem:
        raise InputError(
            str(file), [Fault("", f"cannot be written: {reason(problem)}")]
        ) from problem
    clear_line()
    click.echo(f"{file}: the site with this option among its gear", err=True)


def of_options(site: "Site", options: "Sequence[Option]") -> "list[tuple[Answer, ...]]":
    """The same of all options."""
    if site.surveyed is None:
        return [() for _ in options]
    from optimiser.jobs.ranges.elsewhere import Elsewhere  # only where there are readings

    sites = Elsewhere(site)
    return [of_option(site, number, option, sites) for number, option in enumerate(options, 1)]


def of_option(
    site: "Site", name: int | str, option: "AnyOption", elsewhere: "Elsewhere | None" = None
) -> "tuple[Answer, ...]":
    """What the readings of the site leave open of an option, stage by stage. `name`: its number, or what it
    is called."""
    from optimiser.jobs.buy.results import OptionDown

    label = f"Option {name}" if isinstance(name, int) else name
    laid = (touch.owned for stage in option.setups for touch in stage.contacts)
    known = {piece.name for piece in (*site.gear, *option.pieces_bought)}
    made = {piece.name: piece for piece in laid if piece is not None and piece.name not in known}
    extra = (*option.pieces_bought, *made.values())
    if isinstance(option, OptionDown):
        return tuple(_of_way_down(site, label, option, extra))
    if option.plan is None:
        return measured_answers(site, [(label, option.setup)], extra, elsewhere)
    stages = enumerate(option.plan.stages, 1)
    named = [(f"{label}, stage {place}", stage) for place, stage in stages]
    return measured_answers(site, named, extra, elsewhere)


def _of_way_down(
    site: "Site", label: str, option: "OptionDown", extra: "Sequence[Owned]"
) -> "Iterator[Answer]":
    if site.surveyed is None:
        return
    from optimiser.jobs.lower.again import left_open  # only where there are readings
    from optimiser.jobs.ranges.elsewhere import Elsewhere

    sites = Elsewhere(site)
    for number, setup in enumerate(option.setups, start=1):
        found = left_open(option.answer, setup, extra=extra, elsewhere=sites)
        if found is not None:
            yield (f"{label}, stage {number}" if option.stages > 1 else label), found
