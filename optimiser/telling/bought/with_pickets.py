"""Prints what has to be bought where somebody drives pickets for an anchor besides."""

from optimiser.jobs.buy.results import Driven
from optimiser.jobs.proposed import Pickets
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
DRIVEN: Record[Driven] = Record("with_pickets", "a purchase for which somebody drives pickets besides", (
    Column("pickets", lambda d: d.pickets, PICKETS, "the pickets, which are not in the price"),
    Column("items", lambda d: d.option.bought, Many(ITEM), "what to buy"),
    Column("lent", lambda d: d.option.lent, Many(ITEM), "what to borrow, which goes back"),
    Column("cost", lambda d: d.option.cost, MONEY, "what it costs"),
    Column("placeholder", lambda d: d.option.placeholder, FLAG, "whether some of the prices are nobody's"),
    Column("proven", lambda d: d.option.proven, FLAG, "whether nothing cheaper does with such pickets"),
    RESETS.of(lambda d: d.option.resets),
    MARGIN.of(lambda d: d.option.margin),
    Column("setup", lambda d: d.option.setup, SETUP, "the setup"),
))  # fmt: skip


def block(driven: Driven, currency: str, system: str, *, instead: bool) -> Block:
    """What to drive and what to buy then; `instead`: of a purchase that does without pickets."""
    option, pickets = driven.option, driven.pickets
    to_do = f"{pickets.in_words[:1].upper()}{pickets.in_words[1:]}."
    if option.items:
        less = "" if option.proven else " Something cheaper may exist."
        bought = f"Then it takes: {bought_for(option, currency, system)}{less}"
    else:
        bought = "Then nothing has to be bought."
    margin = show(option.margin, RATIO, rounding=MARGIN.rounding)
    hauled = f"Margin {margin}, {counted(option.resets, 'reset')}, in one stage."
    run = run_of_ropes(option.setup, system)
    faces = "".join(one.faces for one in option.setup.made if one.anchor == pickets.name)
    rest = (
        "The pickets are not in the price. What readings leave open is not worked out for them: write them "
        "into the site file, and `rank` and `buy` count on them as on any other anchor."
    )
    lines = [to_do, bought, hauled, f"{run[:1].upper()}{run[1:]}.{faces}", rest]
    return ("Or drive pickets" if instead else "With pickets driven"), " ".join(lines)
