"""Says what gear may be that somebody names as they own it, and writes the lines of a site file for it."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from catalogue.book import Catalogue
from catalogue.gear import Block, Chain, Rope, Strap
from catalogue.inches import inches_of, mixed, size_of
from catalogue.spoken import Candidates, Spoken
from optimiser.site.model import Owned
from optimiser.site.text.edited import Add, edited
from optimiser.site.text.with_pieces import tables
from shared.units import Dimension, Rounding, show
from shared.words import counted, either

_NOT_STATED = {
    "rope": "Which fibre it is was not said",
    "shackle": "Whether it is stamped with its rating was not said",
    "chain": "Which grade it is was not said",
    "block": "Which bearing it has, and whether it has an eye or a hook, was not said",
    "strap": "Which kind of strap it is, or how long, was not said",
}
_BESIDES = {
    "rope": (
        " It is the weakest in strength only: how a rope grips round a trunk, stretches and takes knots "
        "differs by fibre (knots slip in HMPE). Find out before anybody hauls by it or lets down."
    ),
    "shackle": " A setup that counts on it is UNRATED.",
    "chain": " Chain without a mark counts as grade 30.",
}
_HOW_BIG = {
    "rope": "thick",
    "chain": "thick",
    "strap": "wide",
    "shackle": "thick",
    "block": "large",
}
_EXAMPLE = {"rope": "30 m of 12 mm rope", "chain": "3/8 chain", "strap": "2 in strap 2 m",
            "shackle": "two 3/4 shackles", "block": "4 in snatch block"}  # fmt: skip


def too_little(candidates: Candidates) -> str:
    """What has to be said besides; "" where all that it may be is of one size, or a size was named."""
    kind, spoken = candidates.spoken.kind, candidates.spoken
    if candidates.one_size or not candidates.exact or spoken.rope is not None:
        return ""
    return f"how {_HOW_BIG[kind]} is the {kind}? Say it as in 'bankhaul gear {_EXAMPLE[kind]}'"


def sentences(candidates: Candidates) -> Iterator[str]:
    """What was understood, and all that is taken on trust."""
    spoken, kind = candidates.spoken, candidates.spoken.kind
    size = _size_stated(spoken)
    parts = [counted(spoken.count, kind), size, f"{spoken.length} long" if spoken.length else ""]
    words = " ".join(spoken.words)
    yield f"Read as: {', '.join(part for part in (*parts, words) if part)}."
    if not candidates.exact:
        ids = either(entry.id for entry in candidates.entries)
        yield (
            f"The catalogue has no {kind} of that size; the next smaller and larger are {ids}. There are no "
            "lines for a site file: another size would fit where yours does not. Measure it again, or "
            f'describe it in full (kind = "{kind}").'
        )
        return
    own = inches_of(candidates.counted)
    if own is not None and own.nominal and spoken.inches is not None:
        metric = (size_of(candidates.counted) or ("", 0.0))[1] * 1000
        yield (
            f"{own.worded} is what that size is called (nominal, {own.source}); what is counted with are the "
            f"catalogue's {metric:g} mm."
        )
    if kind == "rope" and not spoken.length:
        yield "How long it is was not said: put that into the lines below."
    for word in candidates.unknown:
        yield f"'{word}' is no word that the catalogue has of a {kind}: it is not counted on."
    if _described(candidates):
        yield (
            f"None of them is {spoken.length} long: the lines describe it with that length, and with what a "
            f"{candidates.counted.name.partition(',')[0]} of that width stands. Put in what its label says."
        )
    elif len(candidates.alike) > 1:
        yield (
            f"{_NOT_STATED[kind]}: it may be any of the {len(candidates.alike)} below, the weakest first. "
            + (
                f"The lines count it as that one until you know.{_BESIDES.get(kind, '')}"
                if _may_count(candidates)
                else "They differ in more than strength (sheaves, becket, size): say which, as in "
                "'4 in snatch block'."
            )
        )


def _size_stated(spoken: Spoken) -> str:
    if spoken.rope is not None:
        return f"for rope of {_size_stated(spoken.rope)}"
    if spoken.inches is not None:
        return f"{mixed(spoken.inches)} in"
    return "" if spoken.size is None else f"{spoken.size * 1000:g} mm"


def _may_count(candidates: Candidates) -> bool:
    """Whether the weakest stands for all that it may be."""
    blocks = {
        (e.sheaves, e.becket, e.sheave_diameter) for e in candidates.alike if isinstance(e, Block)
    }
    return candidates.exact and len(blocks) <= 1


def lines(candidates: Candidates, book: Catalogue) -> str:
    """Lines of a site file for the weakest that it may be; "" where that stands for nothing owned."""
    if not _may_count(candidates) or too_little(candidates):
        return ""
    each = [Add(key=("gear",), table=table) for table in _tables(candidates, book)]
    text = edited("", each).strip()
    others = [entry.id for entry in candidates.alike if entry.id != candidates.counted.id]
    if others and not _described(candidates):
        known = f'id = "{candidates.counted.id}"'
        text = text.replace(
            known, f"{known}  # or, where you know that it is: {', '.join(others[:6])}"
        )
    return text


def _described(candidates: Candidates) -> bool:
    """Whether it is a strap of a length that the catalogue has not."""
    gear, metres = candidates.counted, candidates.spoken.metres
    return isinstance(gear, Strap) and metres is not None and abs(gear.length - metres) > 1e-3


def _tables(candidates: Candidates, book: Catalogue) -> Iterator[dict[str, Any]]:
    spoken, gear = candidates.spoken, candidates.counted
    length = f"{spoken.length}" if spoken.length else ""
    described = _described(candidates)
    if isinstance(gear, Strap) and spoken.metres is not None and described:
        gear = replace(gear, id="not in the catalogue", length=spoken.metres)
    owned = Owned(
        name=_name(spoken),
        gear=gear,
        count=spoken.count,
        condition=book.conditions["unknown"],
        length=(spoken.metres or 0.0) if isinstance(gear, Rope) else None,
    )
    for table in tables(owned):
        if isinstance(gear, Rope):
            table["length"] = length or "? m"
        elif length and (isinstance(gear, Chain) or described):
            table["length"] = length
        if described:
            system = "imperial" if spoken.inches is not None else "metric"
            table["rating"] = show(gear.wll or 0.0, Dimension.FORCE, system, Rounding.DOWN)
            table["width"] = _size_stated(spoken) or table["width"]
        yield table


def _name(spoken: Spoken) -> str:
    """A name for it, without signs that a name must not have."""
    size = _size_stated(spoken)
    return f"{size} {spoken.kind}".strip()[:40]
