"""The figures of a site that the rules of `optimiser.site.doubts.unlikely` look at, each under its name.

To add one: a function here that yields a `Figure` for each thing on the site that has it, and a rule of
the same name in `data/unlikely.toml`.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from math import asin, dist, hypot, pi

from catalogue.gear import Block, Chain, Protector, Rope, Strap
from catalogue.pullers import PulledBy
from optimiser.mechanics.values import Vec
from optimiser.site.lines import Key
from optimiser.site.model import Anchor, AnchorKind, Leg, Puller, Site
from shared.units import Dimension, show
from shared.written import parse


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number of a site.

    `keys`: where it may stand in the site file, the likeliest first. `low`, `high`: its ends, SI, equal
    where it is certain. `written`: as the file has it, "" where it is worked out. `words`: what else
    the text of a rule may name.
    """

    keys: tuple[Key, ...]
    name: str
    low: float
    high: float
    dimension: Dimension
    written: str = ""
    words: Mapping[str, str] = field(default_factory=dict)


Figures = Mapping[str, float]
"""Further numbers of a rule, by name."""

FIGURES: dict[str, Callable[[Site, Figures], Iterator[Figure]]] = {}
"""What yields each figure, by the name that rules give it."""


def _figure(
    function: Callable[[Site, Figures], Iterator[Figure]],
) -> Callable[[Site, Figures], Iterator[Figure]]:
    """Decorator: the figure of the function's name."""
    FIGURES[function.__name__] = function
    return function


_LENGTHS = {Dimension.SIZE: Dimension.LENGTH}
"""Dimensions that differ in how they are shown only."""


def _read(
    site: Site, name: str, value: float | None, dimension: Dimension, *keys: Key, times: float = 1.0
) -> Iterator[Figure]:
    """A figure of the model, with its range and text where the file states it. `times`: the figure is so
    many times what the file states. Nothing where there is no such value."""
    if value is None:
        return
    for key in keys:
        stated = None if site.origin is None else site.origin.stated(key)
        if stated is not None and _LENGTHS.get(stated.dimension, stated.dimension) is _LENGTHS.get(
            dimension, dimension
        ):
            low, high = stated.interval.low * times, stated.interval.high * times
            yield Figure(
                keys=keys, name=name, low=low, high=high, dimension=dimension, written=stated.text
            )
            return
    yield Figure(keys=keys, name=name, low=value, high=value, dimension=dimension)


def _metres(site: Site, value: float) -> str:
    return show(value, Dimension.LENGTH, site.preferences.units)


# ---- the load -------------------------------------------------------------------------------------


