"""Adds pieces of gear to the text of a site file, as somebody would enter them, so that they are read as what
they are."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from catalogue.book import load_catalogue
from catalogue.gear import AnyGear, Block, Chain, Hook, Protector, Rope, Shackle, Strap
from optimiser.site.model import Owned
from optimiser.site.text.edited import Add, edited

_PLAIN = ""
"""The unit of what is a number, a text, or true or false."""
_SLING = {
    "length": ("length", "m"),
    "rating": ("wll", "N"),
    "choker": ("choker_factor", _PLAIN),
    "basket": ("basket_factor", _PLAIN),
}
_KEYS: Mapping[type[AnyGear], tuple[str, Mapping[str, tuple[str, str]]]] = {
    Rope: ("rope", {
        "material": ("material", _PLAIN),
        "diameter": ("diameter", "m"),
        "breaking_strength": ("mbs", "N"),
        "design_factor": ("design_factor", _PLAIN),
        "rating": ("wll", "N"),
        "stretch_at_break": ("stretch_at_break", _PLAIN),
        "mass_per_length": ("mass_per_metre", "kg/m"),
        "least_bend": ("least_bend_ratio", _PLAIN),
        "knottable": ("knottable", _PLAIN),
    }),
    Block: ("block", {
        "sheaves": ("sheaves", _PLAIN),
        "opens": ("opens", _PLAIN),
        "rope_least": ("rope_least", "m"),
        "rope_most": ("rope_most", "m"),
        "sheave_diameter": ("sheave_diameter", "m"),
        "rating": ("wll", "N"),
        "bearing": ("bearing", _PLAIN),
        "efficiency": ("eta", _PLAIN),
        "length": ("length", "m"),
        "eye": ("eye", "m"),
        "becket": ("becket", _PLAIN),
    }),
    Shackle: ("shackle", {
        "bow": ("bow_diameter", "m"),
        "pin": ("pin_diameter", "m"),
        "jaw": ("jaw", "m"),
        "length": ("length", "m"),
        "rating": ("wll", "N"),
    }),
    Strap: ("strap", {"width": ("width", "m"), **_SLING}),
    Chain: ("chain", {"grade": ("grade", _PLAIN), "size": ("size", "m"), **_SLING}),
    Hook: ("hook", {"length": ("length", "m"), "throat": ("throat", "m"), "rating": ("wll", "N")}),
    Protector: ("protector", {
        "surface": ("surface", _PLAIN),
        "clearance": ("clearance", "m"),
        "bend_radius": ("bend_radius", "m"),
        "length": ("length", "m"),
        "covers": ("covers", "m"),
        "made_on_the_spot": ("made", _PLAIN),
        "fixing": ("fixing", _PLAIN),
    }),
}  # fmt: skip
"""By kind: its word, and for each key of a site file the property of the piece and the unit it is written in.
What a piece has not is left out."""


def with_pieces(text: str, pieces: Iterable[Owned]) -> str:
    """The text of a site file with more pieces at the end of its gear; all else stays as it stands. Raises
    EditError where the text cannot take them."""
    return edited(text, [Add(key=("gear",), table=table) for p in pieces for table in tables(p)])


def tables(piece: Owned) -> Iterator[dict[str, Any]]:
    """The `[[gear]]` tables of a piece with bare ends: one for each rope, else one with their number."""
    gear = piece.gear
    known = load_catalogue().gear.get(gear.id)
    rope = isinstance(gear, Rope)
    for copy in range(piece.count if rope else 1):
        name = piece.name if copy == 0 else f"{piece.name} ({copy + 1})"
        out: dict[str, Any] = (
            {"id": gear.id} if known is not None else {"kind": _KEYS[type(gear)][0]}
        )
        out["name"] = name
        if rope:
            out |= {"length": _amount(piece.length, "m"), "ends": ["bare", "bare"]}
        elif piece.count > 1:
            out["count"] = piece.count
        out["condition"] = piece.condition.id
        if known is None:
            out |= _described(gear)
        elif isinstance(gear, Chain) and gear.length != getattr(known, "length", None):
            out["length"] = _amount(gear.length, "m")
        yield out


def _described(gear: AnyGear) -> dict[str, Any]:
    _, keys = _KEYS[type(gear)]
    values = {key: (getattr(gear, field), unit) for key, (field, unit) in keys.items()}
    return {key: _amount(v, unit) for key, (v, unit) in values.items() if v is not None}


def _amount(value: Any, unit: str) -> Any:
    """A value as a site file takes it, to the last digit."""
    return value if not unit else f"{float(value)!r} {unit}".replace(".0 ", " ")
