"""`bankhaul show`: one setup spelt out."""

from typing import TYPE_CHECKING

import click

from optimiser.commands.options import (
    answer,
    compound_option,
    find_setups,
    form_option,
    hold_option,
    join_ropes_option,
    load_site,
    measured_answers,
    samples_option,
    search_options,
    take_samples,
)

if TYPE_CHECKING:
    from optimiser.jobs.hold.results import Held
    from optimiser.rig.setup import Ranking, Setup
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Site


@click.command("show")
@click.argument("words", nargs=-1, metavar="[SITE] [N]")
@search_options
@compound_option
@join_ropes_option
@hold_option
@samples_option
@form_option
@click.pass_context
def command(
    ctx: click.Context,
    words: tuple[str, ...],
    by: tuple[str, ...] | None,
    without: tuple[str, ...],
    time_limit: float | None,
    guesses: "Corner",
    compound: bool | None,
    join_ropes: bool | None,
    hold: bool,
    samples: int | None,
    form: str,
) -> None:
    """Explain setup N of the ranking.

    What hangs at each place, what every piece carries and stands, the pull along the path, the
    cautions, how wrong each guess may be and which to measure.

    N is 1 if left out. A lone number is N; a file named like a number is written ./7.

    \b
    Example: bankhaul show 1
    """
    from optimiser.commands.rank import nothing_feasible
    from optimiser.jobs.question import RankQuestion
    from optimiser.jobs.ranges.before_pulls import before_pulls
    from optimiser.jobs.ranges.breakeven import (
        MEASURED,
        MOST,
        Bench,
        break_evens_of,
        worth_measuring_of,
    )
    from optimiser.jobs.ranges.samples import SEED
    from optimiser.rig.setup import Way
    from optimiser.telling import ranges as telling
    from optimiser.telling.detail import detail
    from optimiser.telling.onward import after_rank
    from optimiser.telling.readings import pulled
    from optimiser.telling.spelt_out import SHOWN, Shown
    from optimiser.telling.tables import ranking_json
    from optimiser.telling.words import settled
    from optimiser.telling.worst_ends import blocks as left_open_blocks

    path, number = parted(words)
    site = load_site(path, guesses)
    question = RankQuestion(
        top=max(10, number),
        by=by,
        without=without,
        compound=compound,
        join_ropes=join_ropes,
        hold=hold,
        time_limit=time_limit,
    )
    found = find_setups(site, question, only=number)
    if not found.many:
        after = after_rank(path, found, time_limit)
        data = ranking_json(found) | {"next": after} if form == "json" else None
        answer(site, nothing_feasible(site, found, after), form, data)
        ctx.exit(3)
    setup = numbered(found, number)
    if samples is not None:
        (setup,) = take_samples(site, (setup,), samples)
    spare = hold_with_spare(site, setup)
    single = not any(line.way is Way.ON for line in setup.holding)
    before = before_pulls(site, setup)
    bench = Bench(site, setup) if single else None
    limits = () if bench is None else break_evens_of(bench, setup.components)
    known = () if bench is None else worth_measuring_of(bench, site, many=MOST)
    worth = known[:MEASURED]
    measured = measured_answers(site, [(f"Setup {number}", setup)])
    shown = Shown(
        site=site,
        setup=setup,
        among=found,
        spare=spare,
        limits=limits,
        worth=worth,
        before=before,
    )
    data = SHOWN.json(shown) if form == "json" else None
    narrowed = pulled.pulled_blocks(site)
    if before is not None:
        narrowed.insert(0, (pulled.TITLE, pulled.worth_going_on(site, setup.margin, before)))
    blocks = [
        *detail(site, setup, spare=spare),
        *narrowed,
        *telling.blocks(site, limits, worth, planned=setup.margin),
        *(block for _, each in measured for block in left_open_blocks(site, each, known)),
        ("", telling.share_text(setup, samples or 0, SEED)),
        ("", settled(found, site.preferences.units)),
    ]
    answer(site, [block for block in blocks if block[1]], form, data, measured=measured)


def hold_with_spare(site: "Site", setup: "Setup") -> "Held | None":
    """What the gear that the haul leaves would hold the load with; None where the setup has its
    holding lines already."""
    from optimiser.jobs.hold.find import hold

    return None if setup.holding else hold(site, setup)


def numbered(found: "Ranking", number: int) -> "Setup":
    """The setup of that number. Raises click.BadParameter."""
    if number > found.many:
        raise click.BadParameter(
            f"there is no setup {number}: the ranking has {found.many}", param_hint="N"
        )
    return found.setups[number - 1 if found.listed is None else 0]


def parted(words: tuple[str, ...]) -> tuple[str | None, int]:
    """The site and the number among the arguments. Raises click.BadParameter."""
    if len(words) > 2:
        raise click.UsageError(f"expected a SITE and a number, got {len(words)} arguments")
    if not words:
        return None, 1
    last = words[-1]
    if last.lstrip("+-").isdecimal():
        number = int(last)
        if number < 1:
            raise click.BadParameter(f"setups are numbered from 1, got {last}", param_hint="N")
        return (words[0] if len(words) == 2 else None), number
    if len(words) == 2:
        raise click.BadParameter(f"expected the number of a setup, got '{last}'", param_hint="N")
    return last, 1
