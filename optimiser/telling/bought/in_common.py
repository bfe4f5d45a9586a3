"""Describes what an answer about a purchase has in common, be it for one job or for several: fields and
sentences. An offer has its `number`, its `option` (an `optimiser.jobs.buy.results.Purchase`), and the answer
that it is `among`."""

from collections.abc import Sequence
from typing import Any

from optimiser.jobs.buy.results import Purchase
from optimiser.rig.setup import names
from optimiser.search.buying.tackled import Tackles
from optimiser.telling.bought.item_words import ITEM, money, purchase_in_short
from optimiser.telling.bought.where_from import STOP, got_from, stops
from optimiser.telling.fields.common import COUNT, FLAG, MONEY, TEXT, TEXTS
from optimiser.telling.fields.several import RULES
from shared.columns import Column, Many, Where
from shared.words import counted

TACKLES = {
    Tackles.COUNTED: "Tackle on tackle is counted.",
    Tackles.PARTLY: "Tackle on tackle was looked at in part only: with it less may do; "
    "`--compound` looks at all of it, however long it takes.",
    Tackles.MANY: "Tackle on tackle with anything new is NOT counted, there is much of it: `--compound` "
    "counts it, however long it takes.",
    Tackles.OFF: "Tackle on tackle is NOT counted.",
    Tackles.NONE: "There is no tackle on tackle: it takes two ropes, and a knot or hitch you tie that holds "
    "on one of them.",
}
FURTHER_LEFT = " Further steps of money were not all looked at: they would take longer."

# ---- fields of an offer -----------------------------------------------------------------------------

BOUGHT: tuple[Column[Any], ...] = (
    Column("number", lambda r: r.number, COUNT, "its number", "no.", where=Where.LISTED),
    Column("goals", lambda r: r.option.goals, TEXTS, "what it is the least for"),
    Column("goal", lambda r: names(r.option.goals), TEXT, "what it is the least for", "what for",
           where=Where.LISTED),
    Column("items", lambda r: r.option.bought, Many(ITEM), "what to buy"),
    Column("lent", lambda r: r.option.lent, Many(ITEM), "what to borrow, which goes back"),
    Column("shops", lambda r: stops(r.number, r.option, r.among.currency), Many(STOP), "what is got where"),
    Column("items", lambda r: purchase_in_short(r.option), TEXT, "what to get", "buy", where=Where.LISTED),
)  # fmt: skip
PAID: tuple[Column[Any], ...] = (
    Column("pieces", lambda r: r.option.pieces, COUNT, "pieces to buy and to borrow", "pieces", yields=6),
    Column("cost", lambda r: r.option.cost, MONEY, "what it costs", "cost",
           say=lambda r, _: money(r.option.cost, r.among.currency, placeholder=r.option.placeholder)),
    Column("placeholder", lambda r: r.option.placeholder, FLAG, "whether some of the prices are nobody's",
           "placeholder prices", where=Where.DATA),
)  # fmt: skip
PROVEN_LEAST: Column[Any] = Column(
    "proven", lambda r: r.option.proven, FLAG, "whether nothing cheaper, or fewer, does"
)
TO_BUY: Column[Any] = Column(
    "to_buy",
    say=lambda r, system: got_from(r.option, r.among.currency, system) or None,
    heading="to buy",
    where=Where.NOTE,
)

# ---- fields of an answer ----------------------------------------------------------------------------

OFFERED: tuple[Column[Any], ...] = (
    Column("currency", lambda a: a.currency, TEXT, "label of the money"),
    Column("offered", lambda a: a.offered, COUNT, "items of the price list that were looked at"),
    Column("placeholder_prices", lambda a: a.placeholders, FLAG, "whether any price is nobody's"),
)
LOOKED_AT: tuple[Column[Any], ...] = (
    Column("further_steps_complete", lambda a: a.further, FLAG, "whether all further steps were looked at"),
    Column("tackle_on_tackle", lambda a: a.tackles, Tackles, "how far tackle on tackle was looked at"),
    Column("rules", lambda a: a.rules, TEXTS, RULES),
)  # fmt: skip

# ---- sentences --------------------------------------------------------------------------------------


def up_to(stages: int) -> str:
    """In how many stages something is hauled, as the end of a sentence."""
    return "in one stage" if stages == 1 else f"in up to {stages} stages"


def among(offered: int, rules: Sequence[str]) -> str:
    """What an answer is proven over: items of the price list, and rules of the search."""
    under = f"under the rules: {names(rules)}" if rules else "with every rule off"
    return f"among {counted(offered, 'item')} that no other on the list makes pointless, {under}"


def lent_note(purchases: Sequence[Purchase]) -> str:
    """What holds of what is lent; "" where nothing is."""
    if not any(purchase.lent for purchase in purchases):
        return ""
    return (
        "What is lent goes back when the job is done; look it over with its owner first. It is counted on in "
        "the condition that the list states."
    )


def rating_note(*, conditional: bool) -> str:
    """What is counted on; `conditional`: with some option on a condition that stands beside it."""
    if not conditional:
        return "Only pieces with a stated rating are counted on, owned or new."
    return (
        "What is bought has a stated rating. What is marked UNRATED is counted on only on the "
        "condition beside it: find that out before anybody hauls."
    )


def placeholder_note(placeholders: bool) -> str:
    """Whose prices these are; "" where they are somebody's."""
    if not placeholders:
        return ""
    return (
        "PLACEHOLDER PRICES: round figures that belong to nobody, for comparing only; each sum with any is "
        "marked (placeholder). Give your own list with --prices FILE, and --only-my-list."
    )
