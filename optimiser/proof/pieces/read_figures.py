"""Reads the published figures and choices that a check needs straight from the data files."""

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(name: str) -> Mapping[str, Any]:
    """The data file of that name as it is written."""
    text = files("optimiser").joinpath("mechanics", "data", f"{name}.toml").read_bytes()
    return tomllib.loads(text.decode())


@cache
def figure(name: str, key: str) -> float:
    """The one number under `key` in the data file `name`, in that file's unit."""
    return float(table(name)[key]["value"])
