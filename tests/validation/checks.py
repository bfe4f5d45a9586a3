"""The register of checks: what a source says against what this program computes.

A worked example is a function that yields `Check`s, marked `@worked_example(source, place)`. The
mark makes a test of it and enters it in the register, from which `report` writes the table. In a
check `ours` always comes from the program, never from the published number. `Way` says how far: from a site
file and a command's answer, from one formula that the program calls, or from a table of its data.
"""

import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import Enum
from functools import cache, wraps
from math import isfinite
from pathlib import Path

from shared.sources import Source, load_sources

EVIDENCE = ("read", "read second-hand", "memory", "derived")
"""How a number is known. "derived": nobody published it; we worked it out by other means than the program."""


class Way(Enum):
    """How the program's number comes about."""

    JOB = "through the main job: a site file in, a command's answer out"
    FORMULA = "through one formula that the program calls"
    TABLE = "looked up in a table of the program's data"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One published number and ours.

    `tolerance`: absolute, in the unit of the numbers; `why`: where the tolerance comes from, or why
    the sources disagree and what we do about it. `relation`: "equal" within the tolerance; "at
    least" / "at most": ours must lie on that side of the published number; "differs": sources
    disagree, ours is known to be off by more than the tolerance, `why` says which we follow.
    """

    quantity: str
    published: float
    ours: float
    unit: str
    tolerance: float
    why: str
    relation: str = "equal"

    @property
    def difference(self) -> float:
        return self.ours - self.published

    @property
    def passes(self) -> bool:
        if not isfinite(self.ours):
            return False
        off = self.difference
        return {
            "equal": abs(off) <= self.tolerance,
            "at least": off >= -self.tolerance,
            "at most": off <= self.tolerance,
            "differs": abs(off) > self.tolerance,
        }[self.relation]


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """A worked example or table of one source."""

    name: str
    source: Source
    place: str  # page, table, problem
    evidence: str  # one of EVIDENCE
    way: Way
    given: str  # first paragraph of its text
    checks: Callable[[], Iterable[Check]]


REGISTER: dict[str, Example] = {}


@cache
def _own_sources() -> dict[str, Source]:
    text = Path(__file__).with_name("sources.toml").read_text(encoding="utf-8")
    return {key: Source(key=key, **entry) for key, entry in tomllib.loads(text).items()}


def source_named(key: str) -> Source:
    """A source of the program, or one of the textbooks that only the tests use."""
    shared = load_sources()
    return shared[key] if key in shared else _own_sources()[key]


def worked_example(
    source: str, place: str, *, way: Way = Way.FORMULA, evidence: str | None = None
) -> Callable[[Callable[[], Iterable[Check]]], Callable[[], None]]:
    """Mark a function that yields checks as a worked example of `source`, and make it a test.

    evidence: one of EVIDENCE where it is not as the source as a whole is known.
    """
    known = source_named(source)
    how = known.read if evidence is None else evidence
    if how not in EVIDENCE:
        raise ValueError(f"{source}: evidence {how!r} is none of {EVIDENCE}")

    def mark(yields: Callable[[], Iterable[Check]]) -> Callable[[], None]:
        if not yields.__doc__:
            raise ValueError(f"{yields.__name__}: say what is given")
        name = yields.__name__.removeprefix("test_").replace("_", " ")
        example = Example(
            name=name,
            source=known,
            place=place,
            evidence=how,
            way=way,
            given=" ".join(yields.__doc__.split("\n\n")[0].split()),
            checks=yields,
        )
        key = f"{source}: {name}"
        if key in REGISTER:
            raise ValueError(
                f"{key}: two worked examples of one name, of which the report would lose one"
            )
        REGISTER[key] = example

        @wraps(yields)
        def test() -> None:
            done = list(example.checks())
            assert done, "a worked example without a check proves nothing"
            failed = [check for check in done if not check.passes]
            assert not failed, "\n".join(
                f"{check.quantity}: published {check.published:g} {check.unit}, ours "
                f"{check.ours:g}, must be {check.relation} within {check.tolerance:g} ({check.why})"
                for check in failed
            )

        # pytest would take the wrapped function for the test itself, and warn of what it returns.
        del test.__dict__["__wrapped__"]
        return test

    return mark


def printed(digits_of: float, last: float) -> float:
    """Half a unit `last` of the last printed digit, and a hair for binary fractions."""
    return 0.5 * last + 1e-9 * abs(digits_of)


def share(published: float, part: float) -> float:
    """A tolerance as a part of the published number."""
    return abs(published) * part
