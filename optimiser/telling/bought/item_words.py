"""Names what is bought as a shop does, with the ids that site files take."""

from collections.abc import Sequence

from optimiser.jobs.buy.results import Item
from optimiser.rig.setup import names
from optimiser.telling.fields.common import COUNT, FLAG, LENGTH, MONEY, TEXT
from shared.columns import Column, Record

ITEM: Record[Item] = Record("bought", "some equal pieces to buy", (
    Column("id", lambda i: i.gear, TEXT, "id of the catalogue, as site files take it"),
    Column("item", lambda i: i.id, TEXT, "id in the price list"),
    Column("name", lambda i: i.name, TEXT, "what it is"),
    Column("count", lambda i: i.count, COUNT, "how many"),
    Column("length", lambda i: i.length, LENGTH, "of each, where it is cut to length", none=True),
    Column("price", lambda i: i.price, MONEY, "price of one"),
    Column("placeholder", lambda i: i.placeholder, FLAG, "whether the price is nobody's"),
))  # fmt: skip


def item_in_words(item: Item) -> str:
    """Some equal pieces: `2 × snatch block, 100 mm sheave (snatch-100-plain)`, in metric units."""
    length = "" if item.length is None else f", {item.length:g} m"
    return f"{item.count} × {item.name}{length} ({item.gear})"


def in_words(items: Sequence[Item]) -> str:
    """A whole purchase, in metric units; "nothing" for none."""
    return "; ".join(item_in_words(item) for item in items) or "nothing"


def in_short(items: Sequence[Item]) -> str:
    """A whole purchase by ids, for a cell of a table; "nothing" for none."""
    return names([_short(item) for item in items]) or "nothing"


def _short(item: Item) -> str:
    length = "" if item.length is None else f" {item.length:g} m"
    return f"{item.count} × {item.gear}{length}"


def money(amount: float, currency: str) -> str:
    """An amount with its label: "86.50 EUR"."""
    text = f"{amount:,.2f}".removesuffix(".00")
    return f"{text} {currency}".strip()
