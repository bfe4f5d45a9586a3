"""How anchors are made, in words and minutes, for the sheet and the lists: pickets, buried logs, vehicles."""

from math import pi

from optimiser.mechanics.anchor.anchorage import groups
from optimiser.mechanics.published import number, row, tables
from optimiser.site.model import Making

AT_THE_GROUND = 0.1
"""m: height of the strap on pickets, and of the line where it comes out of a buried log's trench."""
TRENCH = 0.3
"""m: width of the line's trench (its share of the log's bearing is published, the width is a choice)."""
_WORDS = {1: "one picket", 2: "two pickets", 3: "three pickets"}


def _picket(steel: bool, column: str) -> float:
    kinds: list[str] = tables("anchorage")["picket_size"]["kinds"]
    return row("anchorage", "picket_size", column)[kinds.index("steel" if steel else "wood")]


def girth_of_pickets(*, system: str, steel: bool) -> float:
    """What a strap goes round, m: the front group, its pickets side by side."""
    thick = _picket(steel, "thicknesses")
    return (pi + 2.0 * (groups(system)[0] - 1)) * thick


def holdfast(*, system: str, steel: bool) -> Making:
    """How a picket holdfast is made."""
    each, count = groups(system), sum(groups(system))
    long, thick = _picket(steel, "lengths"), _picket(steel, "thicknesses")
    deep, apart, lean = (_picket(steel, c) for c in ("depths", "spacings", "leans"))
    what = "steel" if steel else "wooden"
    noun = "picket" if count == 1 else "pickets"
    pieces = [(count, f"{what} {noun}, {long:.2g} m by {1000 * thick:.0f} mm")]
    first = _WORDS[each[0]] + (" side by side, lashed together" if each[0] > 1 else "")
    steps = [
        f"drive {first}, {deep:.2g} m deep, leaned {lean:.0f}° away from the pull; undug ground only"
    ]
    if len(each) > 1:
        pieces.append((len(each) - 1, "lashing rope of 6 m with a stake to twist it"))
        rest = ", then ".join(_WORDS[group] for group in each[1:])
        steps.append(
            f"behind it, in line with the pull, drive {rest}, each {apart:.2g} m to "
            f"{2 * apart:.2g} m further back, as deep and leaned alike"
        )
        steps.append(
            "lash the head of each group to the foot of the one behind it, four to six turns; twist the "
            "lashing tight with a stake and drive the stake in"
        )
    steps.append("put the strap round the front group at the ground")
    return Making(
        pieces=tuple(pieces),
        minutes=count * number("anchorage", "picket_minutes").value,
        steps=tuple(steps),
    )


def deadman(*, diameter: float, length: float, depth: float, run: float) -> Making:
    """How a log is buried."""
    hole = length * 2.0 * diameter * (depth + diameter / 2.0)
    trench = TRENCH * depth * depth * run / 2.0
    by_two = 2.0 * number("anchorage", "digging").value
    return Making(
        pieces=(
            (1, f"log, {length:.2f} m long and {1000 * diameter:.0f} mm thick, green and sound"),
            (1, "sling or chain round its middle, to reach the ground along the trench"),
            (1, "short log or plank for the mouth of the trench"),
        ),
        minutes=60.0 * (hole + trench) / by_two,
        steps=(
            f"dig a hole square to the pull, {length:.2f} m long, for the log's middle to lie "
            f"{depth:.2f} m deep; undercut the side towards the pull by 15°, and leave that side undug",
            f"cut a narrow trench from the middle of the log towards the pull, rising 1 in {run:g}",
            "lay the sling round the middle of the log so that it pulls from its underside, lead it up the "
            "trench, and put the short log under it at the mouth",
            "fill the hole and tread it down in layers",
        ),
    )


def vehicle(*, chocked: str) -> Making:
    """How a vehicle is parked as an anchor."""
    return Making(
        pieces=((4, "chocks, one before each wheel"),),
        minutes=10.0,
        steps=(
            "park the vehicle in line with the pull, in gear, with the hand brake on",
            f"chock {chocked} on the side towards the pull, as high as a third of the wheel; nobody in it",
        ),
    )
