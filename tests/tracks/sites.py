"""Small made-up sites by number, whose first puller may stand anywhere along a track or in an area."""

from dataclasses import replace
from math import cos, pi, sin

import numpy as np

from optimiser.mechanics.values import Vec
from optimiser.site.model import Obstacle, Puller, Site
from optimiser.site.roaming.rooms import Area, Body, Room, Track
from optimiser.site.roaming.stands import stands
from tests.generated import made_up
from tests.search.sites import recipe

RECIPES = {"sheaves": 2, "heights": 1, "trees": 3, "pullers": 1}
"""What keeps the enumeration short, which is repeated for every stand."""


def site(number: int) -> Site:
    """A site of every kind of the search's own that has no winch, with room for the puller."""
    rng = np.random.default_rng((number, 53))
    kind = recipe(number)
    who = "vehicle" if kind.puller == "hand winch" else kind.puller
    plain = made_up(replace(kind, puller=who, **RECIPES), number)  # type: ignore[arg-type]
    if number % 2:
        # Nothing lies there to run over, so that stands share tables; nor is the ground in the way.
        legs = tuple(replace(leg, edge_protected=False) for leg in plain.legs)
        plain = replace(
            plain, legs=legs, preferences=replace(plain.preferences, ground_known_within=-1.0)
        )
    puller = plain.pullers[0]
    top = plain.legs[-1].end
    room = _area(rng, puller, top) if number % 3 == 2 else _track(rng, puller, top)
    post = Obstacle(
        name="post in the lane", position=(*_between(room, rng), top[2]), radius=0.1, top=1.0
    )
    posts = (*plain.obstacles, post) if rng.uniform() < 0.3 else plain.obstacles
    roaming = replace(puller, room=room, body=room.body)
    found = replace(plain, pullers=(roaming,), obstacles=posts)
    able = stands(found, roaming)
    return replace(found, pullers=able[:1]) if able else replace(found, pullers=(puller,))


def _body(rng: np.random.Generator) -> Body:
    return Body(
        length=float(rng.choice([0.0, 3.0])), width=float(rng.choice([0.6, 2.0])),
        run=float(rng.choice([6.0, 40.0])),
    )  # fmt: skip


def _track(rng: np.random.Generator, puller: Puller, top: Vec) -> Room:
    """A lane with a bend past where the puller of the plain site stands."""
    side = 1.0 if puller.position[1] > 0.0 else -1.0
    lean, rise = rng.uniform(-0.6, 0.6), float(rng.uniform(-0.5, 0.8))
    first = (top[0] + float(rng.uniform(-1.0, 4.0)), side * 4.0, top[2])
    bend = (first[0] + 6.0 * sin(lean), side * (4.0 + 8.0 * cos(lean)), top[2] + rise * 0.3)
    more = lean + float(rng.uniform(-0.4, 0.4))
    last = (bend[0] + 14.0 * sin(more), bend[1] + side * 14.0 * cos(more), bend[2] + rise)
    points = (first, bend, last) if rng.uniform() < 0.5 else (last, bend, first)
    body = _body(rng)
    return Track(
        points=points, width=body.width + float(rng.choice([0.0, 1.5])),
        spacing=float(rng.choice([3.0, 5.0])), free=bool(rng.uniform() < 0.15), body=body,
    )  # fmt: skip


def _area(rng: np.random.Generator, puller: Puller, top: Vec) -> Room:
    """Four corners on one plane."""
    side = 1.0 if puller.position[1] > 0.0 else -1.0
    gx, gy = rng.uniform(-0.05, 0.05, 2)
    turn = float(rng.uniform(0.0, pi))
    middle = (top[0] + 4.0, side * 11.0)
    flat = [(-6.0, -5.0), (6.0, -5.0), (7.0, 6.0), (-5.0, 5.0)]
    corners = []
    for u, v in flat:
        x, y = cos(turn) * u - sin(turn) * v, sin(turn) * u + cos(turn) * v
        corners.append((middle[0] + x, middle[1] + y, top[2] + float(gx * x + gy * y)))
    return Area(points=tuple(corners), spacing=4.0, body=_body(rng))


def _between(room: Room, rng: np.random.Generator) -> tuple[float, float]:
    a, b = room.points[:2]
    share = float(rng.uniform(0.3, 0.7))
    return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
