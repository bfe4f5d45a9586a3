"""A site document with its quantities written in other units."""

from copy import deepcopy
from random import Random
from re import compile as pattern
from typing import Any

from tests.fuzz.places import leaves

FACTORS: dict[str, dict[str, float]] = {
    "length": {
        "m": 1.0, "cm": 0.01, "mm": 0.001, "ft": 0.3048, "in": 0.0254, "yd": 0.9144,
    },
    "mass": {"kg": 1.0, "g": 0.001, "t": 1000.0, "lb": 0.45359237},
    "force": {"N": 1.0, "kN": 1000.0, "kgf": 9.80665, "lbf": 4.4482216152605, "daN": 10.0},
    "angle": {"deg": 1.0, "rad": 57.29577951308232},
}  # fmt: skip
"""Definitions, in the first unit of each kind: exact by international agreement (yard and pound
agreement of 1959, standard gravity of 1901) but for the radian."""
_QUANTITY = pattern(
    r"(?P<low>[+-]?\d+(?:\.\d+)?)(?:\s*\.\.\s*(?P<high>[+-]?\d+(?:\.\d+)?))?\s*(?P<unit>[a-zA-Z]+)"
)


def in_other_units(document: dict[str, Any], number: int) -> dict[str, Any]:
    """The same document with every quantity in a unit of the same kind, drawn by number. Weights
    change between masses and forces too, where either is accepted."""
    rng = Random(number)
    out = deepcopy(document)
    for slot in leaves(out):
        if isinstance(slot.value, str) and slot.name not in ("name", "title", "id"):
            slot.put(rewritten(slot.value, slot.name, rng))
    return out


def rewritten(text: str, key: str, rng: Random) -> str:
    """A quantity in another unit; any other text as it is."""
    found = _QUANTITY.fullmatch(text)
    kind = next((k for k, units in FACTORS.items() if found and found["unit"] in units), None)
    if found is None or kind is None:
        return text
    units = dict(FACTORS[kind])
    here = units[found["unit"]]
    if kind == "mass" and key == "weight":  # under standard gravity
        units |= {unit: newtons / 9.80665 for unit, newtons in FACTORS["force"].items()}
    unit = rng.choice(sorted(units))

    def again(number: str) -> str:
        return f"{float(number) * here / units[unit]:.16g}"

    high = f"..{again(found['high'])}" if found["high"] else ""
    return f"{again(found['low'])}{high} {unit}"
