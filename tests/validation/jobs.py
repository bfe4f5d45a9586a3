"""Small site files for published numbers, and what a command answers to them: one answer serves many numbers.

Everything in them holds far more than it is given, and nothing jerks (dynamic factor 1), so that a load in
the answer is the load of statics. Far anchors stand so far off that the parts of a tackle lie side by side.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import cos, sin
from typing import Any

from tests.piped import answered

STRONG = "900 kN"
FAR = 200.0
"""m to a far anchor: the parts of a tackle are parallel to a millionth."""
HIGH = 0.5
"""m above the ground: hitch, strap and puller, where a line is to lie level."""


@cache
def _answered(text: str, command: str, options: tuple[str, ...]) -> dict[str, Any]:
    _, found = answered(text, command, *options)
    return dict(found)


@dataclass(slots=True)
class Counted:
    """How often an answer was looked at; the report sees by it which numbers come from a command."""

    answers: int = 0


counted = Counted()


def answer(text: str, command: str, *options: str) -> dict[str, Any]:
    """The JSON of a command for a site file with that text."""
    counted.answers += 1
    return _answered(text, command, options)


def rank(text: str, *options: str) -> list[dict[str, Any]]:
    """All setups that `rank` lists."""
    return list(answer(text, "rank", "--top", "60", *options)["setups"])


def setup(text: str, *reeving: str) -> dict[str, Any]:
    """The setup in which the rope goes just so, from the standing end to the puller."""
    ways = {tuple(found["reeving"]): found for found in rank(text)}
    assert reeving in ways, f"{reeving} is none of {list(ways)}"
    return ways[reeving]


def carried(found: dict[str, Any], name: str) -> float:
    """What the piece of that name carries at most, N."""
    return float(piece(found, name)["demand"])


def piece(found: dict[str, Any], name: str) -> dict[str, Any]:
    """The piece of that name."""
    pieces = {c["name"]: c for c in found["components"]}
    assert name in pieces, f"{name} is none of {list(pieces)}"
    return dict(pieces[name])


def leg(
    *, slope: float = 0.0, length: float = 0.2, resistance: float | str = 0.0, more: str = ""
) -> str:
    """One straight leg of the path from the origin; slope [rad], up positive."""
    x, z = length * cos(slope), length * sin(slope)
    ground = f'surface = "{resistance}"' if isinstance(resistance, str) else f"{resistance = }"
    return f'[[path.leg]]\nto = ["{x} m", "0 m", "{z} m"]\n{ground}\n{more}\n'


def load(
    weight: str, *, wheel: str | None = None, hitches: str | None = None, more: str = ""
) -> str:
    """The load; on skids, or on wheels of a radius."""
    rests = (
        'rests_on = "skids"' if wheel is None else f'rests_on = "wheels"\nwheel_radius = "{wheel}"'
    )
    return f"""
[load]
name = "load"
weight = "{weight}"
{rests}
length = "0.2 m"
overhang = "0.1 m"
{more}
{hitch("eye") if hitches is None else hitches}
"""


def hitch(name: str, *, ahead: float = 0.0, left: float = 0.0, height: float = HIGH) -> str:
    """A place on the load where a line holds."""
    return f"""[[load.hitch]]
name = "{name}"
ahead = "{ahead} m"
left = "{left} m"
height = "{height} m"
rating = "{STRONG}"
"""


def ring(name: str, x: float, y: float = 0.0, z: float = 0.0) -> str:
    """A ring that holds; z: of the line."""
    return f"""[[anchor]]
name = "{name}"
kind = "ring"
at = ["{x} m", "{y} m", "{z} m"]
rating = "{STRONG}"
strap_heights = ["{HIGH} m"]
"""


def engine(
    name: str, x: float, y: float, *, heading: float = 0.0, z: float = 0.0, pull: str = "200 kN"
) -> str:
    """Something that hauls a line at any angle to its run; heading [rad]."""
    return f"""[[puller]]
kind = "vehicle"
name = "{name}"
at = ["{x} m", "{y} m", "{z} m"]
heading = "{heading} rad"
angle_limit = "180 deg"
rise_limit = "90 deg"
run = "30 m"
pull = "{pull}"
weight = "40 t"
hitch_height = "{HIGH} m"
hitch_rating = "{STRONG}"
dynamic = 1.0
"""


def winch(anchor: str) -> str:
    """A hand winch made fast to a ring: what it pulls with comes from one point."""
    return f"""[[puller]]
kind = "hand winch"
name = "winch"
anchor = "{anchor}"
height = "{HIGH} m"
rating = "{STRONG}"
purchase = "60 m"
dynamic = 1.0
"""


def rope(length: float = 3000.0, *, more: str = 'rating = "900 kN"') -> str:
    """A line that holds."""
    return f"""[[gear]]
kind = "rope"
name = "line"
material = "polyester"
diameter = "12 mm"
{more}
length = "{length} m"
stretch_at_break = "10 %"
mass_per_length = "0.1 kg/m"
least_bend = 1.0
ends = ["eye-splice", "eye-splice"]
condition = "new"
"""


def blocks(eta: float | str, count: int = 8, *, sheave: str = "100 mm") -> str:
    """Snatch blocks that pass on `eta` of the pull."""
    return f"""[[gear]]
kind = "block"
name = "block"
opens = true
rope_least = "4 mm"
rope_most = "40 mm"
sheave_diameter = "{sheave}"
bearing = "plain"
length = "10 cm"
eye = "60 mm"
rating = "{STRONG}"
efficiency = {eta}
count = {count}
condition = "new"
"""


SHACKLES = f"""[[gear]]
kind = "shackle"
name = "shackle"
bow = "13 mm"
pin = "16 mm"
jaw = "22 mm"
length = "50 mm"
rating = "{STRONG}"
count = 20
condition = "new"
"""


def site(*parts: str, sheaves: int = 7, preferences: str = "") -> str:
    """A site file of legs, load, anchors, pullers and gear; any setup that holds is good enough."""
    return "\n".join(
        (
            'title = "published"\n[path]\nstart = ["0 m", "0 m", "0 m"]',
            *parts,
            f'[preferences]\nmost_sheaves = {sheaves}\nenough = 1.0\nclearance = "0 m"\n'
            f"side_pull_sliding = 1.0\nside_pull_rolling = 1.0\n{preferences}",
        )
    )


def tackle(
    eta: float | str,
    weight: str,
    *,
    sheaves: int = 7,
    pull: str = "2000 kN",
    gear: Sequence[str] = (),
) -> str:
    """A sledge as heavy to move as it weighs, a far ring, and what pulls beside it: every tackle from one
    part to `sheaves` + 1, the hauling part from the ring or from the load."""
    return site(
        leg(resistance=1.0, length=0.1),
        load(weight),
        ring("ring", FAR),
        engine("winch", FAR, 1.0, pull=pull),
        *(gear or (rope(), blocks(eta), SHACKLES)),
        sheaves=sheaves,
    )


def parts(text: str, count: int, *, from_load: bool = False) -> dict[str, Any]:
    """The tackle of `tackle` with so many parts at the load; `from_load`: the hauling part leaves the load,
    so that one sheave less is needed."""
    return next(
        found
        for found in rank(text)
        if found["parts"] == count and (found["reeving"][-2] == "load") is from_load
    )
