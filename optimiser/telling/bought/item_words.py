"""Names what is bought or borrowed as a shop does, with the ids that site files take, and says what it
costs."""

from collections.abc import Sequence

from catalogue.book import load_catalogue
from catalogue.inches import called
from optimiser.jobs.buy.results import Item, Purchase
from optimiser.rig.setup import names
from optimiser.telling.fields.common import COUNT, FLAG, LENGTH, MONEY, TEXT
from shared.columns import Column, Record

ITEM: Record[Item] = Record("bought", "some equal pieces to buy, or to borrow", (
    Column("id", lambda i: i.gear, TEXT, "id of the catalogue, as site files take it"),
    Column("item", lambda i: i.id, TEXT, "id in the price list"),
    Column("name", lambda i: i.name, TEXT, "what it is"),
    Column("count", lambda i: i.count, COUNT, "how many"),
    Column("length", lambda i: i.length, LENGTH, "of each, where it is cut to length", none=True),
    Column("price", lambda i: i.price, MONEY, "price of one, or the fee for one that is lent"),
    Column("price_stated", lambda i: i.written and i.written[0], MONEY,
           "the same as the list states it, where that is in another currency", none=True),
    Column("currency_stated", lambda i: i.written and i.written[1], TEXT, "that currency", none=True),
    Column("placeholder", lambda i: i.placeholder, FLAG, "whether the price is nobody's"),
    Column("shop", lambda i: i.shop, TEXT, "who sells or lends it; empty: nobody is named"),
))  # fmt: skip


def item_in_words(item: Item, system: str) -> str:
    """Some equal pieces: `2 × snatch block, 100 mm sheave (snatch-100-plain)`, lengths in m. Who reads inches
    gets the size that a shop calls it by."""
    length = "" if item.length is None else f", {item.length:g} m"
    known = load_catalogue().gear.get(item.gear)
    name = item.name if known is None else called(known, system)
    return f"{item.count} × {name}{length} ({item.gear})"


def in_words(items: Sequence[Item], system: str) -> str:
    """Some items, lengths in m; "nothing" for none."""
    return "; ".join(item_in_words(item, system) for item in items) or "nothing"


def with_prices(items: Sequence[Item], currency: str, system: str) -> str:
    """Some items with what one of each costs, as stated."""
    return "; ".join(f"{item_in_words(item, system)}{_each(item, currency)}" for item in items)


def _each(item: Item, currency: str) -> str:
    if item.lent and not item.price:
        return ""
    each = " each" if item.count > 1 else ""
    if item.written is not None:
        return f", {money(*item.written)} ({money(item.price, currency)}){each}"
    return f", {money(item.price, currency, placeholder=item.placeholder)}{each}"


def in_short(items: Sequence[Item]) -> str:
    """Some items by ids, for a cell of a table; "nothing" for none."""
    return names([_short(item) for item in items]) or "nothing"


def purchase_in_short(purchase: Purchase) -> str:
    """A whole purchase by ids and shops, for a cell of a table, with what is lent marked as that."""
    parts = []
    for some in purchase.by_shop:
        whose = (
            f" lent{f' by {some.shop}' if some.shop else ''}, to go back"
            if some.lent
            else f" at {some.shop}"
            if some.shop
            else ""
        )
        parts.append(f"{in_short(some.items)}{whose}")
    return "; ".join(parts) or "nothing"


def _short(item: Item) -> str:
    length = "" if item.length is None else f" {item.length:g} m"
    return f"{item.count} × {item.gear}{length}"


def money(amount: float, currency: str, *, placeholder: bool = False) -> str:
    """An amount with its label: "86.50 EUR"; "135 (placeholder)" where some of it is nobody's price."""
    text = f"{amount:,.2f}".removesuffix(".00")
    nobodys = "(placeholder)" if placeholder and amount else ""
    return " ".join(part for part in (text, currency, nobodys) if part)
