"""Finds what the readings of a site leave open of the options of a purchase."""

from typing import TYPE_CHECKING

from optimiser.commands.options import measured_answers

if TYPE_CHECKING:
    from collections.abc import Sequence

    from optimiser.jobs.buy.results import Option
    from optimiser.jobs.ranges.elsewhere import Elsewhere
    from optimiser.site.model import Site
    from optimiser.telling.worst_ends import Answer


def of_options(site: "Site", options: "Sequence[Option]") -> "list[tuple[Answer, ...]]":
    """The same of all options."""
    if site.surveyed is None:
        return [() for _ in options]
    from optimiser.jobs.ranges.elsewhere import Elsewhere  # only where there are readings

    sites = Elsewhere(site)
    return [of_option(site, number, option, sites) for number, option in enumerate(options, 1)]


def of_option(
    site: "Site", name: int | str, option: "Option", elsewhere: "Elsewhere | None" = None
) -> "tuple[Answer, ...]":
    """What the readings of the site leave open of an option, stage by stage. `name`: its number, or what it
    is called."""
    label = f"Option {name}" if isinstance(name, int) else name
    plan = (option.setup,) if option.plan is None else option.plan.stages
    laid = (touch.owned for stage in plan for touch in stage.contacts)
    known = {piece.name for piece in (*site.gear, *option.pieces_bought)}
    made = {piece.name: piece for piece in laid if piece is not None and piece.name not in known}
    extra = (*option.pieces_bought, *made.values())
    if option.plan is None:
        return measured_answers(site, [(label, option.setup)], extra, elsewhere)
    stages = enumerate(option.plan.stages, 1)
    named = [(f"{label}, stage {place}", stage) for place, stage in stages]
    return measured_answers(site, named, extra, elsewhere)
