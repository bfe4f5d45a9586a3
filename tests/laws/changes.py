"""What may be changed on a bank, and what must then become of the answer.

Each law takes a document and a generator and returns the changed document, None where the bank has nothing to
change. `EASIER` never lowers the best margin, `HARDER` and `TILTED` never raise it, `SAME` and `SCALED` leave
the list.
"""

from collections.abc import Callable, Iterator
from copy import deepcopy
from math import cos, degrees, pi, radians, sin
from random import Random
from typing import Any

from tests.laws.banks import Document, metres

Law = Callable[[Random, Document], Document | None]


def scaled(text: str, factor: float) -> str:
    """An amount as it is written, times a factor."""
    number, unit = text.split(" ", 1)
    return f"{float(number) * factor:.12g} {unit}"


# ---- harder -------------------------------------------------------------------------------------


def heavier(rng: Random, document: Document) -> Document | None:
    document["load"]["weight"] = scaled(document["load"]["weight"], rng.uniform(1.0, 1.6))
    return document


def rougher(rng: Random, document: Document) -> Document | None:
    """More resistance on one leg of the path."""
    leg, factor = rng.choice(document["path"]["leg"]), rng.uniform(1.0, 1.8)
    if isinstance(leg["resistance"], str):
        low, high = (float(end) for end in leg["resistance"].split(".."))
        leg["resistance"] = f"{low * factor:.6f}..{high * factor:.6f}"
    else:
        leg["resistance"] *= factor
    return document


def stuck_faster(rng: Random, document: Document) -> Document | None:
    leg = document["path"]["leg"][0]
    if "breakout" not in leg:
        return None
    leg["breakout"] *= rng.uniform(1.0, 1.5)
    return document


def higher_step(rng: Random, document: Document) -> Document | None:
    leg = document["path"]["leg"][1]
    if "step" not in leg:
        return None
    leg["step"] = scaled(leg["step"], rng.uniform(1.0, 1.6))
    return document


# ---- easier -------------------------------------------------------------------------------------


def stronger_piece(rng: Random, document: Document) -> Document | None:
    """One thing of the site with a higher rating: a piece, a hitch point, the post, a puller's hitch."""
    able = [
        (thing, key)
        for thing in (
            *document["gear"], *document["load"]["hitch"], *document["anchor"], *document["puller"]
        )
        for key in ("rating", "breaking_strength", "hitch_rating")
        if key in thing
    ]  # fmt: skip
    thing, key = rng.choice(able)
    thing[key] = scaled(thing[key], rng.uniform(1.0, 3.0))
    return document


def more_pull(rng: Random, document: Document) -> Document | None:
    puller = rng.choice(document["puller"])
    puller["pull"] = scaled(puller["pull"], rng.uniform(1.0, 1.6))
    return document


def longer_rope(rng: Random, document: Document) -> Document | None:
    able = [p for p in document["gear"] if p.get("kind") == "rope" and p["name"] != "sling rope"]
    piece = rng.choice(able)
    piece["length"] = scaled(piece["length"], rng.uniform(1.0, 2.0))
    return document


def one_more(rng: Random, document: Document) -> Document | None:
    """One more of a kind. A rope counts once, so it is another of the same."""
    piece = rng.choice(document["gear"])
    if piece.get("kind") == "rope":
        document["gear"].append({**piece, "name": "further rope"})
    else:
        piece["count"] = piece.get("count", 1) + 1
    return document


def a_further_piece(rng: Random, document: Document) -> Document | None:
    """One more piece, like one of those that are there but with another rating or length."""
    piece = deepcopy(rng.choice([p for p in document["gear"] if "rating" in p]))
    piece |= {
        "name": "further piece",
        "count": 1,
        "rating": scaled(piece["rating"], rng.uniform(0.3, 3.0)),
    }
    if piece["kind"] == "strap":
        piece["length"] = scaled(piece["length"], rng.uniform(0.5, 1.8))
    document["gear"].append(piece)
    return document


# ---- the same -----------------------------------------------------------------------------------


def points_of(value: Any) -> Iterator[list[str]]:
    """Every point of a document."""
    if isinstance(value, dict):
        for inner in value.values():
            yield from points_of(inner)
    elif isinstance(value, list):
        if len(value) == 3 and all(isinstance(v, str) and v.endswith(" m") for v in value):
            yield value
        else:
            for inner in value:
                yield from points_of(inner)


