"""Compares the answer on one made-up site file with what the physics engine finds there."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from tests.physics.engine import Dragged, drag
from tests.physics.sites import Kind, rigged, site_of
from tests.piped import answered

WITHIN = 0.005
"""Relative, as the program's figures are to agree with the engine's."""
CLOSE = 0.8
"""m of the load to an edge."""
CORNER = 0.01
"""m to either side of a place of the path: on the leg that ends there, and on the next."""
EVEN = 0.01
"""Of the load's speed: the engine runs evenly."""


@dataclass(frozen=True)
class Compared:
    """One figure of the answer, N, beside the engine's; `of`: what the difference is counted of."""

    what: str
    at: float  # m of the path
    ours: float
    engine: float
    of: float

    @property
    def difference(self) -> float:
        return abs(self.ours - self.engine) / self.of


@dataclass(frozen=True)
class Site:
    """A made-up site and its best setup; `setup` None: nothing works there."""

    number: int
    kind: Kind
    text: str
    setup: Any | None


def solved(number: int) -> Site:
    kind, text = site_of(number)
    code, setup = answered(text, "show", "1", *(("--compound",) if kind.two_ropes else ()))
    return Site(number, kind, text, setup if code == 0 else None)


def along_the_path(site: Site, share: float) -> Iterator[Compared]:
    """Pull, ground reaction and pull aside with the load at that share of the path."""
    assert site.setup is not None
    rows = site.setup["path"]
    begin, end = rows[0]["at_m"], rows[-1]["at_m"]
    start = begin + share * (end - begin)
    found = _dragged(site, start)
    there = start + found.at
    row = _row(rows, there)
    hauled = row["pull_N"] * row["actual_advantage"]
    yield Compared("pull", there, row["pull_N"], found.pull, found.pull)
    yield Compared("ground", there, row["ground_reaction_N"], found.reaction, found.reaction)
    yield Compared("aside", there, row["side_pull"] * hauled, found.side, hauled)


def on_rings(site: Site) -> Iterator[Compared]:
    """The most that every ring carries, where the answer says that it does; not where an edge is close, for
    there the answer's rope goes over a point."""
    assert site.setup is not None
    worst: dict[float, list[Any]] = {}
    for component in site.setup["components"]:
        if component["name"].endswith("(ring)") and component["item"] != "post":
            worst.setdefault(component["at_m"], []).append(component)
    near = min((c["from_m"] for c in site.setup["contacts"]), default=np.inf) - CLOSE
    for at, components in ((at, every) for at, every in worst.items() if at < near):
        # At a corner of the path the worse of both legs counts.
        looks = [_dragged(site, place) for place in (at - CORNER, at + CORNER) if place >= 0.0]
        for one in components:
            place = f"{one['item']}@0.1 m"
            force = max(float(np.linalg.norm(found.forces[place])) for found in looks)
            yield Compared(one["item"], at, one["demand"], force, force)


def _dragged(site: Site, at: float) -> Dragged:
    found = drag(rigged(site.text, site.setup or {}, at))
    assert found.uneven < EVEN, "the engine does not run evenly"
    return found


def _row(rows: list[Any], at: float) -> dict[str, float]:
    """The answer's figures at a place of the path, between its rows."""
    ats = [row["at_m"] for row in rows]
    keys = ("pull_N", "ground_reaction_N", "side_pull", "actual_advantage")
    return {key: float(np.interp(at, ats, [row[key] for row in rows])) for key in keys}
