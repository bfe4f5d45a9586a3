"""Made-up site files, and the rig of an answer as the physics engine takes it. Invented data."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from random import Random
from typing import Any

import numpy as np

from tests.physics.engine import GRAVITY, Array, Rigged, Rope

HEIGHT = 0.1
"""m above the ground of every hitch, ring and winch."""
LAID = 0.05
"""m from the ground to the rope on what lies on an edge."""
BLOCKS = ("snatch-100-roller", "snatch-100-bronze", "snatch-100-plain")


@dataclass(frozen=True)
class Kind:
    """What a made-up site has more than a path, rings and one rope."""

    name: str
    legs: int
    edges: bool = False
    two_ropes: bool = False


KINDS = (
    Kind("one slope", 1),
    Kind("slopes one after the other", 3),
    Kind("over an edge", 2, edges=True),
    Kind("two ropes", 1, two_ropes=True),
)


def site_of(number: int) -> tuple[Kind, str]:
    """The site file with that number, and its kind: they take turns."""
    kind, draw = KINDS[number % len(KINDS)], Random(number)
    legs, x, y, z = [], 0.0, 0.0, 0.0
    slopes = sorted(draw.uniform(0.05, 0.6) for _ in range(kind.legs))
    for leg, slope in enumerate(slopes):
        last = leg == kind.legs - 1
        run = draw.uniform(3.0, 6.0) if not (kind.edges and last) else 0.4
        steep = 0.0 if kind.edges and last else slope
        x, z = x + run, z + run * steep
        y += 0.0 if kind.edges else draw.uniform(-0.08, 0.08) * run
        legs.append((x, y, z, draw.uniform(0.1, 0.6)))
    rings = []
    for name in ("near ring", "far ring", "side ring")[: 2 if kind.two_ropes else 3]:
        ahead, aside = draw.uniform(6.0, 16.0), draw.uniform(-4.0, 4.0)
        rise = steep + draw.uniform(0.03, 0.1)
        rings.append((name, x + ahead, y + aside, z + rise * ahead))
    ahead, aside = draw.uniform(4.0, 9.0), draw.choice((-1, 1)) * draw.uniform(4.0, 9.0)
    winch = (x + ahead, y + aside, z + (0.06 if kind.edges else steep + 0.05) * ahead)
    blocks = draw.sample(BLOCKS, 2)
    return kind, "\n".join(
        (
            f'title = "{kind.name}, {number}"\n[path]\nstart = ["0 m", "0 m", "0 m"]',
            *(f"[[path.leg]]\nto = {_at(*leg[:3])}\nresistance = {leg[3]:.3f}" for leg in legs),
            f"""
[load]
name = "crate"
weight = "{draw.uniform(500, 1500):.1f} kg"
rests_on = "skids"
length = "0.4 m"
overhang = "0.1 m"
[[load.hitch]]
name = "eye"
ahead = "0 m"
left = "0 m"
height = "{HEIGHT} m"
rating = "90 kN"
""",
            *(
                f'[[anchor]]\nname = "{name}"\nkind = "ring"\nat = {_at(*at)}\nrating = "90 kN"\n'
                f'strap_heights = ["{HEIGHT} m"]'
                for name, *at in (*rings, ("post", *winch))
            ),
            f"""