def _moved(
    document: Document, place: Callable[[float, float, float], tuple[float, float, float]],
    heading: Callable[[float], float],
) -> Document:  # fmt: skip
    for one in points_of(document):
        x, y, z = (float(part.split()[0]) for part in one)
        one[:] = [f"{value:.13f} m" for value in place(x, y, z)]
    for puller in document["puller"]:
        if "heading" in puller:
            turned = heading(radians(float(puller["heading"].split()[0])))
            puller["heading"] = f"{degrees(turned):.12f} deg"
    return document


def mirrored(_rng: Random, document: Document) -> Document | None:
    """In the plane of the path: what lay to the left lies to the right."""
    for hitch in document["load"]["hitch"]:
        hitch["left"] = scaled(hitch["left"], -1.0)
    return _moved(document, lambda x, y, z: (x, -y, z), lambda angle: -angle)


def turned_and_shifted(rng: Random, document: Document) -> Document | None:
    angle = rng.uniform(-pi, pi)
    a, b, up = (rng.uniform(-500.0, 500.0) for _ in range(3))
    c, s = cos(angle), sin(angle)
    return _moved(
        document,
        lambda x, y, z: (c * x - s * y + a, s * x + c * y + b, z + up),
        lambda t: t + angle,
    )


def reordered(rng: Random, document: Document) -> Document | None:
    for key in ("tree", "anchor", "puller", "gear", "pair"):
        if key in document:
            rng.shuffle(document[key])
    rng.shuffle(document["load"]["hitch"])
    rng.shuffle(document["preferences"]["knots"])
    return document


NAMES = ("oak", "ash", "birch", "alder", "stout post", "tractor", "wire puller", "meadow")
NEW_NAMES = ("zz tree", "b tree", "q tree", "a tree", "9 post", "bee", "wasp", "field")