@_figure
def load_weight(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Weight of the load."""
    key = ("load", "weight")
    yield from _read(site, "load weight", site.load.weight, Dimension.WEIGHT, key)


@_figure
def load_weight_as_force(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Weight of the load where the file gives it in a unit of force."""
    for found in load_weight(site, numbers):
        if found.written and is_force(found.written):
            yield found


def is_force(text: str) -> bool:
    """Whether a quantity is written in a unit of force, not of mass."""
    try:
        parse(text, Dimension.MASS)
    except ValueError:
        return True
    return False


@_figure
def wheel_height(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Diameter of the load's wheels, whose radius the file gives."""
    radius = site.load.wheel_radius
    if radius is not None:
        key = ("load", "wheel_radius")
        for found in _read(site, "wheels", 2 * radius, Dimension.LENGTH, key, times=2.0):
            half = found.written or _metres(site, radius)
            yield Figure(
                keys=found.keys,
                name=found.name,
                low=found.low,
                high=found.high,
                dimension=found.dimension,
                words={"half": half},
            )


@_figure
def load_length(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Length of the load."""
    key = ("load", "length")
    yield from _read(site, "load length", site.load.length, Dimension.LENGTH, key)


@_figure
def hitch_ahead(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How far a hitch lies from the reference point, either way, over the length of the load."""
    long = site.load.length
    for number, hitch in enumerate(site.load.hitches):
        way = "ahead of" if hitch.ahead > 0 else "behind"
        far = f"{_metres(site, abs(hitch.ahead))} {way}"
        share = abs(hitch.ahead) / long
        yield Figure(
            keys=(("load", "hitch", number, "ahead"),),
            name=f"hitch {hitch.name}",
            low=share,
            high=share,
            dimension=Dimension.RATIO,
            words={"far": far, "long": _metres(site, long)},
        )


@_figure
def hitch_aside(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How far a hitch lies off the centre line of the load."""
    for number, hitch in enumerate(site.load.hitches):
        key = ("load", "hitch", number, "left")
        yield Figure(
            keys=(key,),
            name=f"hitch {hitch.name}",
            low=abs(hitch.left),
            high=abs(hitch.left),
            dimension=Dimension.LENGTH,
        )


@_figure
def hitch_height(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Height of a hitch above the ground."""
    for number, hitch in enumerate(site.load.hitches):
        key = ("load", "hitch", number, "height")
        yield from _read(site, f"hitch {hitch.name}", hitch.height, Dimension.LENGTH, key)


@_figure
def hitch_rating(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What a hitch of the load or of a puller stands."""
    for number, hitch in enumerate(site.load.hitches):
        key: Key = ("load", "hitch", number, "rating")
        name = f"hitch {hitch.name}, what it stands"
        yield from _read(site, name, hitch.rating, Dimension.FORCE, key)
    for number, puller in _pullers(site, "vehicle"):
        key = ("puller", number, "hitch_rating")
        name = f"{puller.name}, what its hitch stands"
        yield from _read(site, name, puller.hitch_rating, Dimension.FORCE, key)


# ---- the path -------------------------------------------------------------------------------------


@_figure
def path_length(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Length of the path."""
    total = sum(dist(leg.start, leg.end) for leg in site.legs)
    yield from _read(site, "path length", total, Dimension.LENGTH, ("path",))


@_figure
def slope(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Slope of each leg, up or down."""
    for number, leg in enumerate(site.legs):
        angle = abs(asin((leg.end[2] - leg.start[2]) / dist(leg.start, leg.end)))
        key = ("path", "leg", number, "to")
        yield from _read(site, f"slope of leg {number + 1}", angle, Dimension.ANGLE, key)


@_figure
def resistance(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Resistance of each leg."""
    for number, leg in enumerate(site.legs):
        name = f"resistance of leg {number + 1}"
        key = ("path", "leg", number)
        keys = ((*key, "resistance"), (*key, "surface"))
        yield from _read(site, name, leg.resistance, Dimension.RATIO, *keys)


@_figure
def breakout(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Break-out factor of each leg."""
    for number, leg in enumerate(site.legs):
        key = ("path", "leg", number, "breakout")
        name = f"break-out of leg {number + 1}"
        yield from _read(site, name, leg.breakout, Dimension.RATIO, key)


@_figure
def apparent_weight(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Share of the weight that rests on the ground of each leg."""
    for number, leg in enumerate(site.legs):
        key = ("path", "leg", number, "apparent_weight")
        name = f"apparent weight on leg {number + 1}"
        yield from _read(site, name, leg.apparent, Dimension.RATIO, key)


@_figure
def step(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Height of the step at the start of each leg."""
    for number, leg in enumerate(site.legs):
        key = ("path", "leg", number, "step")
        yield from _read(site, f"step of leg {number + 1}", leg.step, Dimension.LENGTH, key)


# ---- trees, anchors and what stands about -----------------------------------------------------------


def anchors_in_file(site: Site) -> Iterator[tuple[Key, Anchor]]:
    """Every anchor that has a table of its own in the file, and where: trees stand first in the model, then
    the others; those that may be made on a spot, and two trees together, come last and have none."""
    trees = others = 0
    for anchor in site.anchors:
        if anchor.uses or anchor.sling is not None:
            return
        if anchor.kind is AnchorKind.TREE:
            yield ("tree", trees), anchor
            trees += 1
        else:
            yield ("anchor", others), anchor
            others += 1


@_figure
def stem(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Diameter of a tree's stem."""
    for key, anchor in anchors_in_file(site):
        if anchor.kind is AnchorKind.TREE:
            keys = ((*key, "diameter"), (*key, "girth"))
            name = f"stem of {anchor.name}"
            if site.origin is not None and site.origin.stated(keys[0]) is None:
                yield from _girth(site, name, anchor, keys)
            else:
                yield from _read(site, name, 2 * anchor.radius, Dimension.SIZE, *keys)


def _girth(site: Site, name: str, anchor: Anchor, keys: tuple[Key, ...]) -> Iterator[Figure]:
    """The diameter of a stem whose girth the file gives."""
    yield from _read(
        site, f"{name} by its girth", 2 * anchor.radius, Dimension.SIZE, keys[1], times=1.0 / pi
    )


@_figure
def tree_height(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Height of a tree, where it is given."""
    for key, anchor in anchors_in_file(site):
        stated = (*key, "tree_height")
        if (
            anchor.kind is AnchorKind.TREE
            and site.origin is not None
            and site.origin.stated(stated)
        ):
            yield from _read(site, f"height of {anchor.name}", anchor.top, Dimension.LENGTH, stated)


@_figure
def strap_height(site: Site, numbers: Figures) -> Iterator[Figure]:
    """The highest place of a strap on an anchor."""
    for key, anchor in anchors_in_file(site):
        keys = ((*key, "strap_highest"), (*key, "strap_heights"))
        name = f"highest strap on {anchor.name}"
        yield from _read(site, name, max(anchor.heights), Dimension.LENGTH, *keys)


@_figure
def anchor_rating(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What an anchor with a stated rating stands."""
    for key, anchor in anchors_in_file(site):
        if anchor.kind is not AnchorKind.TREE:
            name = f"{anchor.name}, what it stands"
            keys = (*key, "rating")
            yield from _read(site, name, anchor.strength.capacity, Dimension.FORCE, keys)


@dataclass(frozen=True, slots=True)
class _Thing:
    """Something that stands somewhere."""

    key: Key
    name: str
    at: Vec


def _things(site: Site) -> Iterator[_Thing]:
    for key, anchor in anchors_in_file(site):
        yield _Thing((*key, "at"), anchor.name, anchor.position)
    yield from _spots(site)
    for number, obstacle in enumerate(site.obstacles):
        yield _Thing(("obstacle", number, "at"), obstacle.name, obstacle.position)
    for number, puller in enumerate(site.pullers):
        if puller.anchor is None:
            yield _Thing(("puller", number, "at"), puller.name, puller.position)


def _spots(site: Site) -> Iterator[_Thing]:
    """The spots where an anchor may be made, each once."""
    every = () if site.origin is None else site.origin.document.made
    at = {name: anchor.position for anchor in site.anchors for name, _ in anchor.uses}
    for number, made in enumerate(every):
        for name in made.spot_names:
            yield _Thing(("made", number), name, at[name])


@dataclass(frozen=True, slots=True)
class _Nearest:
    """The place of the path next to something, in plan: `off` m from it; the ground there lies between `low`
    and `high` (beyond an end of the path: level, or as its leg goes on)."""

    off: float
    low: float
    high: float


def _nearest(legs: tuple[Leg, ...], at: Vec) -> _Nearest:
    best: _Nearest | None = None
    for number, leg in enumerate(legs):
        (x, y, z), (to_x, to_y, to_z) = leg.start, leg.end
        along_x, along_y = to_x - x, to_y - y
        squared = along_x**2 + along_y**2
        share = ((at[0] - x) * along_x + (at[1] - y) * along_y) / squared if squared else 0.0
        on = min(max(share, 0.0), 1.0)
        level = z + on * (to_z - z)
        beyond = (share < 0.0 and number == 0) or (share > 1.0 and number == len(legs) - 1)
        further = z + share * (to_z - z) if beyond else level
        off = hypot(at[0] - x - on * along_x, at[1] - y - on * along_y)
        if best is None or off < best.off:
            best = _Nearest(off, min(level, further), max(level, further))
    assert best is not None  # a path has at least one leg
    return best


def _over_ground(site: Site, numbers: Figures, sign: float) -> Iterator[Figure]:
    """How far the foot of a thing lies above (`sign` 1) or below (-1) the ground of the path beside it, less
    what a hillside accounts for beyond the strip over which the ground is known."""
    for thing in _things(site):
        near = _nearest(site.legs, thing.at)
        over = thing.at[2] - near.high if sign > 0 else near.low - thing.at[2]
        beyond = max(near.off - site.preferences.ground_known_within, 0.0)
        value = over - numbers.get("hillside", 0.0) * beyond
        words = {"high": _metres(site, over), "far": _metres(site, near.off)}
        yield Figure(
            keys=(thing.key,),
            name=thing.name,
            low=value,
            high=value,
            dimension=Dimension.LENGTH,
            words=words,
        )


@_figure
def above_ground(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How far something stands in the air."""
    yield from _over_ground(site, numbers, 1.0)


@_figure
def below_ground(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How far something stands in the ground."""
    yield from _over_ground(site, numbers, -1.0)


@_figure
def far_off(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How far something stands from the path."""
    for thing in _things(site):
        off = _nearest(site.legs, thing.at).off
        yield from _read(site, thing.name, off, Dimension.LENGTH, thing.key)


@_figure
def obstacle_width(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Thickness of an obstacle."""
    for number, obstacle in enumerate(site.obstacles):
        key = ("obstacle", number, "diameter")
        name = f"thickness of {obstacle.name}"
        yield from _read(site, name, 2 * obstacle.radius, Dimension.LENGTH, key)


# ---- what pulls -----------------------------------------------------------------------------------


def _pullers(site: Site, kind: str) -> Iterator[tuple[int, Puller]]:
    return ((n, p) for n, p in enumerate(site.pullers) if p.kind is PulledBy(kind))


@_figure
def pull_per_head(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What one of some people hauls steadily."""
    for number, puller in _pullers(site, "people"):
        each = next((f.value for f in puller.limit_factors if f.unit == "N"), None)
        keys: tuple[Key, ...] = (("puller", number, "per_head"), ("puller", number, "footing"))
        name = f"{puller.name}, the pull of one of them"
        yield from _read(site, name, each, Dimension.FORCE, *keys)


@_figure
def vehicle_weight(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Weight of a vehicle."""
    for number, puller in _pullers(site, "vehicle"):
        key = ("puller", number, "weight")
        name = f"weight of {puller.name}"
        yield from _read(site, name, puller.weight, Dimension.WEIGHT, key)


@_figure
def vehicle_pull(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What a vehicle pulls, where that is stated: else its weight and its grip give it."""
    for number, puller in _pullers(site, "vehicle"):
        stated = next((f.value for f in puller.limit_factors if f.name == "pull"), None)
        key = ("puller", number, "pull")
        yield from _read(site, f"pull of {puller.name}", stated, Dimension.FORCE, key)


@_figure
def traction(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Pull over weight on the driven wheels of a vehicle."""
    for number, puller in _pullers(site, "vehicle"):
        keys: tuple[Key, ...] = (("puller", number, "traction"), ("puller", number, "footing"))
        name = f"traction of {puller.name}"
        yield from _read(site, name, puller.traction, Dimension.RATIO, *keys)


@_figure
def winch_pull(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What a hand winch pulls."""
    for number, puller in _pullers(site, "hand winch"):
        keys: tuple[Key, ...] = (("puller", number, "pull"), ("puller", number, "rating"))
        yield from _read(site, f"pull of {puller.name}", puller.limit, Dimension.FORCE, *keys)


@_figure
def purchase(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What a hand winch takes in before a new grip."""
    for number, puller in _pullers(site, "hand winch"):
        key = ("puller", number, "purchase")
        name = f"{puller.name}, what it takes in at a time"
        yield from _read(site, name, puller.purchase, Dimension.LENGTH, key)


@_figure
def run(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How far a puller goes in one stroke."""
    for number, puller in enumerate(site.pullers):
        if puller.anchor is None:
            key = ("puller", number)
            keys = ((*key, "run"), (*key, "towards"))
            yield from _read(site, f"run of {puller.name}", puller.run, Dimension.LENGTH, *keys)


@_figure
def puller_hitch_height(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How high above its ground a puller takes the line."""
    for number, puller in enumerate(site.pullers):
        words = ("hitch_height", "hand_height", "height")
        keys: tuple[Key, ...] = tuple(("puller", number, word) for word in words)
        name = f"{puller.name}, height of its line"
        yield from _read(site, name, puller.height, Dimension.LENGTH, *keys)


# ---- gear -----------------------------------------------------------------------------------------


@_figure
def rope_length(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Length of a rope."""
    for number, piece in enumerate(site.gear):
        if isinstance(piece.gear, Rope):
            key = ("gear", number, "length")
            yield from _read(site, f"length of {piece.name}", piece.length, Dimension.LENGTH, key)


@_figure
def rope_diameter(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Diameter of a rope."""
    for number, piece in enumerate(site.gear):
        if isinstance(piece.gear, Rope):
            keys: tuple[Key, ...] = (("gear", number, "diameter"), ("gear", number, "id"))
            thick = piece.gear.diameter
            yield from _read(site, f"diameter of {piece.name}", thick, Dimension.SIZE, *keys)


@_figure
def rope_strength(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Breaking strength of a rope."""
    for number, piece in enumerate(site.gear):
        if isinstance(piece.gear, Rope):
            keys: tuple[Key, ...] = (("gear", number, "breaking_strength"), ("gear", number, "id"))
            name = f"breaking strength of {piece.name}"
            yield from _read(site, name, piece.gear.mbs, Dimension.FORCE, *keys)


@_figure
def piece_rating(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Working load limit of a piece of gear."""
    for number, piece in enumerate(site.gear):
        keys: tuple[Key, ...] = (("gear", number, "rating"), ("gear", number, "id"))
        yield from _read(
            site, f"{piece.name}, what it stands", piece.gear.wll, Dimension.FORCE, *keys
        )


@_figure
def strap_length(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Length of a strap or chain."""
    for number, piece in enumerate(site.gear):
        if isinstance(piece.gear, Strap | Chain):
            keys: tuple[Key, ...] = (("gear", number, "length"), ("gear", number, "id"))
            long = piece.gear.length
            yield from _read(site, f"length of {piece.name}", long, Dimension.LENGTH, *keys)


@_figure
def block_length(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Length of a block, from its eye to the rope."""
    for number, piece in enumerate(site.gear):
        if isinstance(piece.gear, Block):
            keys: tuple[Key, ...] = (("gear", number, "length"), ("gear", number, "id"))
            long = piece.gear.length
            yield from _read(site, f"length of {piece.name}", long, Dimension.LENGTH, *keys)


@_figure
def sheave_efficiency(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What a sheave passes on of the pull."""
    for number, piece in enumerate(site.gear):
        if isinstance(piece.gear, Block):
            keys: tuple[Key, ...] = (("gear", number, "efficiency"), ("gear", number, "id"))
            name = f"efficiency of {piece.name}"
            yield from _read(site, name, piece.gear.eta, Dimension.RATIO, *keys)


def _protectors(
    site: Site, what: str, size: Callable[[Protector], float], field: str
) -> Iterator[Figure]:
    """One size of everything that can be laid on an edge."""
    for number, piece in enumerate(site.gear):
        if isinstance(piece.gear, Protector):
            keys: tuple[Key, ...] = (("gear", number, field), ("gear", number, "id"))
            name = f"{what} of {piece.name}"
            yield from _read(site, name, size(piece.gear), Dimension.LENGTH, *keys)


@_figure
def protector_length(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Length of what is laid on an edge, across the rope."""
    yield from _protectors(site, "length", lambda gear: gear.length, "length")


@_figure
def protector_covers(site: Site, numbers: Figures) -> Iterator[Figure]:
    """What it covers of the ground, along the rope."""
    yield from _protectors(site, "ground under", lambda gear: gear.covers, "covers")


@_figure
def protector_clearance(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How high above the ground a rope runs on it."""
    yield from _protectors(site, "height of the rope on", lambda gear: gear.clearance, "clearance")


@_figure
def protector_bend(site: Site, numbers: Figures) -> Iterator[Figure]:
    """The radius over which it bends a rope."""
    yield from _protectors(site, "bend over", lambda gear: gear.bend_radius, "bend_radius")


@_figure
def many_of_a_kind(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How many there are of a piece of gear."""
    for number, piece in enumerate(site.gear):
        name = f"number of {piece.name}"
        many = float(piece.count)
        yield from _read(site, name, many, Dimension.RATIO, ("gear", number, "count"))


# ---- preferences ----------------------------------------------------------------------------------


@_figure
def margin_wanted(site: Site, numbers: Figures) -> Iterator[Figure]:
    """The margin wanted."""
    wanted, key = site.preferences.margin_wanted, ("preferences", "margin_wanted")
    yield from _read(site, "margin wanted", wanted, Dimension.RATIO, key)


@_figure
def rope_spare(site: Site, numbers: Figures) -> Iterator[Figure]:
    """Rope kept in hand at the puller."""
    spare, key = site.preferences.rope_spare, ("preferences", "rope_spare")
    yield from _read(site, "rope kept in hand", spare, Dimension.LENGTH, key)


@_figure
def clearance(site: Site, numbers: Figures) -> Iterator[Figure]:
    """How far lines must stay above the ground and off trunks."""
    above, key = site.preferences.clearance, ("preferences", "clearance")
    yield from _read(site, "clearance of lines above the ground", above, Dimension.LENGTH, key)
