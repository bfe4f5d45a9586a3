"""What every part of a site document has in common."""

import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Annotated, Any, Final, Literal, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    ValidationInfo,
    ValidatorFunctionWrapHandler,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from catalogue.book import LAID, NO_GEAR
from optimiser.mechanics.values import Vec
from optimiser.site.document.quantity import Coordinate, Corner, refused
from shared.words import did_you_mean

Fault = tuple[str, str]
"""The key a rule of a part finds fault with, and what is wrong."""


LENIENT: Final = {"contradictions": "are looked for elsewhere"}
"""Context in which a part may contradict itself, so that what is around it can be looked at."""


class Part(BaseModel):
    """A table of the document: no unknown keys, no conversion of types, nothing changed later."""

    # Built only when a document is checked, once for all parts. What the keys mean is read from the
    # source where it is needed (`meanings`): pydantic would read it at every start.
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)

    def faults(self) -> Iterator[Fault]:
        """What contradicts itself among the keys of this part."""
        yield from ()

    def worse_the_other_way(self) -> frozenset[str]:
        """Keys whose better end is the worse one here, by what else this part says."""
        return frozenset()

    @model_validator(mode="after")
    def _agrees_with_itself(self, info: ValidationInfo) -> Self:
        faults = list(self.faults())
        if faults and info.context is not LENIENT:
            raise PydanticCustomError("faults", "{faults}", {"faults": faults})
        return self


def keys_of(part: type[Part]) -> dict[str, FieldInfo]:
    """The fields of a part by their keys in the file."""
    return {field.alias or name: field for name, field in part.model_fields.items()}


def point(coordinates: list[Any] | str | None, corner: Corner = "stated") -> Vec:
    """Three coordinates as a vector, m. What the file leaves to readings has been found by then
    (`optimiser.site.measured`)."""
    if not isinstance(coordinates, list):
        raise TypeError(f"no place has been found yet: {coordinates!r}")
    x, y, z = (coordinate.at(corner) for coordinate in coordinates)
    return (x, y, z)


Point = Annotated[list[Coordinate], Field(min_length=3, max_length=3)]
"""x and y in plan and z up, each with its unit."""

# These carry the run of a rope in listings (`load > oak@0.5 m > car`), keys (`tree[oak].diameter`)
# and their CSV form.
_RESERVED = frozenset(">@,;[]\"'=`|")
_LONGEST_NAME = 40


def checked_name(name: str) -> str:
    """`name`, if it can stand in a listing; raises an error that carries its message."""
    if not name.strip() or name != name.strip():
        raise refused("a name must not be empty, nor begin or end with a space")
    if len(name) > _LONGEST_NAME:
        raise refused(f"a name has at most {_LONGEST_NAME} characters, this one has {len(name)}")
    bad = next((char for char in name if char in _RESERVED or not char.isprintable()), None)
    if bad is not None:
        raise refused(f"a name must not contain {bad!r}: it would garble the run of the rope")
    if name.casefold() == "load":
        raise refused("'load' is the name of the load itself; choose another one")
    if name.isdigit():
        raise refused("a name must not be a bare number: it would be taken for a place in the list")
    return name


Name = Annotated[str, AfterValidator(checked_name), Field(min_length=1, max_length=_LONGEST_NAME)]


class OrName:
    """Marks a field that is a point, or the name of a place that readings lead to."""

    def read(self, raw: object, as_point: ValidatorFunctionWrapHandler) -> Any:
        """`raw`, checked; raises an error that carries its message."""
        return checked_place(raw) if isinstance(raw, str) else as_point(raw)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.no_info_wrap_validator_function(
            self.read, handler.generate_schema(Point)
        )

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        name = {"type": "string", "minLength": 1, "maxLength": _LONGEST_NAME}
        return {"anyOf": [handler(schema["schema"]), name]}


def checked_place(text: str) -> str:
    """The name of a place, if it can be one; raises an error that carries its message."""
    if not text.strip() or len(text) > _LONGEST_NAME:
        raise refused(f"the name of a place has 1 to {_LONGEST_NAME} characters")
    return checked_line(text)


PlaceName = Annotated[str, AfterValidator(checked_place)]
"""A tree, anchor, obstacle, puller or mark by its name, or a place of the path."""
PointOrName = Annotated[list[Any] | str, OrName()]


def checked_line(text: str) -> str:
    """`text`, if it shows as it is written, in one line; raises an error that carries its message."""
    bad = next((sign for sign in text if unicodedata.category(sign).startswith("C")), None)
    if bad is not None:
        raise refused(f"a text must not contain {bad!a}: it does not show, or steers what is shown")
    return text


