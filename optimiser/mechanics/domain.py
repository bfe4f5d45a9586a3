"""Refuses what a formula is not valid for."""

from math import isfinite


def positive(name: str, value: float) -> float:
    """`value`, if it is finite and above 0; ValueError that names it otherwise."""
    if not (isfinite(value) and value > 0.0):
        raise ValueError(f"{name} {value}: must be a positive number")
    return value


def within(name: str, value: float, least: float, most: float, unit: str = "") -> float:
    """`value`, if it lies in [least, most]; ValueError that names it and the range otherwise."""
    if not (isfinite(value) and least <= value <= most):
        raise ValueError(f"{name} {value}: must be within {least:g} .. {most:g} {unit}".rstrip())
    return value
