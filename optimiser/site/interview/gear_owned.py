"""The questions about the gear owned, for `new --ask`: which piece, how long, how many, how strong, how
worn."""

from collections.abc import Callable, Iterator
from typing import Any

from catalogue.book import load_catalogue
from catalogue.gear import AnyGear, Protector, Rope
from optimiser.site.document.owned import CatalogueItem
from optimiser.site.interview.prompt import (
    Question,
    Values,
    as_count,
    as_kind,
    as_several,
    of,
)
from optimiser.site.lines import Key
from shared.units import Dimension, Rounding, show


def pieces(raw: dict[str, Any]) -> Iterator[Question]:
    """The questions about the gear, in their order; `raw` as for the whole course."""
    heading = (
        "The gear you own, piece by piece: look for it by words of the catalogue.\n"
        "Working load limit: the pull that a stamp, a label or a paper allows on the piece. What has\n"
        "none, and none in the catalogue, is unrated: setups with it are listed last, with how much it\n"
        "would have to stand."
    )
    conditions = ", ".join(id for id in load_catalogue().conditions if id != "unknown")
    number = 0
    while True:
        at: Key = ("gear", number)

        gear = of(CatalogueItem, at)
        yield gear(
            "id",
            "A further piece" if number else "A piece of gear",
            "polyester 12, snatch 100 bronze, shackle 13, sling 60 3m",
            skip="no further gear" if number else "",
            reads=_named_apart(raw, as_kind("id", _gear_kinds())),
            about=((*at, "name"),),
            heading="" if number else heading,
        )
        if len(raw["gear"]) == number:
            return
        item = raw["gear"][number]
        piece = load_catalogue().gear[item["id"]]
        name = item.get("name", item["id"])
        if isinstance(piece, Rope):
            yield gear("length", f"{name}: how long", '"60 m" or "200 ft"')
            yield gear(
                "ends",
                f"{name}: what is on its two ends",
                "eye-splice, bare",
                skip="both bare",
                reads=as_several(CatalogueItem, "ends"),
                default={"ends": ["bare", "bare"]},
            )
        else:
            yield gear(
                "count", f"{name}: how many", "2", skip="1", reads=as_count(CatalogueItem, "count")
            )
        if not isinstance(piece, Protector):
            yield gear(
                "rating",
                f"{name}: working load limit marked on yours",
                '"1000 kg" or "10 kN"; unknown if its mark cannot be read',
                skip=f"as the catalogue has it, {_rated(piece)}",
            )
            yield gear(
                "condition",
                f"{name}: how worn ({conditions})",
                skip="unknown",
                default={"condition": "unknown"},
            )
        number += 1


def _rated(piece: AnyGear) -> str:
    """What a piece of the catalogue is rated at, in words."""
    if isinstance(piece, Protector):
        return "nothing hangs on it"
    if piece.wll is not None:
        return f"{show(piece.wll, Dimension.FORCE, rounding=Rounding.DOWN)}"
    if isinstance(piece, Rope) and piece.mbs is not None:
        broken = show(piece.mbs, Dimension.FORCE, rounding=Rounding.DOWN)
        return f"{broken} breaking strength / {show(piece.design_factor, Dimension.RATIO)}"
    return "unknown"


def _gear_kinds() -> list[str]:
    book = load_catalogue()
    return [
        kind for kind, entries in book.kinds().items() if any(id in book.gear for id in entries)
    ]


def _named_apart(raw: dict[str, Any], reads: Callable[[str], Values]) -> Callable[[str], Values]:
    """A second piece of one id gets a name of its own."""

    def named(line: str) -> Values:
        values = reads(line)
        alike = sum(item["id"] == values["id"] for item in raw.get("gear", ()))
        return {**values, "name": f"{values['id']} no. {alike + 1}"} if alike else values

    return named
