"""Every place of a site file by its name: what stands there, marks, and places of the path."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from math import dist
from typing import Any

from optimiser.mechanics.values import Vec
from optimiser.site.document.part import point
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.measured.left_open import END, STANDING, START
from shared.units import Dimension, show
from shared.words import did_you_mean
from shared.written import parse

PATH_WORDS = (START, END, "end of leg 1", "6.5 m of the path")
"""How places of the path are written, by example."""
ORIGIN: Vec = (0.0, 0.0, 0.0)

_END_OF_LEG = re.compile(r"end of leg (\d{1,3})")
_OF_THE_PATH = re.compile(r"(.+?) of the path")
_SAME = 1e-6  # m: closer to a bend than this is at it


class NoSuchPlaceError(ValueError):
    """A name that is of no place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPath:
    """A place of the path between its bends: how far from the start of a leg (from 0) [m]."""

    name: str
    leg: int
    along: float


class Spots:
    """The places of a document. `given`: coordinates of those the file gives [m]; `keys`: where each stands
    in the file; `bends`: start, bends and end of the path by name; `on_path`: places between them that were
    asked for."""

    def __init__(self, document: SiteDocument) -> None:
        self.units = document.preferences.units
        self.given: dict[str, Vec] = {}
        self.keys: dict[str, Key] = {}
        self.on_path: dict[str, OnPath] = {}
        for section in STANDING:
            for number, thing in enumerate(getattr(document, section)):
                self.keys[thing.name] = (section, number)
                if getattr(thing, "at", None) is not None:
                    self.given[thing.name] = point(thing.at)
        # It stands where its anchor does, or in a room of its own, and readings do not look for it.
        self.nowhere = {
            puller.name for puller in document.puller if not getattr(puller, "one_spot", False)
        }
        self.bends: list[str] = [START]
        self._lengths: list[float | None] = []
        self._path(document)

    @property
    def unknown(self) -> list[str]:
        """Names of the places that readings have to lead to, in the order of the file."""
        return [
            name
            for name in dict.fromkeys((*self.bends, *self.keys))
            if name not in self.given and name not in self.nowhere
        ]

    def named(self, text: str) -> str:
        """The name of the place that `text` means. Raises NoSuchPlaceError with the closest."""
        if text in (START, END):
            return self.bends[0] if text == START else self.bends[-1]
        if (match := _END_OF_LEG.fullmatch(text)) is not None:
            if 1 <= int(match[1]) < len(self.bends):
                return self.bends[int(match[1])]
            raise NoSuchPlaceError(f"the path has no leg {match[1]}: it has {len(self.bends) - 1}")
        if text in self.keys and text not in self.nowhere:
            return text
        if (match := _OF_THE_PATH.fullmatch(text)) is not None:
            return self._of_the_path(text, match[1])
        known = [name for name in self.keys if name not in self.nowhere]
        near = did_you_mean(text, [*known, START, END])
        raise NoSuchPlaceError(f"no place is named '{text}'{near or _how(known)}")

    def way(self, name: str) -> tuple[str, str] | None:
        """The line somebody faces at a place of the path: from this place to the next bend, or at its end
        along the last leg (from bend to end). None: it is no place of the path."""
        if name in self.on_path:
            return name, self.bends[self.on_path[name].leg + 1]
        if name not in self.bends:
            return None
        place = self.bends.index(name)
        return (
            (self.bends[-2], name)
            if place == len(self.bends) - 1
            else (name, self.bends[place + 1])
        )

    def _path(self, document: SiteDocument) -> None:
        path = document.path
        self.keys.setdefault(START, ("path", "start"))
        self.given[START] = ORIGIN if path.start is None else point(path.start)
        for number, leg in enumerate(path.leg, 1):
            last = number == len(path.leg)
            name = END if last else f"end of leg {number}"
            if isinstance(leg.to, str):
                name = leg.to
            else:
                self.keys[name] = ("path", "leg", number - 1)
                if leg.to is not None:
                    self.given[name] = point(leg.to)
            self.bends.append(name)
            ends = [self.given.get(bend) for bend in self.bends[-2:]]
            if leg.length is not None:
                self._lengths.append(leg.length.at("stated"))
            else:
                self._lengths.append(None if None in ends else dist(*_both(ends)))

    def _of_the_path(self, text: str, far: str) -> str:
        try:
            rest = parse(far, Dimension.LENGTH).stated
        except ValueError as error:
            raise NoSuchPlaceError(f"how far along the path? {error}") from error
        if rest < 0:
            raise NoSuchPlaceError("the path begins at its start: the length must not be negative")
        for leg, length in enumerate(self._lengths):
            if rest < _SAME:
                return self.bends[leg]
            if length is None:
                raise NoSuchPlaceError(
                    f"how long leg {leg + 1} of the path is, is not given: name a mark there instead"
                )
            if rest < length - _SAME:
                self.on_path[text] = OnPath(name=text, leg=leg, along=rest)
                return text
            rest -= length
        if rest < _SAME:
            return self.bends[-1]
        beyond = show(rest, Dimension.LENGTH, self.units)
        raise NoSuchPlaceError(f"lies {beyond} beyond the end of the path")


def path_named(document: SiteDocument) -> Iterator[tuple[Key, str]]:
    """Names that are those of places of the path."""
    for section in STANDING:
        for number, thing in enumerate(getattr(document, section)):
            if (
                thing.name in (START, END)
                or _END_OF_LEG.fullmatch(thing.name)
                or _OF_THE_PATH.fullmatch(thing.name)
            ):
                yield (
                    (section, number, "name"),
                    f"'{thing.name}' is a place of the path; choose another name",
                )


def _both(ends: list[Any]) -> tuple[Vec, Vec]:
    first, second = ends
    return first, second


def _how(known: list[str]) -> str:
    shown = ", ".join(f"'{name}'" for name in known[:6])
    more = ", ..." if len(known) > 6 else ""
    path = ", ".join(f"'{word}'" for word in PATH_WORDS)
    return f"; there are {shown + more + ' and ' if shown else ''}places of the path such as {path}"
