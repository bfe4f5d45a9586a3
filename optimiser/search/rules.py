"""Rules that leave out rigs nobody would build. They are rules, not proofs: each can be switched off.

`RULES` names them all; a search states those that are on, and its claim of completeness is for the
walks that they leave.
"""

from dataclasses import dataclass

from optimiser.rig.walk import PlaceKind, Walk
from optimiser.site.rules import RULES


@dataclass(frozen=True, slots=True)
class Rules:
    """Which rules are on."""

    one_height_per_leg: bool = True
    most_in_a_row: int = 2
    tail: bool = False  # a block behind a standing anchor is allowed
    backward: bool = False  # parts that pull backwards are allowed
    compound: bool = False  # tackle on tackle is in the space (no rule by name: it is requested)

    @staticmethod
    def of(names: frozenset[str]) -> "Rules":
        """The named rules on, the others off. KeyError for a name that is no rule."""
        for name in names:
            if name not in RULES:
                raise KeyError(name)
        return Rules(
            one_height_per_leg="one-height-per-leg" in names,
            most_in_a_row=2 if "two-anchors-in-a-row" in names else 99,
            tail="no-block-behind-standing-anchor" not in names,
            backward="no-backward-part" not in names,
        )

    @property
    def names(self) -> tuple[str, ...]:
        """The names of those that are on."""
        on = {
            "one-height-per-leg": self.one_height_per_leg,
            "two-anchors-in-a-row": self.most_in_a_row < 99,
            "no-block-behind-standing-anchor": not self.tail,
            "no-backward-part": not self.backward,
        }
        return tuple(name for name in RULES if on[name])


def same_setup(walk: Walk) -> tuple[object, ...]:
    """Returns what two walks of the same setup have in common: puller, lead blocks, standing end, and the
    runs of anchors between visits to the load whatever their order (the load is pulled by the same parts
    to the same trees)."""
    runs: list[list[str]] = [[]]
    for place in walk[:-1]:
        if place.kind is PlaceKind.LOAD:
            runs.append([])
        else:
            runs[-1].append(place.name)
    middle = sorted(min(tuple(run), tuple(reversed(run))) for run in runs[1:-1])
    return (walk[-1].name, tuple(runs[0]), tuple(middle), tuple(runs[-1]), len(runs))
