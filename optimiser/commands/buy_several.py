"""`bankhaul buy SITE SITE ...`, `--down` and `--both`: one purchase for several jobs, or for a way down."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from optimiser.commands.options import answer, in_list, load_text, searching
from optimiser.commands.purchases import of_option, write_with

if TYPE_CHECKING:
    from catalogue.prices import PricedItem
    from optimiser.jobs.buy.for_all import Together
    from optimiser.jobs.question import BuyQuestion
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site
    from shared.report import Block


DEMONSTRATION = "the demonstration"
"""What the job of a command without a site file is called."""


def answer_for(
    ctx: click.Context,
    paths: Sequence[str | None],
    question: "BuyQuestion",
    items: "Mapping[str, PricedItem]",
    guesses: "Corner",
    number: int | None,
    form: str,
    files: Sequence[Path],
) -> None:
    """Print what to buy for several jobs, or one option of that in full. `files`: where the sites go with
    what is bought."""
    from optimiser.telling.bought import several_jobs as telling
    from optimiser.telling.bought.where_from import noted

    texts, sites = zip(*(load_text(path, guesses) for path in paths), strict=True)
    names = [path or DEMONSTRATION for path in paths]
    found = find_for_all(sites, names, question, items)
    blocks: list[Block]
    if found.options:
        chosen = found.options[in_list(number or 1, len(found.options)) - 1]
        options = [share.option for share in chosen.shares]
        where = noted(chosen, found.currency)
        for place, (file, text) in enumerate(zip(files, texts, strict=False)):
            own = [o for job, o in zip(found.jobs, options, strict=True) if job.place == place]
            write_with(file, text, *(own or [replace(options[0], made=())]), below=where)
    if number is not None and found.options:
        blocks = telling.shown(sites, found, number)
        data = telling.OFFER.json(telling.of_offer(found, number))
    else:
        blocks, data = telling.report(sites, found), telling.together_json(found)
    if form != "csv":
        blocks = [*blocks, *left_open(sites, found, number)]
    answer(sites[0], blocks, form, data if form == "json" else None, varied=sites)
    if found.jobs and not found.options:
        ctx.exit(3)


def find_for_all(
    sites: "Sequence[Site]",
    paths: Sequence[str],
    question: "BuyQuestion",
    items: "Mapping[str, PricedItem]",
) -> "Together":
    """What to buy for several jobs, with a sign of life. Raises click.BadParameter for jobs that cannot be
    bought for together."""
    from optimiser.jobs.buy.together import buy_together

    with searching() as progress:
        try:
            return buy_together(sites, question, names=paths, items=items, progress=progress)
        except ValueError as bad:
            raise click.BadParameter(str(bad), param_hint="SITE") from bad


def left_open(sites: "Sequence[Site]", found: "Together", number: int | None) -> "Iterator[Block]":
    """What the readings of the sites leave open of each job, with the first option or the one requested."""
    if not found.options:
        return
    option = found.options[(number or 1) - 1]
    for job, share in zip(found.jobs, option.shares, strict=True):
        site = sites[job.place]
        measured = of_option(site, job.name, share.option)
        if measured:
            from optimiser.telling.worst_ends import summary  # only where there are readings

            yield summary(site, measured)
