"""Computes how a rope holds round a trunk: friction, and how many round turns it may have."""

from dataclasses import dataclass

from catalogue.gear import Rope
from optimiser.mechanics.line.capstan import hold_ratio
from optimiser.mechanics.published import tables

UNKNOWN = "slippery"
"""The kind a material that is not in the table is taken for: the one that holds least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grip:
    """`low`: friction every hold is reckoned with; `high`: friction at which it runs out least."""

    kind: str
    low: float
    high: float
    most_turns: int
    source: str
    turns_source: str
    note: str
    melts: float | None  # °C

    def ratio(self, turns: int) -> float:
        """Tension of the line over the hand's that surely holds it."""
        return hold_ratio(friction=self.low, turns=turns)

    def most_ratio(self, turns: int) -> float:
        """The same where the rope grips as well as it may."""
        return hold_ratio(friction=self.high, turns=turns)

    @property
    def best_ratio(self) -> float:
        """With as many turns as it may have."""
        return self.ratio(self.most_turns)


def grip_of(rope: Rope) -> Grip | None:
    """The grip of a rope round a trunk; None for wire, which is not eased out by hand."""
    if not rope.knottable:
        return None
    data = tables("capstan")
    word = rope.material.casefold()
    kind = UNKNOWN
    for name, entry in data.items():
        if word in (material.casefold() for material in entry.get("materials", ())):
            kind = name
    melting = {key.casefold(): value for key, value in data["melts"].items()}
    entry = data[kind]
    return Grip(
        kind=kind,
        low=float(entry["low"]),
        high=float(entry["high"]),
        most_turns=int(entry["most_turns"]),
        source=str(entry["source"]),
        turns_source=str(entry["turns_source"]),
        note=str(entry["note"]),
        melts=float(melting[word]) if word in melting else None,
    )
