"""Amounts with their unit, as the data files write them, turned into SI floats.

Only the units that published tables use, by their exact definitions: the files keep the number as
it was published, and nobody converts by hand.
"""

import re

POUND = 0.45359237  # kg, exact
GRAVITY = 9.80665  # m/s², exact (standard)
INCH = 0.0254  # m, exact
POUND_FORCE = POUND * GRAVITY
SHORT_TON = 2000 * POUND_FORCE
DEGREE = 3.141592653589793 / 180

UNITS: dict[str, dict[str, float]] = {
    "length": {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "in": INCH, "ft": 12 * INCH},
    "force": {
        "N": 1.0,
        "kN": 1e3,
        "kgf": GRAVITY,
        "lbf": POUND_FORCE,
        "kip": 1000 * POUND_FORCE,
        "short ton": SHORT_TON,
    },
    "mass per length": {"kg/m": 1.0, "lb/ft": POUND / 0.3048, "lb/(100 ft)": POUND / 30.48},
    "stress": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "psi": POUND_FORCE / INCH**2},
    "density": {"kg/m^3": 1.0},
    "angle": {"rad": 1.0, "deg": DEGREE},
    "force per square length": {"short ton/in^2": SHORT_TON / INCH**2},
}

_AMOUNT = re.compile(r"(?:(\d+)-(\d+)/(\d+)|(\d+)/(\d+)|(\d+(?:\.\d+)?))\s+(\S.*)")


def amount(text: str, dimension: str) -> float:
    """SI value of a text such as "5750 lbf", "1-1/8 in" or "2 m".

    Raises:
        ValueError: no number, no unit, or a unit of another dimension; the message states which.
    """
    units = UNITS[dimension]
    found = _AMOUNT.fullmatch(text.strip())
    if found is None or found[7] not in units:
        known = ", ".join(units)
        raise ValueError(f"{text!r} is not a {dimension}: write a number and one of {known}")
    whole, over, under, top, bottom, plain, unit = found.groups()
    if plain is not None:
        number = float(plain)
    elif whole is not None:
        number = int(whole) + int(over) / int(under)
    else:
        number = int(top) / int(bottom)
    return number * units[unit]
