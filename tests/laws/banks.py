"""Made-up banks as site files, by number: documents that hold what is easily left untried.

All figures are invented; strengths and ratings
are stated in the file wherever a law has to change them.
"""

from collections.abc import Callable
from random import Random
from typing import Any

Document = dict[str, Any]
TOP = 1.5
"""m, height of the brow."""
CLIMB = 0.3
"""Slope of the ground behind the brow: it leads on as it came, so that no line meets it."""
CONDITION_GOOD = 0.9
"""Share of its rating that a piece in good condition is trusted with: the project's own choice."""
SHARE = 0.3
"""Of the banks have each feature."""


def bank(number: int, *, without: frozenset[str] = frozenset()) -> Document:
    """The bank of a number. Leaving a feature out keeps all else as it is."""
    rng = Random(f"bank {number}")
    document = _plain(rng)
    for name, put in FEATURES.items():
        on, own = rng.random() < SHARE, Random(f"{number}/{name}")
        if on and name not in without:
            put(own, document)
    return document


def features(number: int) -> list[str]:
    """Which features the bank of a number has."""
    rng = Random(f"bank {number}")
    _plain(rng)
    return [name for name in FEATURES if rng.random() < SHARE]


def metres(value: float) -> str:
    """A length as it is written."""
    return f"{value:.3f} m"


def point(x: float, y: float, z: float) -> list[str]:
    """A point as it is written."""
    return [metres(x), metres(y), metres(z)]


def behind(away: float) -> float:
    """Height of the ground so far behind the brow, m."""
    return TOP + CLIMB * away


def _plain(rng: Random) -> Document:
    brow = rng.uniform(5.0, 8.0)
    return {
        "title": "a made-up bank",
        "path": {
            "start": point(0.0, 0.0, 0.0),
            "leg": [
                {
                    "to": point(brow / 2, 0.0, TOP * rng.uniform(0.3, 0.45)),
                    "surface": "grass",
                    "resistance": round(rng.uniform(0.08, 0.2), 3),
                },
                {
                    "to": point(brow, 0.0, TOP),
                    "surface": "grass",
                    "resistance": round(rng.uniform(0.08, 0.2), 3),
                },
            ],
        },
        "load": {
            "name": "trolley",
            "weight": f"{rng.uniform(60, 140):.1f} kg",
            "rests_on": "wheels",
            "wheel_radius": "20 cm",
            "length": "1.6 m",
            "overhang": "0.8 m",
            "hitch": [_hitch("eye", 0.0, rng)],
        },
        "tree": [
            _tree(rng, "oak", brow + 5.0, rng.uniform(0.8, 3.0), behind(5.0)),
            _tree(rng, "ash", brow + 6.5, rng.uniform(-3.0, -0.8), behind(6.5)),
        ],
        "anchor": [
            {
                "name": "stout post",
                "kind": "post",
                "at": point(brow + 8.5, rng.uniform(-1.0, 1.0), behind(8.5)),
                "rating": f"{rng.uniform(3.0, 9.0):.2f} kN",
                "girth": f"{rng.uniform(0.5, 1.2):.2f} m",
                "top": "0.8 m",
                "strap_heights": ["0.3 m"],
            }
        ],
        "puller": [
            {
                "kind": "vehicle",
                "name": "tractor",
                "at": point(brow + 5.5, rng.uniform(7.0, 9.0), behind(5.5)),
                "heading": f"{rng.uniform(75, 100):.1f} deg",
                "run": f"{rng.uniform(6, 14):.1f} m",
                "pull": f"{rng.uniform(0.9, 2.4):.3f} kN",
                "weight": "1200 kg",
                "hitch_height": "0.5 m",
                "hitch_rating": "12 kN",
                "dynamic": 1.2,
                "hitch_eye": "28 mm",
            }
        ],
        "gear": [
            {
                "kind": "rope",
                "name": "long rope",
                "material": "polyester",
                "diameter": "12 mm",
                "length": f"{rng.uniform(40, 80):.1f} m",
                "ends": ["eye-splice", "bare"],
                "breaking_strength": f"{rng.uniform(14, 30):.2f} kN",
                "design_factor": 6,
                "stretch_at_break": 0.25,
                "mass_per_length": "0.11 kg/m",
                "least_bend": 4,
                "condition": "good",
            },
            {
                "kind": "block",
                "name": "block",
                "count": rng.choice((2, 3)),
                "sheaves": 1,
                "opens": True,
                "rope_least": "8 mm",
                "rope_most": "16 mm",
                "sheave_diameter": "100 mm",
                "rating": f"{rng.uniform(4, 12):.2f} kN",
                "bearing": "bronze",
                "efficiency": round(rng.uniform(0.86, 0.96), 3),
                "length": "0.25 m",
                "eye": "26 mm",
                "condition": "good",
            },
            {
                "kind": "shackle",
                "name": "shackle",
                "count": 6,
                "bow": "16 mm",
                "pin": "19 mm",
                "jaw": "27 mm",
                "length": "60 mm",
                "rating": f"{rng.uniform(8, 25):.2f} kN",
                "condition": "good",
            },
            {
                "kind": "strap",
                "name": "strap",
                "count": 3,
                "length": f"{rng.uniform(2.5, 4.0):.2f} m",
                "width": "60 mm",
                "rating": f"{rng.uniform(4, 15):.2f} kN",
                "choker": 0.8,
                "basket": 2,
                "condition": "good",
            },
        ],
        "preferences": {
            "margin_wanted": 1.05,
            "enough": 50.0,
            "most_sheaves": 2,
            "strap_places": 1,
            "clearance": "5 cm",
            "rope_spare": "1 m",
            "order": ["margin", "resets", "rope"],
            "knots": ["bowline", "round-turn-two-half-hitches"],
        },
    }


