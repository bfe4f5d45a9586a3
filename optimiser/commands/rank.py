"""`bankhaul rank`: the best setups with the gear owned, proven complete."""

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from optimiser.commands.options import (
    MOST_MEASURED,
    answer,
    both_trips,
    compound_option,
    find_setups,
    form_option,
    hold_option,
    join_ropes_option,
    load_site,
    measured_answers,
    print_report,
    samples_option,
    search_options,
    site_argument,
    take_samples,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from optimiser.rig.setup import Ranking
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site
    from optimiser.telling.worst_ends import Answer
    from shared.report import Block


@click.command("rank")
@site_argument
@click.option(
    "--top",
    type=click.IntRange(min=1),
    default=10,
    show_default=True,
    metavar="N",
    help="How many setups to list.",
)
@click.option(
    "--all", "everything", is_flag=True, help="List also what another setup beats on every count."
)
@search_options
@compound_option
@join_ropes_option
@hold_option
@samples_option
@click.option("--rules", "list_rules", is_flag=True, help="List the rules of the search and stop.")
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    site: str | None,
    top: int,
    everything: bool,
    by: tuple[str, ...] | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    compound: bool | None,
    join_ropes: bool | None,
    hold: bool,
    samples: int | None,
    list_rules: bool,
    form: str,
) -> None:
    """List the best setups, proven complete.

    Says whether a better setup than those can exist with the gear of SITE.

    \b
    Example: bankhaul rank --top 3
    """
    if list_rules:
        print_report([("", rules_listing())], form)
        return
    loaded = load_site(site, guesses)
    from optimiser.jobs.question import (
        RankQuestion,
    )  # what a search needs: a bad file waits for none

    question = RankQuestion(
        top=top,
        by=by,
        everything=everything,
        without=without,
        compound=compound,
        join_ropes=join_ropes,
        hold=hold,
        time_limit=time_limit,
    )
    found = find_setups(loaded, question)
    if samples is not None:
        found = replace(found, setups=take_samples(loaded, found.setups, samples))
    from optimiser.telling.onward import after_rank
    from optimiser.telling.tables import ranking_json

    trips = both_trips(loaded, found, time_limit)
    more = {"trips": trips} if trips else {}
    if not found.setups:
        after = after_rank(site, found, time_limit)
        data = ranking_json(found) | {"next": after} | more if form == "json" else None
        blocks = nothing_feasible(loaded, found, after)
        answer(loaded, [*([("", trips)] if trips else []), *blocks], form, data)
        ctx.exit(3)
    data = ranking_json(found) | more if form == "json" else None
    listed = found.setups[:MOST_MEASURED]
    measured = measured_answers(loaded, [(f"Setup {setup.rank}", setup) for setup in listed])
    blocks = report(loaded, found, guesses, measured)
    if trips:  # what cannot be done comes first
        blocks = [*blocks, ("", trips)] if trips.startswith("Both") else [("", trips), *blocks]
    answer(loaded, blocks, form, data, measured=measured[:1], others=measured[1:])


def report(
    site: "Site",
    ranking: "Ranking",
    corner: "Corner" = "worst",
    measured: "Sequence[Answer]" = (),
) -> "list[Block]":
    """A ranking with setups as blocks: the list, what it proves, and what applies to every haul.
    `measured`: what the readings of the site leave open of the first of them."""
    from catalogue.glossary import explained
    from optimiser.telling import words
    from optimiser.telling.tables import misses_listing, ranking_listing

    system = site.preferences.units
    listed = ranking_listing(ranking, system)
    if measured:
        from optimiser.telling.worst_ends import with_verdicts  # only where there are readings

        listed = with_verdicts(listed, [(each,) for each in measured], system)
    blocks: list[Block] = [(heading(site), listed)]
    notes = [
        words.settled(ranking, system),
        words.spots_note(site),
        words.TWO_ROPES_LEFT if ranking.compounds_left else "",
        f"Order: {words.order(ranking.order)}.",
        f"{explained(('margin', 'reset'))} `bankhaul words` explains the others.",
        words.counting_note(ranking.setups),
        words.mark_note(ranking.setups),
        words.joined_note(ranking.setups),
        words.guesses(site, corner),
        words.not_held(ranking),
        sampled(ranking),
        f"What the readings leave open is worked out of the first {MOST_MEASURED}; `bankhaul show N` has it "
        "of each other."
        if measured and len(ranking.setups) > MOST_MEASURED
        else "",
        "`bankhaul show N` explains setup N: what hangs where, what every piece carries, the cautions "
        "in full.",
    ]
    blocks.append(("", "\n".join(note for note in notes if note)))
    always = [c for c in ranking.setups[0].cautions if c.always]
    if always:
        blocks.append(("Before every haul", "\n".join(f"- {c.short or c.text}" for c in always)))
    if ranking.misses:
        blocks.append(("Nearly", misses_listing(ranking.misses, system)))
    return blocks


def nothing_feasible(site: "Site", ranking: "Ranking", after: str) -> "list[Block]":
    """Why there is no setup: that the search is not finished, or the nearest misses, each with what stops it
    and what would cure it; and `after`, the command to run next."""
    from optimiser.rig.status import Status
    from optimiser.site.anchors import Tree
    from optimiser.site.doubts.data_ends import PULLING_TEST
    from optimiser.telling import words
    from optimiser.telling.onward import sentence
    from optimiser.telling.tables import misses_listing

    out: list[Block] = [
        (
            "",
            " ".join(
                text
                for text in (
                    words.nothing(site.title, ranking.status),
                    words.proof(ranking, site.preferences.units),
                    words.spots_note(site),
                    words.not_held(ranking),
                )
                if text
            ),
        ),
    ]
    if ranking.misses or (ranking.status is Status.NOTHING_WORKS and not ranking.not_held):
        printed_misses = misses_listing(ranking.misses, site.preferences.units)
        out.append(("The nearest misses", printed_misses))
    if ranking.not_held is None and any("side pull" in miss.limit for miss in ranking.misses):
        out.append(
            ("", "`bankhaul rank --hold` also tries a steering line from the load to a trunk.")
        )
    trees = any(isinstance(anchor, Tree) for anchor in site.anchors)
    if trees and any("strength of an anchor" in miss.limit for miss in ranking.misses):
        out.append(("", PULLING_TEST))
    out.append(("", sentence(after)))
    return out


def sampled(ranking: "Ranking") -> str:
    """What the column of samples means; "" without it."""
    if all(setup.within is None for setup in ranking.setups):
        return ""
    from optimiser.jobs.ranges.samples import SEED
    from optimiser.telling.ranges import SAMPLED

    return f"All within rating: share of the samples. {SAMPLED.format(seed=SEED)}"


def heading(site: "Site") -> str:
    return f"Setups for {site.title}"


def rules_listing() -> Any:
    """The rules of the search by name."""
    from optimiser.site.rules import RULES
    from optimiser.telling.fields.several import RULE
    from shared.listing import Listing

    return Listing.of(RULE, RULES.items())
