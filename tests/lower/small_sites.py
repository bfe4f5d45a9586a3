"""Small made-up sites by number, of every kind of way down."""

from dataclasses import replace

import numpy as np

from catalogue.gear import Rope
from optimiser.site.model import Owned, Site
from optimiser.site.rules import RULES
from tests.generated import Recipe, made_up, on_unknown_ground

RECIPES = (
    Recipe(trees=4, heights=2, sheaves=3, items=14, spacing=0.5),
    Recipe(
        trees=4, heights=1, sheaves=3, items=16, mixed=True, ropes=2, regime="anchor", spacing=0.5
    ),
    Recipe(trees=3, heights=1, sheaves=3, items=14, bridle=True, boulder=True, spacing=0.5),
    Recipe(trees=3, heights=2, sheaves=2, items=14, ranged=True, puller="hand winch", spacing=0.5),
    Recipe(trees=4, heights=1, sheaves=3, items=14, rough=True, unrated=("tree01", "strap0")),
    Recipe(trees=4, heights=2, sheaves=2, items=14, mirrored=True, puller="people", light=2.0),
    Recipe(trees=3, heights=2, sheaves=3, items=14, protected=True, spacing=0.5),
)
"""Sites small enough to go through quickly, of every kind."""
LOOSE = ("block0", "shackle0", "strap0", "rope0", "tree00", "tree01", "eye")
KINDS = ("plain", "edges", "edges", "bridle", "ranged", "rules", "mixed", "heights")
MATERIALS = ("polyester", "manila", "HMPE", "nylon", "jute")


def small_site(seed: int) -> Site:
    """A made-up site for letting down: as it is, with short ropes, or heavy on smooth ground."""
    site = made_up(RECIPES[seed % len(RECIPES)], seed)
    return (site, _short(site, 0.5), _heavy(site, 2.2))[seed // len(RECIPES) % 3]


def coarse_site(number: int) -> Site:
    """A site with few stations and walks, so that all of them can be tried: every kind of rope, holder,
    ground and path comes round, mixed by a seeded choice."""
    rng = np.random.default_rng((number, 11))

    def chance(share: float) -> bool:
        return bool(rng.uniform() < share)

    # What multiplies stations, walks or looks is not all had at once.
    kind = str(rng.choice(KINDS))
    loose = tuple(str(name) for name in rng.choice(LOOSE, 2, replace=False)) if chance(0.2) else ()
    off = tuple(str(rule) for rule in rng.choice(sorted(RULES), 2))
    site = made_up(
        Recipe(
            trees=2 if kind == "rules" else 3,
            heights=2 if kind == "heights" else 1,
            sheaves=2,
            items=int(rng.choice([10, 12])),
            regime=("easy", "puller", "anchor")[number % 3],
            ropes=2 if chance(0.4) else 1,
            spacing=2.0,
            mixed=kind == "mixed",
            puller=("vehicle", "people", "hand winch")[int(rng.integers(3))],
            mirrored=chance(0.2),
            bridle=kind == "bridle",
            wire=chance(0.2),
            boulder=chance(0.2) and kind != "edges",
            light=float(rng.choice([0.15, 0.4, 1.0])),
            protected=chance(0.8),
            rough=chance(0.3),
            unrated=loose,
            off=frozenset(off if kind == "rules" else ()),
            ranged=kind == "ranged",
        ),
        number,
    )
    if chance(0.3):
        site = _short(site, float(rng.uniform(0.2, 0.6)))
    if chance(0.3):
        site = _heavy(site, float(rng.uniform(1.0, 3.0)))
    fibre = MATERIALS[int(rng.integers(len(MATERIALS)))]
    site = replace(site, gear=tuple(_of(fibre, piece) for piece in site.gear))
    preferences = replace(
        site.preferences,
        enough=float(rng.choice([1.5, 2.0, 3.0])),
        margin_wanted=float(rng.choice([0.5, 1.0])),
        resistance_counted_on=float(rng.choice([0.5, 0.8])),
    )
    site = replace(site, preferences=preferences)
    if kind != "edges":
        site = on_unknown_ground(site)
    site = _falling(site) if chance(0.2) else site
    return _resting(site, int(rng.integers(3))) if chance(0.3) else site


def _short(site: Site, share: float) -> Site:
    short = (replace(p, length=p.length * share) if p.length else p for p in site.gear)
    return replace(site, gear=tuple(short))


def _heavy(site: Site, times: float) -> Site:
    """Heavier on smoother ground."""
    legs = (
        replace(leg, resistance=leg.resistance / 3, resistance_low=leg.resistance_low / 3)
        for leg in site.legs
    )
    heavy = replace(site.load, weight=site.load.weight * times)
    return replace(site, load=heavy, legs=tuple(legs))


def _resting(site: Site, number: int) -> Site:
    """One leg so rough that the load rests there."""
    legs = list(site.legs)
    legs[number] = replace(legs[number], resistance=1.5, resistance_low=1.2)
    return replace(site, legs=tuple(legs))


def _of(fibre: str, piece: Owned) -> Owned:
    """The last rope of another fibre."""
    if not isinstance(piece.gear, Rope) or piece.gear.material == "wire":
        return piece
    return replace(piece, gear=replace(piece.gear, material=fibre))


def _falling(site: Site) -> Site:
    """The same path from its other end: the file has it from the top, and what takes the load is behind."""
    legs = tuple(replace(leg, start=leg.end, end=leg.start) for leg in site.legs[::-1])
    hitches = tuple(replace(h, ahead=-h.ahead) for h in site.load.hitches)
    return replace(site, legs=legs, load=replace(site.load, hitches=hitches))