def _hitch(name: str, left: float, rng: Random) -> Document:
    return {
        "name": name,
        "ahead": "0.7 m",
        "left": metres(left),
        "height": f"{rng.uniform(0.25, 0.45):.2f} m",
        "rating": f"{rng.uniform(6, 15):.2f} kN",
        "eye": "30 mm",
    }


def _tree(rng: Random, name: str, x: float, y: float, z: float) -> Document:
    return {
        "name": name,
        "at": point(x, y, z + rng.uniform(0.0, 0.2)),
        "diameter": f"{rng.uniform(20, 36):.1f} cm",
        "species": rng.choice(("oak-european", "pine-scots", "unknown")),
        "tree_height": f"{rng.uniform(8, 16):.0f} m",
        "strap_heights": [f"{rng.uniform(0.3, 0.7):.2f} m"],
    }


def rope(name: str, length: float, **more: object) -> Document:
    """A bare rope like the bank's own."""
    return {
        **_plain(Random(0))["gear"][0],
        "name": name,
        "length": f"{length:.1f} m",
        "ends": ["bare", "bare"],
        **more,
    }


# ---- features -----------------------------------------------------------------------------------


def _brow(document: Document) -> float:
    return float(document["path"]["leg"][1]["to"][0].split()[0])


def _levelled(document: Document, away: float) -> float:
    """Height of the ground so far behind the brow: level where there is an edge."""
    edged = any(piece.get("id") == "log-peeled-20" for piece in document["gear"])
    return TOP if edged else behind(away)


def _steep_run(rng: Random, document: Document) -> None:
    """The puller's run leads up or down a slope."""
    puller = document["puller"][0]
    x, y, z = (float(part.split()[0]) for part in puller["at"])
    rise = rng.choice((-1.0, 1.0)) * rng.uniform(0.3, 1.2)
    del puller["heading"]
    puller["towards"] = point(x + rng.uniform(-2.0, 2.0), y + 12.0, z + rise)


def _big_tree(rng: Random, document: Document) -> None:
    tree = rng.choice(document["tree"])
    tree["diameter"] = f"{rng.uniform(60, 110):.0f} cm"
    tree["tree_height"] = f"{rng.uniform(18, 28):.0f} m"


def _hollow_tree(rng: Random, document: Document) -> None:
    tree = rng.choice(document["tree"])
    tree["hollow"] = f"{float(tree['diameter'].split()[0]) * rng.uniform(0.1, 0.3):.1f} cm"


def _bridle(rng: Random, document: Document) -> None:
    load = document["load"]
    half = rng.uniform(0.25, 0.5)
    load["hitch"] = [_hitch("left lug", half, rng), _hitch("right lug", -half, rng)]
    load["hitch"][1]["height"] = load["hitch"][0]["height"]
    load["bridle"] = True
    load["bridle_leg"] = f"{rng.uniform(1.2, 1.8):.2f} m"
    document["gear"].append(
        {**document["gear"][3], "name": "bridle strap", "count": 2, "length": load["bridle_leg"]}
    )


def _join(rng: Random, document: Document) -> None:
    """The long rope is too short for most; a second one may be bent to it."""
    document["gear"][0]["length"] = f"{rng.uniform(22, 32):.1f} m"
    document["gear"].insert(1, rope("other rope", rng.uniform(18, 30)))
    document["preferences"]["knots"].append("double-sheet-bend")


