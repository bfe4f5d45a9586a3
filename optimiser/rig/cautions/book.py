"""Reads cautions from a data file: texts, sources and limits there, the checks that call for them in
code.

A caution is a table `[key]` of the file with `text`, `source` and, where it always applies, `always` and
maybe `short`, the same in few words. Every other one has a check of the same name that yields the fields
of its text once for each time it is printed.
"""

import tomllib
from collections.abc import Callable, Iterator, Mapping
from functools import cached_property
from importlib.resources import files
from typing import Any, Generic, ParamSpec

from optimiser.rig.setup import Caution

Fields = Iterator[dict[str, str]]
Limits = Mapping[str, float]
P = ParamSpec("P")


class CautionBook(Generic[P]):
    """The cautions of one package's `data/cautions.toml`; P: what its checks look at."""

    def __init__(self, package: str) -> None:
        self.package = package
        self.checks: dict[str, Callable[..., Fields]] = {}

    def check(self, function: Callable[P, Fields]) -> Callable[P, Fields]:
        """Decorator: the check for the caution of the function's name (less a leading underscore)."""
        self.checks[function.__name__.lstrip("_")] = function
        return function

    @cached_property
    def entries(self) -> Mapping[str, Any]:
        """The file's tables, in its order."""
        path = files(self.package).joinpath("data", "cautions.toml")
        return tomllib.loads(path.read_text(encoding="utf-8"))

    def limits(self, key: str) -> Limits:
        """The numbers beside a caution's text."""
        return self.entries[key]

    def called_for(self, *args: P.args, **kwargs: P.kwargs) -> tuple[Caution, ...]:
        """Every caution that these call for, in the order of the file."""
        out = []
        for key, entry in self.entries.items():
            always = bool(entry.get("always", False))
            found: Any = ({},) if always else self.checks[key](*args, **kwargs)
            for fields in found:
                text = entry["text"].format(**fields)
                out.append(
                    Caution(
                        key=key,
                        text=text,
                        source=entry["source"],
                        always=always,
                        short=entry.get("short", ""),
                    )
                )
        return tuple(out)