Line = Annotated[str, AfterValidator(checked_line)]
"""A free text in one line."""
Title = Annotated[Line, Field(max_length=200)]


class Listed:
    """Marks a text field as the id of something in a list of the catalogue, looked up when read."""

    def __init__(
        self,
        catalogue: str,
        *,
        besides: tuple[str, ...] = (),
        instead: Mapping[str, str] | None = None,
    ) -> None:
        """`besides`: further valid words; `instead`: what to say to a word that is none, by that word."""
        self.catalogue = catalogue
        self.besides = besides
        self.instead = instead or {}

    @property
    def valid(self) -> tuple[str, ...]:
        """Valid words of different kinds: a dozen, evenly from all of them."""
        return self.words[:: -(-len(self.words) // 12)]

    @cached_property
    def words(self) -> tuple[str, ...]:
        """Every valid word, in order."""
        from optimiser.site.document import (
            listed,  # start-up time: only messages and the schema read it
        )

        return tuple(sorted({*listed.words(self.catalogue), *self.besides}))

    def read(self, raw: object) -> str:
        """`raw`, if it is one of the words; raises an error that carries its message."""
        if not isinstance(raw, str):
            raise refused(
                f"expected the id of one of the {self.catalogue} in the catalogue, as text"
            )
        words = self.words
        if raw in self.instead:
            raise refused(self.instead[raw])
        if raw not in words:
            shown = raw[:40] if raw.isprintable() else "this"
            near = self._meant(raw, words) or did_you_mean(raw[:80], words)
            raise refused(
                f"no '{shown}' among the {self.catalogue} of the catalogue"
                f"{near or self.choice(words)}"
            )
        return raw

    def _meant(self, raw: str, words: Sequence[str]) -> str:
        """Words that mean what was written, or have it as one of their parts: the oaks for "oak", every
        gravel for "gravel"."""
        from optimiser.site.document import (
            listed,  # start-up time: only messages and the schema read it
        )

        several = listed.meant(self.catalogue, raw[:80], words)
        several = several or [word for word in words if word.startswith(f"{raw}-")]
        if several:
            several += [word for word in words if f"-{raw}-" in f"{word}-" and word not in several]
        if len(several) == 1:
            return f"; did you mean '{several[0]}'?"
        more = ", ..." if len(several) > 6 else ""
        return f"; there are {', '.join(several[:6])}{more}" if several else ""

    def choice(self, words: Sequence[str]) -> str:
        """The end of a message that offers the words."""
        if len(words) > 12:
            return f"; 'bankhaul gear' lists them (for one: '{words[0]}')"
        return f"; there are {', '.join(words)}"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.words)}


class ListedOrFlag(Listed):
    """Marks a field that is true, false, or the id of something in a list of the catalogue."""

    def read(self, raw: object) -> bool | str:  # type: ignore[override]
        """`raw`, if it is a flag or one of the words; raises an error that carries its message."""
        if isinstance(raw, bool):
            return raw
        if not isinstance(raw, str):
            raise refused(
                f"expected true, false, or the id of one of the {self.catalogue} in the catalogue, as text"
            )
        flags = {"true": True, "false": False}  # so it comes from the command line
        return flags[raw] if raw in flags else super().read(raw)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return {
            "anyOf": [{"type": "boolean"}, super().__get_pydantic_json_schema__(schema, handler)]
        }


SpeciesId = Annotated[str, Listed("species", besides=("unknown",))]
SoilId = Annotated[str, Listed("soils", besides=("unknown",))]
RootingId = Annotated[str, Listed("rootings", besides=("unknown",))]
SurfaceId = Annotated[str, Listed("surfaces")]
HandWinchId = Annotated[str, Listed("hand winches")]
FootingId = Annotated[str, Listed("footings")]
ConditionId = Annotated[str, Listed("conditions")]
GearId = Annotated[str, Listed("gear", instead={LAID: NO_GEAR})]
EdgeProtected = Annotated[bool | str, ListedOrFlag("protectors", instead={LAID: NO_GEAR})]
EdgeSurface = Annotated[str, Listed("edge surfaces")]
TerminationId = Annotated[str, Listed("terminations")]
EndId = Annotated[str, Listed("terminations", besides=("bare",))]
RuleName = Annotated[str, Listed("rules")]
HitchKind = Literal["eye", "hook", "bar"]
UnitSystem = Literal["metric", "imperial"]