def _direct(rng: Random, document: Document) -> None:
    """The puller stands ahead of the load, so that a line may lead straight to it."""
    away, y = rng.uniform(6.5, 9.0), rng.uniform(-1.0, 1.0)
    puller = document["puller"][0]
    x, z = _brow(document) + away, _levelled(document, away)
    puller.pop("heading", None)
    puller["at"] = point(x, y, z)
    puller["towards"] = point(x + 10.0, y + rng.uniform(-2.0, 2.0), z + rng.uniform(-0.5, 2.0))
    puller["run"] = f"{rng.uniform(8, 14):.1f} m"


def _edge(rng: Random, document: Document) -> None:
    """Level ground behind a brow that lines bend over, and a log to lay there."""
    brow = _brow(document)
    document["path"]["leg"][0]["to"] = point(brow * 0.6, 0.0, TOP - 0.3)
    document["path"]["leg"][1]["to"] = point(brow, 0.0, TOP)
    for thing in (*document["tree"], *document["anchor"], *document["puller"]):
        thing["at"][2] = metres(TOP)
    document["gear"].append({"id": "log-peeled-20", "count": 2})


def _made(rng: Random, document: Document) -> None:
    brow = _brow(document)
    away = rng.uniform(2.8, 3.6)  # before the trees, however thick
    x, z = brow + away, _levelled(document, away)
    document["made"] = [
        {
            "name": "meadow",
            "row": [point(x, 2.0, z), point(x, -2.0, z)],
            "every": "2 m",
            "holdfast": {
                "systems": ["1-1", "3-2-1"], "pickets": "wood",
                "soil": rng.choice(("loam", "clay and gravel")), "owned": 6,
            },
        }
    ]  # fmt: skip
    document["tree"] = document["tree"][:1]


def _track(rng: Random, document: Document) -> None:
    """The puller may stand anywhere along a lane."""
    away = rng.uniform(6.0, 8.0)
    x, z = _brow(document) + away, _levelled(document, away)
    puller = document["puller"][0]
    for key in ("at", "towards", "heading"):
        puller.pop(key, None)
    puller["track"] = [point(x, -6.0, z), point(x + 0.4, 16.0, z + rng.uniform(-0.5, 0.5))]
    puller["spacing"], puller["run"] = "3 m", "9 m"
    puller["body_length"], puller["body_width"], puller["track_width"] = "3.8 m", "1.7 m", "3 m"


def _sling(rng: Random, document: Document) -> None:
    """Two thin trees near each other share a pull."""
    away = rng.uniform(5.0, 6.5)
    x, z = _brow(document) + away, _levelled(document, away)
    document["tree"] = [_tree(rng, "birch", x, 1.3, z), _tree(rng, "alder", x, -1.3, z)]
    for tree in document["tree"]:
        tree["strap_heights"], tree["at"][2] = ["0.4 m"], metres(z)
    document["pair"] = [{"trees": ["birch", "alder"]}]
    document["gear"].append(rope("sling rope", 10.0))


def _long_choker(rng: Random, document: Document) -> None:
    """Straps so long that a choker stands far off its trunk."""
    document["gear"][-1 if document["gear"][-1].get("kind") == "strap" else 3]["length"] = (
        f"{rng.uniform(4.0, 6.0):.1f} m"
    )


def _stuck(rng: Random, document: Document) -> None:
    document["path"]["leg"][0]["breakout"] = round(rng.uniform(1.1, 1.8), 2)
    document["path"]["leg"][1]["step"] = f"{rng.uniform(1, 5):.1f} cm"


def _winch(rng: Random, document: Document) -> None:
    document["puller"].append(
        {
            "kind": "hand winch", "name": "wire puller", "anchor": document["tree"][0]["name"],
            "height": document["tree"][0]["strap_heights"][0], "rating": "8 kN", "dynamic": 1.1,
            "pull": f"{rng.uniform(1.5, 5.0):.2f} kN", "purchase": f"{rng.uniform(1.5, 3.0):.2f} m",
        }
    )  # fmt: skip


def _ranges(rng: Random, document: Document) -> None:
    blocks = [piece for piece in document["gear"] if piece.get("kind") == "block"]
    low = float(blocks[0]["efficiency"]) - 0.08
    blocks[0]["efficiency"] = f"{low:.3f}..{low + 0.1:.3f}"
    leg = document["path"]["leg"][1]
    leg["resistance"] = f"{0.6 * leg['resistance']:.3f}..{leg['resistance']:.3f}"


FEATURES: dict[str, Callable[[Random, Document], None]] = {
    "long choker": _long_choker,
    "ranges": _ranges,
    "stuck": _stuck,
    "big tree": _big_tree,
    "hollow tree": _hollow_tree,
    "edge": _edge,
    "steep run": _steep_run,
    "direct line": _direct,
    "track": _track,
    "made anchors": _made,
    "sling": _sling,
    "winch": _winch,
    "bridle": _bridle,
    "join": _join,
}
