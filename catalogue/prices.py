"""What can be bought and for how much: placeholders that ship with the program, and a user's list.

A currency is only a label; a price is a plain number. A user's list is CSV with a heading row, or
TOML with one `[[item]]` table for each item. Each row names a piece of the catalogue (`gear`) or
describes one in full (`kind`, `id`, `name` and the fields of that kind), with `price` and, if
wanted, `stock` and `for_sale`. Rope has a `length`; chain may have one.
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
from catalogue.gear import AnyGear, Block, Chain, Hook, Protector, Rope, Shackle, Strap
from catalogue.price_list import rows
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
_PRICE_FIELDS = ("price", "stock", "for_sale")
COLUMNS = frozenset(
    {field.name for kind in KINDS.values() for field in fields(kind)} - {"value_sources"}
    | {"gear", "kind", "length", *_PRICE_FIELDS}
)
"""Headings a price list in CSV may have."""

OWN_SOURCE = "site"
"""Key of the source of whatever a user states."""

_MOST = {"eta": 1.0, "choker_factor": 1.0, "basket_factor": 2.0, "stretch_at_break": 1.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedItem:
    """One piece as it is sold. `stock`: how many there are, None for as many as wanted.

    `length` is for ropes and chains, m. A `placeholder` price is nobody's.
    """

    id: str
    gear: AnyGear
    price: float
    stock: int | None = None
    for_sale: bool = True
    length: float | None = None
    placeholder: bool = False


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
    base: Mapping[str, PricedItem], path: str | PathLike[str]
) -> Mapping[str, PricedItem]:
    """`base` with the items of the user's list at `path`; the user's win, new ones come after.

    Raises:
        InputError: with every row that cannot be used, its line and the closest valid word.
    """
    source = str(path)
    merged = dict(base)
    seen: dict[str, str] = {}
    faults: list[Fault] = []
    for row in rows(Path(path), columns=COLUMNS, text_columns=_texts):
        try:
            item = _item(row.cells, base)
        except BadEntryError as bad:
            for field, message in bad.faults:
                place = f"{row.place}.{field}" if field else row.place
                faults.append(Fault(place, message, row.line))
            continue
        if item.id in seen:
            faults.append(Fault(row.place, f"{item.id!r} stands at {seen[item.id]} too", row.line))
        seen[item.id] = row.place if row.line is None else f"line {row.line}"
        merged[item.id] = item
    if faults:
        raise InputError(source, faults)
    if not seen:
        raise InputError(source, [Fault("", "no items in this price list")])
    return MappingProxyType(merged)


def _texts(kind: str) -> frozenset[str]:
    """Columns that have texts, whatever they look like, in a row of that kind ("" for none)."""
    own = fields(KINDS[kind]) if kind in KINDS else ()
    return frozenset({"gear", "kind", "id", *(field.name for field in own if field.type is str)})


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
    for_sale = cells.get("for_sale", True)
    if not isinstance(for_sale, bool):
        raise BadEntryError([("for_sale", f"{for_sale!r} is not true or false")])
    price = cells.get("price", None if for_sale else 0)
    if isinstance(price, bool) or not isinstance(price, int | float) or not 0 <= price < 1e9:
        text = "is missing" if price is None else f"{price!r} is not a price"
        raise BadEntryError([("price", f"{text}: write a plain number such as 24.50")])
    stock = cells.get("stock")
    if stock is not None and (type(stock) is not int or stock < 0):
        raise BadEntryError([("stock", f"{stock!r} is not a whole number of pieces")])
    sold_by_length = isinstance(gear, Rope) or (isinstance(gear, Chain) and length is not None)
    return PricedItem(
        id=f"{gear.id} x {length:g} m" if sold_by_length else gear.id,
        gear=gear,
        price=float(price),
        stock=stock,
        for_sale=for_sale,
        length=length,
    )


def _named(cells: Mapping[str, Any]) -> tuple[AnyGear, float | None]:
    """A piece of the catalogue, and its length where it is sold by length."""
    known = load_catalogue().gear
    wanted = str(cells["gear"])
    if wanted == LAID:
        raise BadEntryError([("gear", NO_GEAR)])
    if wanted not in known:
        near = did_you_mean(wanted, known)
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
