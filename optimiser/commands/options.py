"""Defines the arguments and options that several commands share, and prints their answers."""

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from math import isfinite
from typing import TYPE_CHECKING, Any, TypeVar

import click

from shared.progress import clear_line
from shared.report import FORMS, Report, printed, records, tables
from shared.terminal import terminal_width

if TYPE_CHECKING:
    from optimiser.jobs.question import RankQuestion
    from optimiser.jobs.ranges.elsewhere import Elsewhere
    from optimiser.rig.setup import LoweringSetup, Ranking, Setup
    from optimiser.site.document.quantity import Corner
    from optimiser.site.model import Owned, Site
    from optimiser.telling.worst_ends import Answer
    from shared.progress import Progress

_LOUD = r"UNRATED|NOT proven|NOT FINISHED|NO SETUP WORKS|MEANT SO\?|SUSPICIOUS|NOT CERTAIN|MAY FAIL"

Wrapped = TypeVar("Wrapped", bound=Callable[..., Any])
Doubted = TypeVar("Doubted", bound="Setup | LoweringSetup")

TABLE = "optimiser.table"
"""Under which a context has the name of the table that was requested."""

MOST_MEASURED = 10
"""Answers of which a list has what the readings leave open; each shown by itself has it too."""
CORNERS = ("worst", "stated", "best")
"""Which end of every uncertain value the site is read at."""


def site_argument(function: Wrapped) -> Wrapped:
    """`[SITE]`: a file, `-` for standard input, nothing for the demonstration site."""
    path = click.Path(allow_dash=True)
    return click.argument("site", required=False, type=path, metavar="[SITE]")(function)


def sites_argument(function: Wrapped) -> Wrapped:
    """`[SITE]...`: files; nothing for the demonstration site."""
    path = click.Path(allow_dash=True)
    return click.argument("sites", nargs=-1, type=path, metavar="[SITE]...")(function)


def form_option(function: Wrapped) -> Wrapped:
    """`--format`: how listings are printed; `--table`: which of them as CSV, noted for who prints it."""
    form = click.option(
        "--format",
        "form",
        type=click.Choice(FORMS),
        default="table",
        show_default=True,
        help="Tables and Markdown round and use your units; CSV and JSON are SI at full precision.",
    )
    table = click.option(
        "--table",
        expose_value=False,
        callback=lambda ctx, _param, name: ctx.meta.update({TABLE: name}),
        metavar="NAME",
        help="Which table to print as CSV; the first if left out, which names the others.",
    )
    return form(table(function))


def search_options(function: Wrapped) -> Wrapped:
    """What every command takes that ranks setups: `by`, and what `limit_options` gives."""
    by = click.option(
        "--by",
        callback=lambda _ctx, _param, text: None if text is None else order_named(text),
        metavar="KEY,KEY...",
        help="Order of the list, most important first, such as resets,rope.",
    )
    return by(limit_options(function))


def noted_limit(
    _ctx: click.Context, _param: click.Parameter, seconds: float | None
) -> float | None:
    """The time limit that an option gives, noted for whoever prints why a search did not end. Raises
    click.BadParameter for what is no time."""
    from shared.interrupt import note_limit

    if seconds is not None and not isfinite(seconds):
        raise click.BadParameter(f"expected a number of seconds, such as 20, got {seconds}")
    note_limit(seconds)
    return seconds


def limit_options(function: Wrapped) -> Wrapped:
    """What every command takes that searches: `without`, `time_limit`, `guesses`."""
    for option in reversed(
        (
            click.option(
                "--without-rule",
                "without",
                callback=lambda _ctx, _param, words: rules_named(words),
                multiple=True,
                metavar="NAME",
                help="Switch a rule of the search off (may be repeated); see rank --rules.",
            ),
            click.option(
                "--time-limit",
                type=click.FloatRange(min=0.0, min_open=True),
                callback=noted_limit,
                metavar="SECONDS",
                help="Stop searching after this time; the answer then is not proven.",
            ),
            click.option(
                "--guesses",
                type=click.Choice(CORNERS),
                default="worst",
                show_default=True,
                help="Which end of every range in the site to plan for.",
            ),
        )
    ):
        function = option(function)
    return function


def compound_option(function: Wrapped) -> Wrapped:
    """`--compound`: whether tackle on tackle is looked at."""
    return click.option(
        "--compound/--no-compound",
        default=None,
        help="Look at tackle on tackle (a second rope's blocks gripping the first) however long it "
        "takes, or never; by default where it takes about a second, or nothing simpler works.",
    )(function)


def join_ropes_option(function: Wrapped) -> Wrapped:
    """`--join-ropes`: whether ropes are put together."""
    return click.option(
        "--join-ropes/--whole-ropes",
        default=None,
        help="Count ropes that are joined, or lengthened by a strap or chain, whatever else does, or "
        "never; by default where no rope of one piece does.",
    )(function)


