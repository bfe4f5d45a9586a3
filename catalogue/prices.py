"""What can be bought and for how much: placeholders that ship with the program, and a user's list.

A price is a plain number; the `currency` beside it is a label (`catalogue.currency` compares them). A
user's list is CSV with a heading row, or TOML with one `[[item]]` table for each item. Each row names a
piece of the catalogue (`gear`) or describes one in full (`kind`, `id`, `name` and the fields of that kind),
with `price` and, if wanted, `stock`, `for_sale`, `shop` and `condition` (new if left out). Rope has a
`length`; chain may have one. What is `lent` has its fee as price, nothing if left out, and its condition.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from functools import cache
from math import isfinite
from os import PathLike
from pathlib import Path
from types import MappingProxyType
from typing import Any

from catalogue.amounts import amount
from catalogue.book import LAID, NO_GEAR, load_catalogue
from catalogue.edges import surfaces
from catalogue.entries import BadEntryError, build
from catalogue.files import table
from catalogue.gear import AnyGear, Block, Chain, Condition, Hook, Protector, Rope, Shackle, Strap
from catalogue.price_list import rows
from catalogue.spoken import ids_meant
from shared.errors import Fault, InputError
from shared.words import did_you_mean, listed

KINDS: Mapping[str, type[AnyGear]] = {
    "rope": Rope,
    "block": Block,
    "shackle": Shackle,
    "strap": Strap,
    "chain": Chain,
    "hook": Hook,
    "protector": Protector,
}
_SELLING_TEXTS = ("shop", "currency", "condition")
_PRICE_FIELDS = ("price", "stock", "for_sale", "lent", *_SELLING_TEXTS)
COLUMNS = frozenset(
    {field.name for kind in KINDS.values() for field in fields(kind)} - {"value_sources"}
    | {"gear", "kind", "length", *_PRICE_FIELDS}
)
"""Headings a price list in CSV may have."""

OWN_SOURCE = "site"
"""Key of the source of whatever a user states."""

_MOST = {"eta": 1.0, "choker_factor": 1.0, "basket_factor": 2.0, "stretch_at_break": 1.0}


NEW = Condition(id="new", name="new", source="site", keeps=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedItem:
    """One piece as it is sold, or lent. `stock`: how many there are, None for as many as wanted.

    `length` is for ropes and chains, m. A `placeholder` price is nobody's. `shop`: who sells or lends it, ""
    where nobody is named. What is `lent` has its fee as price, and goes back. `label`: what it is called in
    any shop (the id if left out). `currency`: of the price, "" where none is stated; `written`: the price
    and its currency as stated, where `price` is in another one. `place`: where it is stated, for messages.
    """

    id: str
    gear: AnyGear
    price: float
    stock: int | None = None
    for_sale: bool = True
    length: float | None = None
    placeholder: bool = False
    shop: str = ""
    lent: bool = False
    condition: Condition = NEW
    label: str = ""
    currency: str = ""
    written: tuple[float, str] | None = None
    place: str = ""

    @property
    def called(self) -> str:
        """What it is called in any shop."""
        return self.label or self.id


@cache
def load_prices() -> Mapping[str, PricedItem]:
    """The items with placeholder prices that ship with the program, by item id.

    Raises:
        ValueError: the data file is not in order.
    """
    items: dict[str, PricedItem] = {}
    for number, cells in enumerate(table("prices")["items"]):
        try:
            item = replace(_item(cells, {}), placeholder=True)
        except BadEntryError as bad:
            raise ValueError(f"prices: items[{number}]: {bad}") from bad
        if item.id in items:
            raise ValueError(f"prices: {item.id!r} is there twice")
        items[item.id] = item
    return MappingProxyType(items)


def merge_prices(
    base: Mapping[str, PricedItem], *paths: str | PathLike[str]
) -> Mapping[str, PricedItem]:
    """`base` with the items of the user's lists at `paths`, which come after. What a list sells, or says is
    not for sale, is no longer in the base. Of several lists each that names no shop is a shop by the name of
    its file.

    Raises:
        InputError: with every row of a list that cannot be used, its line and the closest valid word.
    """
    mine: dict[str, PricedItem] = {}
    for path in paths:
        usual = Path(path).stem if len(paths) > 1 else ""
        mine |= _listed(Path(path), base, usual, mine)
    sold = {item.called for item in mine.values() if not item.lent}
    kept = {id: item for id, item in base.items() if item.called not in sold}
    return MappingProxyType(kept | mine)


def _listed(
    path: Path, base: Mapping[str, PricedItem], usual: str, before: Mapping[str, PricedItem]
) -> dict[str, PricedItem]:
    """The items of one list; `usual`: the shop of those that name none; `before`: those of other lists."""
    source = str(path)
    found: dict[str, PricedItem] = {}
    faults: list[Fault] = []
    for row in rows(path, columns=COLUMNS, text_columns=_texts):
        try:
            item = _item({"shop": usual, **row.cells}, base)
        except BadEntryError as bad:
            for field, message in bad.faults:
                place = f"{row.place}.{field}" if field else row.place
                faults.append(Fault(place, message, row.line))
            continue
        there = found.get(item.id) or before.get(item.id)
        if there is not None:
            at = there.place.removeprefix(f"{source}:")
            at = f"line {at}" if at.isdigit() else at
            faults.append(Fault(row.place, f"{item.id!r} stands at {at} too", row.line))
        at = f"{source}: {row.place}" if row.line is None else f"{source}:{row.line}"
        found[item.id] = replace(item, place=at)
    if faults:
        raise InputError(source, faults)
    if not found:
        raise InputError(source, [Fault("", "no items in this price list")])
    return found


def _texts(kind: str) -> frozenset[str]:
    """Columns that have texts, whatever they look like, in a row of that kind ("" for none)."""
    own = fields(KINDS[kind]) if kind in KINDS else ()
    named = ("gear", "kind", "id", *_SELLING_TEXTS)
    return frozenset({*named, *(field.name for field in own if field.type is str)})


def _item(cells: Mapping[str, Any], base: Mapping[str, PricedItem]) -> PricedItem:
    """The item of one row; BadEntryError with all that is wrong with it."""
    if "kind" in cells:
        gear, length = _described(cells)
    elif "gear" in cells:
        gear, length = _named(cells)
    elif str(cells.get("id")) in base:
        gear, length = base[str(cells["id"])].gear, base[str(cells["id"])].length
        _only(cells, "id")
    elif "id" in cells:
        near = did_you_mean(str(cells["id"]), base)
        raise BadEntryError([("id", f"no item {cells['id']!r} in the price list{near}")])
    else:
        raise BadEntryError([("gear", "is missing: name an id of the catalogue, or give a kind")])
    for_sale, lent = _flag(cells, "for_sale", True), _flag(cells, "lent", False)
    price = cells.get("price", 0 if lent or not for_sale else None)
    if isinstance(price, bool) or not isinstance(price, int | float) or not 0 <= price < 1e9:
        text = "is missing" if price is None else f"{price!r} is not a price"
        raise BadEntryError([("price", f"{text}: write a plain number such as 24.50")])
    stock = cells.get("stock")
    if stock is not None and (type(stock) is not int or stock < 0):
        raise BadEntryError([("stock", f"{stock!r} is not a whole number of pieces")])
    sold_by_length = isinstance(gear, Rope) or (isinstance(gear, Chain) and length is not None)
    label = f"{gear.id} x {length:g} m" if sold_by_length else gear.id
    shop = _text(cells, "shop", _LONGEST_SHOP)
    by = f" {'by' if lent else 'at'} {shop}" if shop else ""
    return PricedItem(
        id=f"{label}{' lent' if lent else ''}{by}",
        gear=gear,
        price=float(price),
        stock=stock,
        for_sale=for_sale,
        length=length,
        shop=shop,
        lent=lent,
        condition=_condition(cells, lent=lent),
        label=label,
        currency=_text(cells, "currency", _LONGEST_CURRENCY),
    )


_LONGEST_SHOP, _LONGEST_CURRENCY = 40, 12
"""Characters, so that tables hold them."""


def _flag(cells: Mapping[str, Any], name: str, usual: bool) -> bool:
    value = cells.get(name, usual)
    if not isinstance(value, bool):
        raise BadEntryError([(name, f"{value!r} is not true or false")])
    return value


def _text(cells: Mapping[str, Any], name: str, longest: int) -> str:
    """A name somebody gives; "" where there is none."""
    text = cells.get(name, "")
    if not isinstance(text, str) or not text.isprintable() or len(text) > longest:
        raise BadEntryError(
            [(name, f"expected a text of at most {longest} characters in one line")]
        )
    return text.strip()


def _condition(cells: Mapping[str, Any], *, lent: bool) -> Condition:
    """How worn it is: new where it is bought and nothing is said."""
    if "condition" not in cells:
        if lent:
            states = ", ".join(load_catalogue().conditions)
            raise BadEntryError(
                [("condition", f"is missing: how worn is what is lent? there are {states}")]
            )
        return NEW
    known, wanted = load_catalogue().conditions, cells["condition"]
    if wanted == NEW.id:
        return NEW
    if wanted not in known:
        near = did_you_mean(str(wanted), known) or f"; there are {', '.join(known)}"
        raise BadEntryError([("condition", f"no condition {wanted!r} in the catalogue{near}")])
    return known[wanted]


def _named(cells: Mapping[str, Any]) -> tuple[AnyGear, float | None]:
    """A piece of the catalogue, and its length where it is sold by length."""
    known = load_catalogue().gear
    wanted = str(cells["gear"])
    if wanted == LAID:
        raise BadEntryError([("gear", NO_GEAR)])
    if wanted not in known:
        several = ids_meant(wanted, load_catalogue())
        near = f"; there are {', '.join(several)}" if several else did_you_mean(wanted, known)
        raise BadEntryError([("gear", f"no gear {wanted!r} in the catalogue{near}")])
    _only(cells, "gear", "length")
    gear = known[wanted]
    length = _length(cells, needed=isinstance(gear, Rope))
    if isinstance(gear, Chain) and length is not None:
        gear = replace(gear, length=length)
    elif length is not None and not isinstance(gear, Rope):
        raise BadEntryError([("length", f"{wanted!r} is not sold by length: only rope and chain")])
    return gear, length


def _described(cells: Mapping[str, Any]) -> tuple[AnyGear, float | None]:
    """A piece described in full."""
    kind = KINDS.get(str(cells["kind"]))
    if kind is None:
        raise BadEntryError([("kind", f"{cells['kind']!r} is not one of {listed(KINDS)}")])
    own = {key: raw for key, raw in cells.items() if key not in (*_PRICE_FIELDS, "kind")}
    length = _length(own, needed=True) if kind is Rope else None
    if kind is Rope:
        del own["length"]
    gear: AnyGear = build(kind, {"source": OWN_SOURCE, **own})
    if gear.id in load_catalogue().gear:
        raise BadEntryError([("id", f"{gear.id!r} is an id of the catalogue: choose another")])
    faults = [*_senseless(gear), *_not_run_over(gear)]
    if faults:
        raise BadEntryError(faults)
    return gear, length


def _senseless(gear: AnyGear) -> Iterator[tuple[str, str]]:
    """Numbers that no piece of gear can have."""
    for field in fields(gear):
        value = getattr(gear, field.name)
        if isinstance(value, bool) or not isinstance(value, int | float):
            continue
        if not isfinite(value) or value <= 0:
            yield field.name, f"{value:g} must be above 0"
        elif value > _MOST.get(field.name, value):
            yield field.name, f"{value:g} must be at most {_MOST[field.name]:g}"


def _not_run_over(gear: AnyGear) -> Iterator[tuple[str, str]]:
    """What an edge protector cannot be made of."""
    if isinstance(gear, Protector) and gear.surface not in surfaces():
        yield "surface", f"{gear.surface!r} is not one of {listed(surfaces())}"


def _length(cells: Mapping[str, Any], *, needed: bool) -> float | None:
    raw = cells.get("length")
    if raw is None:
        if needed:
            raise BadEntryError([("length", 'is missing: rope is sold by lengths such as "30 m"')])
        return None
    try:
        length = amount(str(raw), "length")
    except ValueError as bad:
        raise BadEntryError([("length", str(bad))]) from bad
    if length <= 0:
        raise BadEntryError([("length", f"{raw!r} must be above 0")])
    return length


def _only(cells: Mapping[str, Any], *names: str) -> None:
    """BadEntryError for every cell that is none of the names nor a price field."""
    known = (*names, *_PRICE_FIELDS)
    faults = [
        (key, f"no such field here{did_you_mean(key, known)}") for key in cells if key not in known
    ]
    if faults:
        raise BadEntryError(faults)
