"""Puts the prices of a request into one currency. A currency is only a label; no rate is known but those that
are stated."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from catalogue.prices import PricedItem
from shared.errors import Fault, InputError

_RATE = re.compile(
    r"1\s*(?P<of>[^\d\s=][^=]*?)\s*=\s*(?P<worth>\d+(?:\.\d+)?)\s*(?P<into>[^\d\s=][^=]*)"
)


@dataclass(frozen=True, slots=True)
class Rate:
    """One of a currency is worth so much of another."""

    of: str
    worth: float
    into: str

    def factor(self, of: str, into: str) -> float | None:
        """What a price is multiplied with to go from one currency to another; None: it is no rate of them."""
        pair = _key(of), _key(into)
        if pair == (_key(self.of), _key(self.into)):
            return self.worth
        return 1.0 / self.worth if pair == (_key(self.into), _key(self.of)) else None


def read_rate(text: str) -> Rate:
    """A rate as it is written: "1 USD = 0.9 EUR". Raises ValueError."""
    found = _RATE.fullmatch(text.strip())
    if found is None or float(found["worth"]) <= 0.0:
        raise ValueError(f"expected a rate such as '1 USD = 0.9 EUR', got '{text[:40]}'")
    return Rate(found["of"], float(found["worth"]), found["into"].strip())


def in_one_currency(
    items: Iterable[PricedItem], label: str, rates: Sequence[Rate] = ()
) -> tuple[tuple[PricedItem, ...], str]:
    """The items with all prices in one currency, and that currency, "" where none is stated. `label`: the
    site's, which all prices come to; where it has none, what the rates lead to, else the only one stated.

    Prices without a currency count in the site's; placeholders, which are nobody's, in whichever it is.

    Raises:
        InputError: for a price in another currency without a rate, or without one among prices in several.
    """
    every = tuple(items)
    stated = {_key(item.currency): item for item in reversed(every) if item.currency}
    into = label or (rates[0].into if rates else "")
    into = into or next((item.currency for item in every if item.currency), "")
    foreign = [item for key, item in stated.items() if key != _key(into)]
    if foreign:
        _all_have_rates(stated, label, into, rates)
    if foreign and not label:
        bare = next((i for i in every if not (i.currency or i.placeholder)), None)
        if bare is not None:
            at = _where(next(iter(stated.values())))
            text = f"this price has no currency, and that of {at} has: say in which it is"
            raise InputError(bare.place or bare.id, [Fault("", text)])
    return tuple(_converted(item, into, rates) for item in every), into


def _all_have_rates(
    stated: dict[str, PricedItem], label: str, into: str, rates: Sequence[Rate]
) -> None:
    for item in stated.values():
        if _factor(item.currency, into, rates) is None:
            other = stated.get(_key(into))
            at = "in the site file" if other is None or label else f"at {_where(other)}"
            text = (
                f"prices are in {item.currency} here and in {into} {at}: one request has one currency. "
                f"State a rate for it: --rate '1 {item.currency} = ... {into}'"
            )
            raise InputError(_where(item), [Fault("", text)])


def _converted(item: PricedItem, into: str, rates: Sequence[Rate]) -> PricedItem:
    if not item.currency or _key(item.currency) == _key(into):
        return item
    factor = _factor(item.currency, into, rates)
    assert factor is not None
    price, written = round(item.price * factor, 2), (item.price, item.currency)
    return replace(item, price=price, currency=into, written=written)


def _factor(of: str, into: str, rates: Sequence[Rate]) -> float | None:
    if _key(of) == _key(into):
        return 1.0
    return next((f for rate in rates if (f := rate.factor(of, into)) is not None), None)


def _where(item: PricedItem) -> str:
    return item.place or item.id


def _key(currency: str) -> str:
    return currency.strip().casefold()