def hold_option(function: Wrapped) -> Wrapped:
    """`--hold`: only setups that a second line keeps in hand."""
    return click.option(
        "--hold",
        is_flag=True,
        help="Only setups that leave the gear for a second line wherever the load runs by itself "
        "(holding line) or would slew (steering line); a path that dips, or anchors far to the side, "
        "can then be hauled too.",
    )(function)


def samples_option(function: Wrapped) -> Wrapped:
    """`--samples`: how likely a setup keeps within every rating."""
    return click.option(
        "--samples",
        type=click.IntRange(min=10, max=1_000_000),
        metavar="N",
        help="Draw N samples from the ranges: how often nothing goes over its rating.",
    )(function)


def take_samples(site: "Site", setups: "Sequence[Setup]", samples: int) -> "tuple[Setup, ...]":
    """The setups with the share of samples in which each works. Raises click.BadParameter."""
    from optimiser.jobs.ranges.samples import with_shares
    from shared.progress import Progress

    if not site.guesses:
        raise click.BadParameter(
            "the site file gives no ranges to draw from (such as weight = '220..300 kg')",
            param_hint="--samples",
        )
    with Progress() as progress:
        return with_shares(site, setups, samples, progress=progress)


@contextmanager
def searching() -> "Iterator[Progress]":
    """A sign of life for whoever waits, who at Ctrl-C gets the answer so far."""
    from shared.interrupt import answer_on_request
    from shared.progress import Progress

    with Progress() as progress, answer_on_request():
        yield progress


def load_site(path: str | None, corner: "Corner" = "worst") -> "Site":
    """The site at `path`, or the demonstration site. Raises InputError."""
    from optimiser.site.reading import read_site

    return read_site(path, corner=corner)


def load_text(path: str | None, corner: "Corner" = "worst") -> "tuple[str, Site]":
    """The text of the site file at `path` and its site, or those of the demonstration. Raises InputError."""
    from optimiser.site.reading import read_document, site_from_document

    document = read_document(path)
    return document.text, site_from_document(document, corner)


def find_setups(site: "Site", question: "RankQuestion", *, only: int | None = None) -> "Ranking":
    """Rank the setups of a site, with a sign of life. `only`: the number of the one that is wanted."""
    from optimiser.jobs.rank import rank

    with searching() as progress:
        return rank(site, question, progress=progress, only=only)


def in_list(number: int, many: int) -> int:
    """The number of an option that is there. Raises click.BadParameter."""
    if number > many:
        raise click.BadParameter(
            f"there is no option {number}: there are {many}", param_hint="--show"
        )
    return number


def order_named(text: str, known: Iterable[str] | None = None) -> tuple[str, ...]:
    """The criteria named in `--by`, checked against those known (of rankings unless others are
    given). Raises click.BadParameter."""
    from optimiser.telling.words import CRITERIA

    keys = tuple(key.strip() for key in text.split(","))
    for key in keys:
        _known(key, CRITERIA if known is None else known, "--by")
    if len(set(keys)) < len(keys):
        raise click.BadParameter(f"a key is named twice in '{text}'", param_hint="--by")
    return keys


def rules_named(words: Sequence[str]) -> tuple[str, ...]:
    """The rules named in `--without-rule`, checked. Raises click.BadParameter."""
    from optimiser.site.rules import RULES

    for word in words:
        _known(word, RULES, "--without-rule")
    return tuple(words)


def print_report(
    report: Report,
    form: str,
    system: str = "metric",
    data: Any = None,
    own: Collection[str] = (),
) -> None:
    """Print an answer on standard output in the form requested. `own`: names that a site has of its own."""
    table = _table(report, form)
    text = printed(report, form, system, data, own, terminal_width(), table)
    if form == "table":
        text = re.sub(_LOUD, lambda found: click.style(found[0], fg="red", bold=True), text)
    clear_line()
    click.echo(text, nl=False)  # which drops the colour where nobody could see it


def _table(report: Report, form: str) -> str | None:
    """Which table to print as CSV; the others are named on standard error where none was requested. Raises
    click.BadParameter."""
    context = click.get_current_context(silent=True)
    name = None if context is None else context.meta.get(TABLE)
    if form != "csv":
        if name is not None:
            raise click.BadParameter("goes with --format csv", param_hint="--table")
        return None
    names = list(tables(report))
    if name is not None:
        _known(name, names, "--table")
    elif len(names) > 1:
        clear_line()
        click.echo(f"table {names[0]}; others with --table: {', '.join(names[1:])}", err=True)
    return name


