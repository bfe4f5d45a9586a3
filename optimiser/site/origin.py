"""Where a site comes from: its document, from which it can be made again with other values."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import Any

from optimiser.mechanics.values import Vec
from optimiser.site.document.part import Part
from optimiser.site.document.quantity import Corner, Quantity, Worse
from optimiser.site.document.site import SiteDocument
from optimiser.site.guesses import READ_PULLS, guesses
from optimiser.site.lines import Key, line_of
from optimiser.site.model import Guess, Site
from shared.units import Dimension, Interval

Build = Callable[
    [SiteDocument, Corner, tuple[Guess, ...] | None, Mapping[Key, int] | None],
    tuple[Site | None, list[tuple[Key, str]]],
]
"""Makes a site of a document at a corner, or reports what no formula takes."""


@dataclass(frozen=True)
class DocumentOrigin:
    """A document, the corner at which its guesses were taken, and what made a site of it. `lines`: where
    each key stands in the site file."""

    document: SiteDocument
    corner: Corner
    build: Build
    lines: Mapping[Key, int] = field(default_factory=dict)

    def site(self, values: Mapping[Key, float], corner: Corner | None = None) -> Site:
        """The site with some quantities at other values [SI], the rest at `corner` (the origin's own if
        left out). Keys count places in lists from 0. ValueError where no formula takes a value."""
        document = self.document
        for key, value in values.items():
            document = _put(document, key, value)
        site, found = self.build(
            document, self.corner if corner is None else corner, self._guesses, self.lines
        )
        if site is None:
            raise ValueError("; ".join(message for _, message in found))
        return site

    def moved(self, at: Mapping[str, Vec]) -> Site:
        """The site with its measured places elsewhere: coordinates of the file [m] by name. ValueError where
        nothing is measured, or nothing can stand there."""
        outcome = self.document.outcome
        if outcome is None:
            raise ValueError("every place is given by coordinates")
        document = outcome.layout.moved(self.document, at)
        site, found = self.build(document, self.corner, self._guesses, self.lines)
        if site is None:
            raise ValueError("; ".join(message for _, message in found))
        return site

    @cached_property
    def ends(self) -> tuple[Site, Site]:
        """The site with every range at its worse, and at its better end."""
        return self.site({}, "worst"), self.site({}, "best")

    @cached_property
    def _guesses(self) -> tuple[Guess, ...]:
        return tuple(guesses(self.document))

    @cached_property
    def ranges(self) -> Mapping[Key, Quantity]:
        """Every quantity of the haul that is given as a range."""
        found = _quantities(self.document, ())
        others = ("lever", READ_PULLS)
        return {k: q for k, q in found if not q.interval.certain and k[0] not in others}

    def at(self, key: Key) -> Any:
        """What the document has at a key."""
        return _get(self.document, key)

    def stated(self, key: Key) -> Quantity | None:
        """The quantity at a key; None where there is none."""
        try:
            found = _get(self.document, key)
        except (AttributeError, IndexError, TypeError):
            return None
        return found if isinstance(found, Quantity) else None

    def has(self, key: Key) -> bool:
        """Whether the file has something at a key."""
        try:
            return _get(self.document, key) is not None
        except (AttributeError, IndexError, TypeError):
            return False

    @property
    def pulls(self) -> Any:
        """What the pulls that were read came to (`optimiser.site.pulled`); None: none was."""
        return self.document.pulls

    def before_pulls(self) -> Site | None:
        """The site by its file alone, as if no pull had been read; None where none was."""
        pulls = self.document.pulls
        return (
            None if pulls is None else self.build(pulls.document, self.corner, None, self.lines)[0]
        )

    def line(self, key: Key) -> int | None:
        """The line of a key in the file, or of the closest thing around it that has one."""
        return line_of(self.lines, key)

    def label(self, key: Key) -> str:
        """The key as it is written for people: list items by their names, or by place from 1."""
        text, here = "", self.document
        for step in key:
            here = _get(here, (step,))
            if isinstance(step, int):
                text += f"[{getattr(here, 'name', None) or getattr(here, 'id', None) or step + 1}]"
            else:
                text += f".{step}" if text else step
        return text


@dataclass(frozen=True)
class ChangedOrigin(DocumentOrigin):
    """The origin of a site that somebody changed after it was made: every site made again has the `changed`
    fields too, as they are, so nothing in them is a range any more."""

    changed: Mapping[str, Any] = field(default_factory=dict)

    def site(self, values: Mapping[Key, float], corner: Corner | None = None) -> Site:
        """As of the document, with the changed fields."""
        return replace(super().site(values, corner), **self.changed)

    def moved(self, at: Mapping[str, Vec]) -> Site:
        """As of the document, with the changed fields; ValueError where these say where something stands."""
        placed = [
            name for name in ("legs", "anchors", "obstacles", "pullers") if name in self.changed
        ]
        if placed:
            raise ValueError(
                f"{placed[0]} of the site were changed after its readings were worked out"
            )
        return replace(super().moved(at), **self.changed)


def as_changed(site: Site) -> Site:
    """The site, with an origin that makes it as it is: `dataclasses.replace` keeps the origin of the site
    that it began with, whose ends of ranges would be those of another site."""
    origin = site.origin
    if not isinstance(origin, DocumentOrigin) or not (site.uncertain or site.surveyed is not None):
        return site
    own = origin.site({})
    names = [one.name for one in fields(Site) if one.compare]
    changed = {n: getattr(site, n) for n in names if getattr(site, n) != getattr(own, n)}
    if not changed:
        return site
    known = {one.name: getattr(origin, one.name) for one in fields(DocumentOrigin)}
    return replace(site, origin=ChangedOrigin(**known, changed=changed))


def _quantities(value: Any, key: Key) -> Iterator[tuple[Key, Quantity]]:
    if isinstance(value, Part):
        for name in type(value).model_fields:
            yield from _quantities(getattr(value, name), (*key, name))
    elif isinstance(value, list):
        for place, item in enumerate(value):
            yield from _quantities(item, (*key, place))
    elif isinstance(value, Quantity):
        yield key, value


def _get(value: Any, key: Sequence[str | int]) -> Any:
    for step in key:
        value = value[step] if isinstance(step, int) else getattr(value, step)
    return value


def _put(value: Any, key: Key, number: float) -> Any:
    """A copy of a part or list with the quantity at `key` replaced."""
    if not key:
        old = value if isinstance(value, Quantity) else None
        return Quantity(
            text=f"{number:g}",
            interval=Interval(low=number, high=number, stated=number),
            dimension=Dimension.RATIO if old is None else old.dimension,
            worse=Worse.NEITHER if old is None else old.worse,
        )
    step, rest = key[0], key[1:]
    inner = _put(_get(value, (step,)), rest, number)
    if isinstance(step, int):
        return [*value[:step], inner, *value[step + 1 :]]
    return value.model_copy(update={step: inner})