def renamed(_rng: Random, document: Document) -> Document | None:
    """Every place and puller by another name; the list is compared by the old ones (`by_old_names`)."""

    def other(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: other(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [other(inner) for inner in value]
        return NEW_NAMES[NAMES.index(value)] if value in NAMES else value

    return dict(other(document))


def by_old_names(text: str) -> str:
    """A text with the places' old names."""
    for old, new in zip(NAMES, NEW_NAMES, strict=True):
        text = text.replace(new, old)
    return text


_FORCES = ("weight", "rating", "pull", "breaking_strength", "hitch_rating")
_LENGTHS = (
    "wheel_radius", "length", "overhang", "ahead", "left", "height", "eye", "girth", "top", "run",
    "hitch_height", "hitch_eye", "diameter", "rope_least", "rope_most", "sheave_diameter", "bow",
    "pin", "jaw", "width", "clearance", "rope_spare", "bridle_leg", "step", "purchase",
)  # fmt: skip


def stated_only(document: Document) -> Document | None:
    """The bank with posts in place of its trees, so that every strength stands in the file. None where
    something is made of pickets, or laid, whose strength or size comes from tables."""
    if {"made", "pair"} & set(document) or any("id" in piece for piece in document["gear"]):
        return None
    post = document["anchor"][0]
    for tree in document.pop("tree"):
        height = float(tree["strap_heights"][0].split()[0])
        document["anchor"].append(
            {**post, "name": tree["name"], "at": tree["at"], "strap_heights": [metres(height)]}
        )
    return document


def _all_times(document: Document, keys: tuple[str, ...], factor: float) -> Document:
    for value in document.values():
        for thing in value if isinstance(value, list) else [value]:
            if isinstance(thing, dict):
                _all_times(thing, keys, factor)
    for key in set(keys) & set(document):
        if isinstance(document[key], str) and document[key][0] in "-0123456789":
            document[key] = scaled(document[key], factor)
    return document


def all_forces(rng: Random, document: Document) -> Document | None:
    """Statics is linear: every weight, pull and rating times the same."""
    return _all_times(document, _FORCES, rng.uniform(0.2, 5.0))


def all_lengths(rng: Random, document: Document) -> Document | None:
    """Every length times the same, ropes and shackles too, within what gear there is. Nothing is stuck:
    what comes loose does so over a metre, whatever the size of all else. No puller may choose its spot:
    how far it can go from there is rounded down to decimetres."""
    if any("breakout" in leg for leg in document["path"]["leg"]):
        return None
    if any("track" in puller for puller in document["puller"]):
        return None
    factor = rng.uniform(0.8, 1.25)
    for one in points_of(document):
        one[:] = [scaled(part, factor) for part in one]
    for anchor in document["anchor"]:
        anchor["strap_heights"] = [scaled(height, factor) for height in anchor["strap_heights"]]
    return _all_times(document, _LENGTHS, factor)


# ---- steeper ------------------------------------------------------------------------------------

MOST_TILT = radians(7.0)
WIDE = "80 deg"


def without_limits(document: Document) -> Document | None:
    """The bank with pullers that may pull upwards and aside. None where one may choose its spot: spots are
    as far apart as they are seen from above, so a tilt moves them."""
    if any("track" in puller for puller in document["puller"]):
        return None
    for puller in document["puller"]:
        if puller["kind"] == "vehicle":
            puller["rise_limit"] = puller["angle_limit"] = WIDE
    return document


def steeper(rng: Random, document: Document) -> Document | None:
    """The whole bank tilted about a level axis across its path, the places of straps and hitches with it, so
    that lines and path keep their angles to one another and only the weight pulls otherwise.

    The pull needed is W (sin + c cos) / (g.t + c g.n): a tilt d adds a share d (cos - c sin) / (sin + c cos)
    or more; the ground bears less; over a step sin (r - h) + cos q grows below tan = (r - h) / q, 48° for the
    highest step here. What is left of a stated pull on a line that rises at s is 1 / (1 + sin s), and a tilt
    lets a line back to the bank rise by up to d less: that gains less than the load loses while
    tan < (1 - c) / (1 + c), some 30° here. A vehicle that goes back on its run would stand less steeply and
    pull more, so that there is none. Nothing of the kind holds where the slope alone changes: the load
    then comes nearer to the height of a strap, or its line to the way it goes. Trees stay upright when the
    ground is tilted, so that their levers change: anchors are rated ones.
    """
    angle = rng.uniform(0.0, MOST_TILT)
    c, s = cos(angle), sin(angle)

    def tilt(point: list[str], up: float) -> None:
        """So that what stands so far above a point is where the tilt takes it."""
        x, y, z = (float(part.split()[0]) for part in point)
        z += up
        new = (c * x - s * z, y, s * x + c * z - up)
        point[:] = [f"{value:.13f} m" for value in new]

    hitch = float(document["load"]["hitch"][0]["height"].split()[0])
    for one in points_of(document["path"]):
        tilt(one, hitch)
    for anchor in document["anchor"]:
        tilt(anchor["at"], float(anchor["strap_heights"][0].split()[0]))
    for puller in document["puller"]:
        if "at" in puller:
            up = float(puller["hitch_height"].split()[0])
            if "heading" in puller:
                way = radians(float(puller.pop("heading").split()[0]))
                x, y, z = (float(part.split()[0]) for part in puller["at"])
                puller["towards"] = [
                    f"{v:.13f} m" for v in (x + 10.0 * cos(way), y + 10.0 * sin(way), z)
                ]
            begin, end = (float(puller[key][0].split()[0]) for key in ("at", "towards"))
            if end < begin:
                return None
            tilt(puller["at"], up)
            tilt(puller["towards"], up)
    return document


HARDER: dict[str, Law] = {
    "heavier": heavier,
    "rougher": rougher,
    "stuck faster": stuck_faster,
    "a higher step": higher_step,
}
EASIER: dict[str, Law] = {
    "a stronger piece": stronger_piece,
    "more pull": more_pull,
    "a longer rope": longer_rope,
    "one more of a kind": one_more,
    "a further piece": a_further_piece,
}
SAME: dict[str, Law] = {
    "mirrored": mirrored,
    "turned and shifted": turned_and_shifted,
    "entries in another order": reordered,
    "other names": renamed,
}
SCALED: dict[str, Law] = {"all forces": all_forces, "all lengths": all_lengths}
"""Of banks that state everything (`stated_only`): leave the list and its margins."""
TILTED: dict[str, Law] = {"steeper": steeper}
"""Of banks that state everything and limit no angle (`without_limits`)."""

__all__ = [
    "EASIER", "HARDER", "SAME", "SCALED", "TILTED", "Law", "by_old_names", "points_of", "scaled",
    "stated_only", "without_limits",
]  # fmt: skip