[[puller]]
kind = "hand winch"
name = "winch"
anchor = "post"
height = "{HEIGHT} m"
rating = "{3 if kind.two_ropes else 4} kN"
purchase = "60 m"
dynamic = 1.0
""",
            *(
                f'[[gear]]\nid = "polyester-16"\nname = "{name} rope"\nlength = "{length} m"\n'
                'ends = ["bare", "bare"]\ncondition = "new"'
                for name, length in _ropes(kind)
            ),
            *(f'[[gear]]\nid = "{block}"\ncount = 2\ncondition = "new"' for block in blocks),
            '[[gear]]\nid = "shackle-16"\ncount = 8\ncondition = "new"',
            _POLE if kind.edges else "",
            "[preferences]\nmargin_wanted = 1.0\nenough = 2",
        )
    )


_POLE = f"""
[[gear]]
kind = "protector"
name = "pole"
surface = "steel tube"
clearance = "{LAID} m"
bend_radius = "60 mm"
length = "2 m"
covers = "2 m"
friction = 0.25
count = 6
"""
EDGE_FRICTION = 0.25


def _ropes(kind: Kind) -> tuple[tuple[str, int], ...]:
    return (("long", 45), ("short", 60)) if kind.two_ropes else (("long", 150),)


def _at(*values: float) -> str:
    return "[" + ", ".join(f'"{value:.3f} m"' for value in values) + "]"


def rigged(site: str, setup: Mapping[str, Any], at: float) -> Rigged:
    """The rig of a setup's JSON as the engine takes it, with the load `at` m of the path. Places, weight,
    friction come from the site file; the answer says where the ropes lead, over which edges, and what each
    block is."""
    file = tomllib.loads(site)
    legs = file["path"]["leg"]
    corners = [_point(file["path"]["start"]), *(_point(leg["to"]) for leg in legs)]
    start, along, friction = _leg(corners, legs, at)
    points = {f"{a['name']}@0.1 m": _point(a["at"]) + _up(HEIGHT) for a in file["anchor"]}
    points["winch"] = points.pop("post@0.1 m")
    points["load"] = start + _up(HEIGHT)
    touched = [c for c in setup["contacts"] if c["load_from_m"] <= at <= c["load_to_m"]]
    crests = [(c["part"], _leg(corners, legs, c["from_m"])[0] + _up(LAID)) for c in touched]
    ropes, part = [], 0
    for line in setup.get("lines") or [setup]:
        ropes.append(_rope(line, points, crests, part))
        part += len(line["reeving"]) - 1
    grip = None
    if len(ropes) > 1:
        grip = 0.5 * (points[ropes[0].places[-2]] + points[ropes[1].places[0]])
    used = {place for rope in ropes for place in rope.places} - {"load"}
    return Rigged(
        start=start, along=along, above=HEIGHT, friction=friction,
        weight=float(file["load"]["weight"].split()[0]) * GRAVITY,
        points={name: point for name, point in points.items() if name in used},
        ropes=tuple(ropes), edge_friction=EDGE_FRICTION, grip_at=grip,
    )  # fmt: skip


def _rope(
    line: Mapping[str, Any], points: dict[str, Array], crests: list[tuple[int, Array]], before: int
) -> Rope:
    """One rope, with `before` parts of line before its own. Where a part runs over an edge there is one more
    place, which comes to the `points`."""
    places, etas = [line["reeving"][0]], list[float | None]()
    turns = [*line["sheave_efficiencies"], None]
    for k, (turn, place) in enumerate(zip(turns, line["reeving"][1:], strict=True)):
        one = places[-1]
        over = [crest for part, crest in crests if part == before + k + 1]
        over.sort(key=lambda crest: abs(crest[0] - points[one][0]))
        for number, crest in enumerate(over):
            name = f"edge {before + k + 1}.{number}"
            points[name] = _between(points[one], points[place], crest)
            places.append(name)
            etas.append(None)
        places.append(place)
        if turn is not None:
            etas.append(turn)
    return Rope(tuple(places), tuple(etas))


def _between(one: Array, two: Array, crest: Array) -> Array:
    """Where the line between two points, seen from above, comes over the edge through `crest` along y. There
    something keeps it from shifting along the edge."""
    share = (crest[0] - one[0]) / (two[0] - one[0])
    return np.array((crest[0], one[1] + share * (two[1] - one[1]), crest[2]))


def _leg(corners: list[Array], legs: list[Any], at: float) -> tuple[Array, Array, float]:
    """Where the load is, which way it goes, friction of the ground."""
    for one, two, leg in zip(corners, corners[1:], legs, strict=False):
        long = float(np.linalg.norm(two - one))
        if at < long or leg is legs[-1]:
            along = (two - one) / long
            return one + at * along, along, float(leg["resistance"])
        at -= long
    raise AssertionError("a path without legs")


def _up(height: float) -> Array:
    return np.array((0.0, 0.0, height))


def _point(texts: list[str]) -> Array:
    return np.array([_m(text) for text in texts])


def _m(text: str) -> float:
    value, unit = text.split()
    assert unit == "m", text
    return float(value)
