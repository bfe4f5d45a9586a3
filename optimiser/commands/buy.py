"""`bankhaul buy`: what to add to the owned gear."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.options import (
    answer,
    compound_option,
    form_option,
    limit_options,
    load_site,
    measured_answers,
    searching,
    site_argument,
    whole_ropes_option,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from optimiser.jobs.buy.results import Option, Purchases
    from optimiser.jobs.question import BuyQuestion
    from optimiser.jobs.ranges.elsewhere import Elsewhere
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site
    from optimiser.telling.worst_ends import Answer


@click.command("buy")
@site_argument
@click.option(
    "--prices",
    type=click.Path(),
    metavar="FILE",
    help="Your own price list, CSV or TOML; its items win over the placeholders that ship.",
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
@compound_option
@whole_ropes_option
@limit_options
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    site: str | None,
    prices: str | None,
    only_my_list: bool,
    most_stages: int,
    number: int | None,
    compound: bool | None,
    whole_ropes: bool,
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

    \b
    Example: bankhaul buy
    """
    from optimiser.jobs.question import BuyQuestion
    from optimiser.telling.buy import OFFER_IN_FULL, Offer, purchases_json, report, shown
    from optimiser.telling.onward import after_buy, sentence

    if only_my_list and prices is None:
        raise click.BadParameter("needs a list: give it with --prices", param_hint="--only-my-list")
    loaded = load_site(site, guesses)
    question = BuyQuestion(
        most_stages=most_stages,
        without=without,
        compound=compound,
        whole_ropes=whole_ropes,
        time_limit=time_limit,
    )
    found = find_purchases(loaded, question, prices=prices, only_mine=only_my_list)
    if not found.options:
        after = after_buy(site, found, time_limit)
        data = purchases_json(found) | {"next": after} if form == "json" else None
        answer(loaded, [*report(loaded, found), ("", sentence(after))], form, data)
        ctx.exit(3)
    if number is None:
        data = purchases_json(found) if form == "json" else None
        first, *others = of_options(loaded, found.options)
        blocks = report(loaded, found, (first, *others) if first else ())
        every = [each for option in others for each in option]
        answer(loaded, blocks, form, data, measured=first, others=every)
        return
    if number > len(found.options):
        raise click.BadParameter(
            f"there is no option {number}: there are {len(found.options)}", param_hint="--show"
        )
    option = found.options[number - 1]
    blocks = shown(loaded, option)
    data = OFFER_IN_FULL.json(Offer(number, option, found)) if form == "json" else None
    answer(loaded, blocks, form, data, measured=of_option(loaded, number, option))


def of_options(site: "Site", options: "Sequence[Option]") -> "list[tuple[Answer, ...]]":
    """The same of all options."""
    if site.surveyed is None:
        return [() for _ in options]
    from optimiser.jobs.ranges.elsewhere import Elsewhere  # only where there are readings

    sites = Elsewhere(site)
    return [of_option(site, number, option, sites) for number, option in enumerate(options, 1)]


def of_option(
    site: "Site", number: int, option: "Option", elsewhere: "Elsewhere | None" = None
) -> "tuple[Answer, ...]":
    """What the readings of the site leave open of an option, stage by stage."""
    plan = (option.setup,) if option.plan is None else option.plan.stages
    laid = (touch.owned for stage in plan for touch in stage.contacts)
    known = {piece.name for piece in (*site.gear, *option.pieces_bought)}
    made = {piece.name: piece for piece in laid if piece is not None and piece.name not in known}
    extra = (*option.pieces_bought, *made.values())
    if option.plan is None:
        return measured_answers(site, [(f"Option {number}", option.setup)], extra, elsewhere)
    stages = enumerate(option.plan.stages, 1)
    named = [(f"Option {number}, stage {place}", stage) for place, stage in stages]
    return measured_answers(site, named, extra, elsewhere)


def find_purchases(
    site: "Site", question: "BuyQuestion", *, prices: str | None, only_mine: bool
) -> "Purchases":
    """What to buy from the price lists that the options give. Raises InputError for a bad price list."""
    from catalogue.prices import load_prices, merge_prices
    from optimiser.jobs.buy.shop import buy

    listed = load_prices()
    if prices is not None:
        merged = merge_prices(listed, prices)
        listed = (
            {id: item for id, item in merged.items() if not item.placeholder}
            if only_mine
            else merged
        )
    with searching() as progress:
        return buy(site, question, items=listed, progress=progress)
