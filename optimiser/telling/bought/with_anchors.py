"""Prints what has to be bought where somebody drives pickets for an anchor besides, or ties a sling between
two trees."""

from collections.abc import Callable, Iterator
from typing import Any

from optimiser.jobs.buy.results import Driven, Option, Purchases, Tied
from optimiser.jobs.proposed import Pickets, Proposed, TiedSling
from optimiser.rig.naming import run_of_ropes
from optimiser.telling.bought.item_words import ITEM
from optimiser.telling.bought.where_from import bought_for
from optimiser.telling.fields.common import (
    COUNT,
    FLAG,
    MARGIN,
    MONEY,
    RATIO,
    RESETS,
    TEXT,
    TEXTS,
)
from optimiser.telling.tables import SETUP
from shared.columns import Column, Many, Record
from shared.report import Block
from shared.units import show
from shared.words import counted

PICKETS: Record[Pickets] = Record("pickets", "a picket holdfast to drive", (
    Column("system", lambda p: p.system, TEXT, "how many pickets stand in each row"),
    Column("pickets", lambda p: p.pieces, COUNT, "how many pickets"),
    Column("minutes", lambda p: p.making.minutes, RATIO, "how long two people take", unit="min",
           name="minutes"),
    Column("at", lambda p: p.spot, TEXTS, "where, as a site file has it"),
    Column("where", lambda p: p.where, TEXT, "where, in words"),
    Column("to_do", lambda p: p.in_words, TEXT, "what to do"),
))  # fmt: skip
SLING: Record[TiedSling] = Record("sling", "a sling between two trees", (
    Column("trees", lambda t: t.trees, TEXTS, "the two trees, which share the pull"),
    Column("to_do", lambda t: t.in_words, TEXT, "what to do"),
))  # fmt: skip


def _of(option: Callable[[Any], Option]) -> tuple[Column[Any], ...]:
    """What is bought besides, of either kind of anchor."""
    return (
        Column("items", lambda d: option(d).bought, Many(ITEM), "what to buy"),
        Column("lent", lambda d: option(d).lent, Many(ITEM), "what to borrow, which goes back"),
        Column("cost", lambda d: option(d).cost, MONEY, "what it costs"),
        Column("placeholder", lambda d: option(d).placeholder, FLAG,
               "whether some of the prices are nobody's"),
        Column("proven", lambda d: option(d).proven, FLAG, "whether nothing cheaper does with such a one"),
        RESETS.of(lambda d: option(d).resets),
        MARGIN.of(lambda d: option(d).margin),
        Column("setup", lambda d: option(d).setup, SETUP, "the setup"),
    )  # fmt: skip


DRIVEN: Record[Driven] = Record("with_pickets", "a purchase for which somebody drives pickets besides", (
    Column("pickets", lambda d: d.pickets, PICKETS, "the pickets, which are not in the price"),
    *_of(lambda d: d.option),
))  # fmt: skip
TIED: Record[Tied] = Record("with_sling", "a purchase for which two trees share the pull of a sling", (
    Column("sling", lambda d: d.sling, SLING, "the sling"),
    *_of(lambda d: d.option),
))  # fmt: skip


def blocks(purchases: Purchases, system: str) -> Iterator[Block]:
    """What to make and what to buy then; nothing where that was not found to be less."""
    instead, currency = bool(purchases.options), purchases.currency
    if purchases.tied is not None:
        title = "Or tie a sling between two trees" if instead else "With a sling between two trees"
        tied = purchases.tied
        yield title, _words(tied.sling, tied.option, currency, system, _TIED)
    if purchases.driven is not None:
        title = "Or drive pickets" if instead else "With pickets driven"
        driven = purchases.driven
        yield title, _words(driven.pickets, driven.option, currency, system, _DRIVEN)


_DRIVEN = (
    "The pickets are not in the price. What readings leave open is not worked out for them: write them "
    "into the site file, and `rank` and `buy` count on them as on any other anchor."
)
_TIED = (
    "Only where both trees can be reached. What readings leave open is not worked out for it: write the pair "
    "into the site file, and `rank` and `buy` count on it as on any other anchor."
)


def _words(made: Proposed, option: Option, currency: str, system: str, rest: str) -> str:
    to_do = f"{made.in_words[:1].upper()}{made.in_words[1:]}."
    if option.items:
        less = "" if option.proven else " Something cheaper may exist."
        bought = f"Then it takes: {bought_for(option, currency, system)}{less}"
    else:
        bought = "Then nothing has to be bought."
    margin = show(option.margin, RATIO, rounding=MARGIN.rounding)
    hauled = f"Margin {margin}, {counted(option.resets, 'reset')}, in one stage."
    run = run_of_ropes(option.setup, system)
    faces = "".join(one.faces for one in option.setup.made if one.anchor == made.name)
    lines = [to_do, bought, hauled, f"{run[:1].upper()}{run[1:]}.{faces}", rest]
    return " ".join(lines)
