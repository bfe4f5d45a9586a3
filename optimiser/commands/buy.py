"""`bankhaul buy`: what to add to the owned gear."""

from typing import TYPE_CHECKING

import click

from optimiser.commands import buy_several as several
from optimiser.commands.options import (
    answer,
    compound_option,
    form_option,
    hold_option,
    in_list,
    join_ropes_option,
    limit_options,
    load_text,
    searching,
    sites_argument,
)
from optimiser.commands.purchases import of_option, of_options, targets, write_with

if TYPE_CHECKING:
    from collections.abc import Mapping

    from catalogue.prices import PricedItem
    from optimiser.jobs.buy.results import Purchases
    from optimiser.jobs.question import BuyQuestion
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site


@click.command("buy")
@sites_argument
@click.option(
    "--prices",
    type=click.Path(),
    multiple=True,
    metavar="FILE",
    help="Your own price list, CSV or TOML; its items win over the placeholders that ship. Several: once for "
    "each; each is a shop, and a piece is bought where it is cheapest.",
)
@click.option(
    "--rate",
    "rates",
    multiple=True,
    metavar="RATE",
    help="What one of a currency is worth in another, such as '1 USD = 0.9 EUR', where lists differ in it.",
)
@click.option("--only-my-list", is_flag=True, help="Offer nothing but what is on your own list.")
@click.option(
    "--stages",
    "most_stages",
    type=click.IntRange(min=1),
    default=4,
    show_default=True,
    metavar="N",
    help="Haul it in up to N stages, one setup after the other.",
)
@click.option(
    "--show", "number", type=click.IntRange(min=1), metavar="N", help="Spell option N out."
)
@click.option(
    "--write",
    "target",
    metavar="FILE",
    help="Write a copy of the site file with option 1, or the one that --show names, among its gear. Of "
    "several sites: a folder, or a name with {} for the name of each.",
)
@click.option(
    "--force", is_flag=True, help="Let --write go over a file that is there, the site's too."
)
@click.option(
    "--down", is_flag=True, help="Let the load down, as `lower` does, in place of hauling it."
)
@click.option(
    "--both",
    is_flag=True,
    help="Haul the load and let it down: one purchase with which both can be done.",
)
@hold_option
@compound_option
@join_ropes_option
@limit_options
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    sites: tuple[str, ...],
    prices: tuple[str, ...],
    rates: tuple[str, ...],
    only_my_list: bool,
    most_stages: int,
    number: int | None,
    target: str | None,
    force: bool,
    down: bool,
    both: bool,
    hold: bool,
    compound: bool | None,
    join_ropes: bool | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    form: str,
) -> None:
    """Find the least to buy so that the haul works.

    Least money and fewest pieces with which the whole path is hauled in up to N stages, the plainest
    purchase for up to a fifth more, and what the next steps of money bring in stages saved, margin or
    resets, where that is worth it. Replacing the weakest piece counts too, and so do ropes that are
    joined, or lengthened by a strap or chain, where none of one piece does.

    With several sites: the least with which every one of the jobs can be done, one after the other with
    the same gear; which job needs what of it, what each costs by itself, what leaving it out saves. Each
    job counts on the gear that its own file lists.

    A load that is let down (--down), or goes both ways (--both), is a job as well: with --both the same
    gear hauls it and lets it down, now or next season.

    \b
    Example: bankhaul buy
    """
    from catalogue.currency import read_rate
    from optimiser.jobs.question import BuyQuestion

    if only_my_list and not prices:
        raise click.BadParameter("needs a list: give it with --prices", param_hint="--only-my-list")
    for rate in rates:
        try:
            read_rate(rate)
        except ValueError as bad:
            raise click.BadParameter(str(bad), param_hint="--rate") from bad
    try:
        question = BuyQuestion(
            most_stages=most_stages,
            without=without,
            compound=compound,
            join_ropes=join_ropes,
            hold=hold,
            down=down,
            both=both,
            rates=rates,
            time_limit=time_limit,
        )
    except ValueError as bad:
        raise click.UsageError(str(bad)) from bad
    offered = priced(prices, only_mine=only_my_list)
    files = targets(sites or (None,), target, force=force)
    if len(sites) > 1 or down or both:
        several.answer_for(ctx, sites or (None,), question, offered, guesses, number, form, files)
        return
    from optimiser.telling.bought.where_from import noted
    from optimiser.telling.buy import OFFER_IN_FULL, Offer, purchases_json, report, shown
    from optimiser.telling.onward import after_buy, sentence

    site = next(iter(sites), None)
    text, loaded = load_text(site, guesses)
    found = find_purchases(loaded, question, offered)
    if not found.options:
        after = after_buy(site, found, time_limit)
        data = purchases_json(found) | {"next": after} if form == "json" else None
        answer(loaded, [*report(loaded, found), ("", sentence(after))], form, data)
        ctx.exit(3)
    chosen = found.options[in_list(number or 1, len(found.options)) - 1]
    for file in files:
        write_with(file, text, chosen, below=noted(chosen, found.currency))
    if number is None:
        data = purchases_json(found) if form == "json" else None
        first, *others = of_options(loaded, found.options)
        blocks = report(loaded, found, (first, *others) if first else ())
        every = [each for option in others for each in option]
        answer(loaded, blocks, form, data, measured=first, others=every)
        return
    blocks = shown(loaded, chosen, found.currency)
    data = OFFER_IN_FULL.json(Offer(number, chosen, found)) if form == "json" else None
    answer(loaded, blocks, form, data, measured=of_option(loaded, number, chosen))


def priced(prices: tuple[str, ...], *, only_mine: bool) -> "Mapping[str, PricedItem]":
    """What the options' price lists offer. Raises InputError for a bad one."""
    from catalogue.prices import load_prices, merge_prices

    listed = load_prices()
    if not prices:
        return listed
    merged = merge_prices(listed, *prices)
    if not only_mine:
        return merged
    return {id: item for id, item in merged.items() if not item.placeholder}


def find_purchases(
    site: "Site", question: "BuyQuestion", items: "Mapping[str, PricedItem]"
) -> "Purchases":
    """What to buy from a price list, with a sign of life."""
    from optimiser.jobs.buy.shop import buy

    with searching() as progress:
        return buy(site, question, items=items, progress=progress)
