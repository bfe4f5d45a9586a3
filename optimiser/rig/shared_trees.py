"""States how a sling hangs between two trees that share a pull: how far its legs spread, what they carry."""

from collections.abc import Iterator
from math import degrees, radians

import numpy as np

from optimiser.mechanics.anchor.shackle_at_rest import even_share
from optimiser.mechanics.published import number
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.loads import strap_force, worst
from optimiser.rig.gear.row import RigRow
from optimiser.rig.setup import SLING, Slung, ToMake
from optimiser.site.model import Making
from shared.units import Dimension, Rounding, show

TYING = 10.0
"""min for two people to tie a sling and hang the shackle on it (choice)."""


def tied(filled: Filled) -> tuple[ToMake, ...]:
    """The sling between two trees that a rig hangs on; nothing where it hangs on none."""
    row = filled.variant.row
    if not row.slung:
        return ()
    place = row.numbers[row.slung[0]]
    anchor, hanging = row.anchor_at(place), filled.straps[place]
    sling = anchor.sling
    assert sling is not None
    least, most, even = _spread(row)
    pull = row.joint(row.slung).value
    alone = []
    for name, lever in zip(sling.trees, sling.levers, strict=True):
        stands = row.scene.site.anchor(name).strength.capacity
        alone.append(None if stands is None or pull <= 0.0 else stands / (pull * lever))
    slung = Slung(
        trees=sling.trees,
        rope=hanging.piece.name,
        how=hanging.how.removeprefix(SLING),
        height=anchor.heights[0],
        legs=sling.legs,
        angle=sling.angle,
        angle_least=least,
        angle_most=most,
        pull=pull,
        even=even,
        tighter=worst(row, strap_force(row, place)).value,
        alone=(alone[0], alone[1]),
    )
    in_words = tuple(steps(slung, row.scene.site.preferences.units))
    making = Making(pieces=(), minutes=TYING, steps=in_words)
    return (
        ToMake(
            anchor=anchor.name, making=making, way=None, faces="", spread=0.0, rise=0.0, slung=slung
        ),
    )


def _spread(row: RigRow) -> tuple[float, float, float]:
    """The least and the greatest angle between the legs with the shackle at rest, rad, and the most that
    each carries where both carry the same, N, with the dynamic factor."""
    ev, rows = row.corners
    at = ev.slung
    assert at is not None
    rest = slice(rows.start + (rows.stop - rows.start) // 2, rows.stop)
    place = np.moveaxis(at.place[:, rest], 0, -1)
    legs = [np.array(tie) - place for tie in at.sling.ties]
    one, other = (leg / np.linalg.norm(leg, axis=-1)[..., None] for leg in legs)
    angle = np.arccos(np.clip((one * other).sum(axis=-1), -1.0, 1.0))
    force = ev.node_force[at.node][:, rest] * ev.pull[rest]
    size = np.sqrt((force**2).sum(axis=0)) * row.dynamic
    tension = size * even_share(angle=angle)
    return float(angle.min()), float(angle.max()), float(tension.max())


def steps(made: Slung, system: str) -> Iterator[str]:
    """How the sling is tied, and what it carries, step by step."""
    one, other = made.trees
    up = show(made.height, Dimension.LENGTH, system)
    long = show(made.legs, Dimension.LENGTH, system)
    half = show(made.legs / 2.0, Dimension.LENGTH, system)
    yield (
        f"Tie {made.rope} as a sling between {one} and {other}, {up} up on both: {made.how}. Put the bow of "
        "the shackle on it before the second end is tied; the pin carries the block or the rope's end."
    )
    yield (
        f"From the middle of one trunk over the shackle to the middle of the other it is {long} long; pulled "
        f"in the middle, {half} to each trunk. Where it is shorter, the legs spread more and carry more."
    )
    yield (
        f"{carries(made, system)} The shackle must run freely: hang nothing else on the sling, and nothing "
        "on either tree."
    )


def carries(made: Slung, system: str) -> str:
    """What the legs carry, and why, in words."""
    even = show(made.even, Dimension.FORCE, system, Rounding.UP)
    most = show(made.tighter, Dimension.FORCE, system, Rounding.UP)
    pull = show(made.pull, Dimension.FORCE, system, Rounding.UP)
    return (
        f"Under load the legs are {spread(made)} apart. Of {pull} each carries {even} where both carry the "
        f"same, and up to {most} where the bow rubs and one is tighter: sling and trees are planned for that."
    )


def is_wide(made: Slung) -> bool:
    """Whether the legs spread so far that it is worth a caution."""
    return made.angle > number("shared", "angle_caution").value + radians(0.5)


def spread(made: Slung) -> str:
    """The angles between the legs, "57° to 60°"."""
    ends = dict.fromkeys(f"{degrees(a):.0f}°" for a in (made.angle_least, made.angle_most))
    return " to ".join(ends)
