"""Says what of a purchase to buy in which shop, and what is lent by whom and goes back."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from optimiser.jobs.buy.results import AtShop, Purchase
from optimiser.telling.bought.item_words import ITEM, in_words, money, with_prices
from optimiser.telling.fields.common import COUNT, FLAG, MONEY, TEXT
from shared.columns import Column, Many, Record, Where
from shared.listing import Listing
from shared.report import Block


@dataclass(frozen=True, slots=True)
class Stop:
    """One place where something of an option is got. `number`: of the option."""

    number: int
    part: AtShop
    currency: str

    @property
    def place(self) -> str:
        """In words."""
        if self.part.lent:
            return f"lent by {self.part.shop}, goes back" if self.part.shop else "lent, goes back"
        return self.part.shop or "any shop"


STOP: Record[Stop] = Record("shops", "what of a purchase comes from one shop, or is lent by one lender", (
    Column("number", lambda s: s.number, COUNT, "number of the option", "no.", where=Where.LISTED),
    Column("shop", lambda s: s.part.shop, TEXT, "who sells or lends it; empty: nobody is named"),
    Column("place", lambda s: s.place, TEXT, "where it is got", "where", where=Where.LISTED),
    Column("lent", lambda s: s.part.lent, FLAG, "whether it is lent and goes back"),
    Column("items", lambda s: s.part.items, Many(ITEM), "what is got there"),
    Column("items", lambda s: in_words(s.part.items, "metric"), TEXT, "what is got there", "what",
           say=lambda s, system: in_words(s.part.items, system), where=Where.LISTED),
    Column("pieces", lambda s: sum(i.count for i in s.part.items), COUNT, "pieces got there", "pieces"),
    Column("cost", lambda s: s.part.cost, MONEY, "what that costs", "sum",
           say=lambda s, _: money(s.part.cost, s.currency, placeholder=s.part.placeholder)),
    Column("placeholder", lambda s: s.part.placeholder, FLAG, "whether some of the prices are nobody's"),
))  # fmt: skip


def stops(number: int, purchase: Purchase, currency: str) -> Iterator[Stop]:
    """Where a purchase is got, shops first."""
    return (Stop(number, part, currency) for part in purchase.by_shop)


def shop_by_shop(purchases: Iterable[Purchase], currency: str, system: str) -> list[Block]:
    """A table of what is got where, option by option; none where no shop is named and nothing is lent."""
    numbered = list(enumerate(purchases, start=1))
    if not any(item.shop or item.lent for _, purchase in numbered for item in purchase.items):
        return []
    rows = [stop for number, purchase in numbered for stop in stops(number, purchase, currency)]
    return [("Where to get it", Listing.of(STOP, rows, system))]


def got_from(purchase: Purchase, currency: str, system: str = "metric") -> str:
    """A purchase as shops name it, shop by shop with its sum, what is lent last; "" for nothing."""
    parts = purchase.by_shop
    plain = len(parts) == 1 and not (parts[0].shop or parts[0].lent)
    if plain:
        return f"To buy: {in_words(parts[0].items, system)}."
    return " ".join(_got(part, currency, system) for part in parts)


def bought_for(purchase: Purchase, currency: str, system: str) -> str:
    """A purchase as shops name it, with what it costs."""
    if not purchase.items:
        return "Nothing."
    total = money(purchase.cost, currency, placeholder=purchase.placeholder)
    parts = purchase.by_shop
    if len(parts) == 1 and not (parts[0].shop or parts[0].lent):
        return f"{in_words(parts[0].items, system)}, for {total}."
    return f"{got_from(purchase, currency, system)} In all {total}."


def _got(part: AtShop, currency: str, system: str) -> str:
    total = money(part.cost, currency, placeholder=part.placeholder)
    single = part.items[0].count == len(part.items) == 1 and part.items[0].written is None
    what = in_words(part.items, system) if single else with_prices(part.items, currency, system)
    if not part.lent:
        return f"To buy{f' at {part.shop}' if part.shop else ''}, {total}: {what}."
    by = f" by {part.shop}" if part.shop else ""
    fee = f"for a fee of {total}" if part.cost else "for nothing"
    return f"Lent{by} {fee}, to go back afterwards: {what}."


def noted(purchase: Purchase, currency: str) -> str:
    """What a site file with the purchase says below of where it is got, as comments; "" where no shop is
    named and nothing is lent."""
    if not any(item.shop or item.lent for item in purchase.items):
        return ""
    lines = (_got(part, currency, "metric") for part in purchase.by_shop)
    return "".join(f"\n# {line}" for line in ("Gear of the purchase above:", *lines)) + "\n"