def answer(
    site: "Site",
    report: Report,
    form: str,
    data: dict[str, Any] | None = None,
    varied: "Iterable[Site]" = (),
    measured: "Sequence[Answer]" = (),
    others: "Sequence[Answer]" = (),
) -> None:
    """Print an answer about a site in the form requested, what on the site is unlikely above it.

    JSON has that under the key "unlikely"; beside CSV it goes to standard error, so that the table stays one
    that every reader takes. `varied`: what the site is varied to, where that is what the answer is about.
    `measured`: what the readings of the site leave open of the answer: above it where it may fail for them,
    else below it, in JSON under "left_open". `others`: the same of answers besides, of which the report has
    it already.
    """
    from optimiser.jobs.remarks import unlikely_blocks, unlikely_of_all
    from optimiser.site.names import own_names

    if measured:  # the words of readings are needed only where there are some
        from optimiser.telling.worst_ends import LEFT_OPEN, summary
    system = site.preferences.units
    remarks = unlikely_of_all(varied or (site,))
    if form == "json":
        data = records(report) if data is None else data
        from optimiser.telling.fields.several import REMARK

        data = {"unlikely": [REMARK.json(remark) for remark in remarks], **data}
        if measured:
            data["left_open"] = [LEFT_OPEN.json((site, *each)) for each in (*measured, *others)]
        print_report(report, form, system, data)
        return
    above = unlikely_blocks(remarks)
    if measured:
        block = summary(site, measured)
        certain = all(found.holds for _, found in measured)
        if form == "csv":
            above = above if certain else [*above, block]
        else:
            report = [*report, block] if certain else [block, *report]
    if form == "csv":
        clear_line()
        click.echo(
            printed(above, "table", width=terminal_width()) if above else "", err=True, nl=False
        )
        print_report(report, form, system)
        return
    if above:  # these quote the site file, and have its units already
        print_report(above, form)
        click.echo()
    print_report(report, form, system, own=own_names(site))


def both_trips(
    site: "Site", ranking: "Ranking | None" = None, time_limit: float | None = None
) -> str:
    """Which of the trips of a load that goes both ways can be done; "" for one that makes one trip only."""
    if len(site.preferences.trips) < 2:
        return ""
    from optimiser.jobs.both_trips import which_trips  # only where the site asks for it

    with searching() as progress:
        return which_trips(site, ranking, time_limit=time_limit, progress=progress)


def measured_answers(
    site: "Site",
    setups: "Iterable[tuple[str, Setup]]",
    extra: "Sequence[Owned]" = (),
    elsewhere: "Elsewhere | None" = None,
) -> "tuple[Answer, ...]":
    """What the readings of a site leave open of some setups, each under a name; nothing where every place is
    given by coordinates. `extra`: pieces that the setups have besides those of the site. `elsewhere`: of the
    site, where it is looked at before or after too."""
    if site.surveyed is None:
        return ()
    from optimiser.jobs.ranges.elsewhere import Elsewhere  # only where there are readings
    from optimiser.jobs.ranges.readings_off import left_open
    from shared.progress import Progress

    sites, out = elsewhere or Elsewhere(site), []
    with Progress() as progress:
        for name, setup in setups:
            progress(f"what the readings leave open of {name.lower()}")
            found = left_open(site, setup, extra=extra, elsewhere=sites)
            if found is not None:
                out.append((name, found))
    return tuple(out)


def cautioned(site: "Site", setup: "Doubted", measured: "Sequence[Answer]") -> "Doubted":
    """The setup for a sheet: where it may fail for the readings of its site (`measured`), that is the first
    of its cautions."""
    doubts = [each for each in measured if not each[1].holds]
    if not doubts:
        return setup
    from optimiser.rig.setup import Caution
    from optimiser.telling.worst_ends import MAY_FAIL, sentence

    texts = [f"{MAY_FAIL}: {sentence(site, *each)}" for each in doubts]
    first = [Caution(key="readings", text=text, source="gum") for text in texts]
    every: tuple[Caution, ...] = (*first, *setup.cautions)
    return replace(setup, cautions=every)


def remind(site: "Site") -> None:
    """Print on standard error what on the site is unlikely, beside an answer that goes to a file."""
    from optimiser.jobs.remarks import unlikely_blocks
    from optimiser.site.doubts.unlikely import unlikely

    blocks = unlikely_blocks(unlikely(site))
    if blocks:
        clear_line()
        click.echo(printed(blocks, "table", width=terminal_width()), err=True, nl=False)


def _known(word: str, words: Iterable[str], option: str) -> None:
    from shared.words import did_you_mean, listed

    known = list(words)
    if word not in known:
        near = did_you_mean(word, known) or f": expected {listed(known)}"
        raise click.BadParameter(f"'{word}' is not known{near}", param_hint=option)
