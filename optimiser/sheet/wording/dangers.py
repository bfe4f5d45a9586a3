"""Words for where nobody stands."""

from optimiser.rig.edge_words import where
from optimiser.rig.ground import keepout
from optimiser.rig.setup import names
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.hands import hand_of
from optimiser.sheet.wording.letters import at, length, spot
from shared.units import Rounding


def keep_out(
    drawn: Drawn, upto: float | None, onward: tuple[float, float] | None = None
) -> tuple[str, ...]:
    """The keep-out areas. `upto`: how far up the path the load can run back from, m; None: nowhere.
    `onward`: from where to where it would run on downhill, m."""
    found = drawn.areas
    turns = [at(drawn, a.about[0]) for a in found if a.danger is keepout.Danger.BIGHT]
    lanes = [a.reach for a in found if a.danger is keepout.Danger.RECOIL]
    out = []
    if turns:
        out.append(f"Inside the angle of the rope: {'; '.join(dict.fromkeys(turns))}.")
    for anchor in drawn.shown_anchors:
        if anchor.sling is not None:
            one, two = anchor.sling.trees
            out.append(
                f"Between {one} and {two}, inside the legs of their sling, and in line with either leg: "
                "where one gives, all of it springs to the other."
            )
    if lanes:
        wide, reach = length(drawn, keepout.LANE), length(drawn, max(lanes), Rounding.UP)
        whose = "the rope" if len(drawn.ropes) == 1 else "any of the ropes"
        out.append(
            f"In line with any part of {whose}, {wide} to either side, and beyond its ends as far as "
            f"the part is long: up to {reach}, further than the drawing shows."
        )
    if upto is not None:
        wide, top = length(drawn, keepout.CORRIDOR), length(drawn, upto)
        runs = "run away" if drawn.downward else "run back"
        out.append(
            f"Below the load, {wide} to either side of its path and on beyond the foot of it: it can "
            f"{runs} from anywhere up to {top}."
        )
    if onward is not None:
        wide = length(drawn, keepout.CORRIDOR)
        a, b = (length(drawn, value) for value in onward)
        out.append(
            f"Ahead of the load, {wide} to either side of its path and on beyond the end of it: it can "
            f"run on downhill from {a} to {b}."
        )
    if drawn.edges:
        places = dict.fromkeys(where(edge, drawn.site.preferences.units) for edge in drawn.edges)
        out.append(
            f"At {names(list(places))} once the line is tight: what lies there can jump out, and is dragged "
            "along by the rope."
        )
    for rope in drawn.ropes:
        if rope.turns:
            out.append(
                f"Whoever holds the {rope.called} is the only one near {spot(drawn, rope.walk[-1])}."
            )
    return tuple(out)


def badly_placed(drawn: Drawn) -> tuple[str, ...]:
    """The hands for which no place behind the trunk is clear of the keep-out areas."""
    return tuple(
        f"No place found behind {spot(drawn, rope.walk[-1])} is clear of every hatched area: whoever "
        f"holds the {rope.called} stands further off on a longer tail, or take another setup"
        for rope in drawn.ropes
        if rope.turns and not hand_of(drawn, rope).clear
    )
