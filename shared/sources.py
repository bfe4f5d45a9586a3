"""The list of sources: where every figure in the data files comes from and how well it is known."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType

READINGS = ("read", "read second-hand", "memory", "practice", "derived", "choice")
"""How a source is known, in falling order of what it is worth as evidence. The last two are none:
"derived" is worked out from other entries, "choice" is the program's own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One source. `read` is one of `READINGS`."""

    key: str
    title: str
    detail: str
    read: str

    @property
    def worded(self) -> str:
        """Title with how it is known, where that is anything less than read."""
        plain = self.read == "read" or self.key in READINGS
        return self.title if plain else f"{self.title} ({self.read})"


@cache
def load_sources() -> Mapping[str, Source]:
    """All sources by key.

    Raises:
        ValueError: the data file has a reading that is not one of `READINGS`.
    """
    text = files("shared").joinpath("data/sources.toml").read_text(encoding="utf-8")
    sources = {key: Source(key=key, **entry) for key, entry in tomllib.loads(text).items()}
    for entry in sources.values():
        if entry.read not in READINGS:
            raise ValueError(f"source {entry.key!r}: read is {entry.read!r}, not one of {READINGS}")
    return MappingProxyType(sources)


def source(key: str) -> Source:
    """The source of that key; KeyError where there is none."""
    return load_sources()[key]
