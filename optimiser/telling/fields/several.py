"""Describes what stands in many answers: pieces and what they carry, cautions, conditions, remarks."""

from collections.abc import Iterable, Sequence
from math import degrees

from optimiser.mechanics.values import Factor
from optimiser.rig.setup import (
    Caution,
    Component,
    Contact,
    Hung,
    IfStands,
    PutTogether,
    Slung,
    ToMake,
)
from optimiser.rig.status import Unsearched
from optimiser.site.doubts.unlikely import Remark
from optimiser.telling.fields.common import (
    ANGLE,
    COUNT,
    DOWN,
    FLAG,
    FORCE,
    LENGTH,
    MEASURE,
    RATIO,
    SHARE,
    TEXT,
    TEXTS,
    UP,
)  # fmt: skip
from shared.columns import Column, Many, Measure, Record, Where
from shared.units import Dimension, show

STATUS = "how far the search settled the answer"
PROVEN = "whether what is answered is proven"
ORDER = "what the list is ordered by, most important first"
RULES = "the rules of the search that were on"
PUT_TOGETHER = (
    "margin that ropes put together surely bring beyond those listed; nothing: not settled"
)
COULD_REACH = "the best that may still come where the search was cut short; nothing: not known"


def margin_put_together(found: PutTogether | None) -> float | None:
    """What they surely bring, where that is known."""
    return None if found is None else found.margin


REMARK: Record[Remark] = Record("remark", "something on the site that hardly can be meant so", (
    Column("place", lambda r: r.place, TEXT, "the key in the site file; empty for none"),
    Column("line", lambda r: r.line, COUNT, "the line of the site file", none=True),
    Column("text", lambda r: r.text, TEXT, "what it is"),
    Column("reason", lambda r: r.reason, TEXT, "why it is remarked on"),
    Column("source", lambda r: r.source, TEXT, "key of the source"),
))  # fmt: skip

RULE: Record[tuple[str, str]] = Record("rule", "a rule of the search", (
    Column("name", lambda r: r[0], TEXT, "its name, as `--without-rule` takes it", "rule"),
    Column("text", lambda r: r[1], TEXT, "what it says", "what it says"),
))  # fmt: skip

CAUTION: Record[Caution] = Record("caution", "something to mind that can hurt people", (
    Column("key", lambda c: c.key, TEXT, "its short name"),
    Column("text", lambda c: c.text, TEXT, "what to mind"),
    Column("source", lambda c: c.source, TEXT, "key of the source"),
    Column("always", lambda c: c.always, FLAG, "whether it is one of every haul or way down"),
))  # fmt: skip

IF_STANDS: Record[IfStands] = Record(
    "condition", "what a part without a rating would have to stand for the answer to hold", (
    Column("item", lambda i: i.item, TEXT, "the piece"),
    Column("place", lambda i: i.place, TEXT, "where it is; empty: anywhere"),
    Column("what", lambda i: i.what, TEXT, "the part in words"),
    Column("moment", lambda i: i.force, Dimension.MOMENT, "the moment about the foot of a tree",
           when=lambda i: i.unit == "N·m"),
    Column("force", lambda i: i.force, FORCE, "the force", when=lambda i: i.unit != "N·m"),
))  # fmt: skip

UNSEARCHED: Record[Unsearched] = Record(
    "unsearched", "the best that what was not looked at can be, each figure by itself; none: not known", (
    Column("margin", lambda u: u.margin, RATIO, "at most this margin", none=True),
    Column("resets", lambda u: u.resets, COUNT, "at least so many resets", none=True),
    Column("rope", lambda u: u.rope, LENGTH, "at least so many metres of rope", none=True, name="rope"),
    Column("stages", lambda u: u.stages, COUNT, "at least so many stages", none=True),
    Column("cost", lambda u: u.cost, RATIO, "at least so much money", none=True),
    Column("first_stands", lambda u: u.first_stands, FLAG, "whether none is better than the first listed"),
))  # fmt: skip

HUNG: Record[Hung] = Record("gear", "a piece, or an end of a rope, at its place", (
    Column("place", lambda h: h.place, TEXT, "where it is", "place"),
    Column("role", lambda h: h.role, TEXT, "what it is for", "what for"),
    Column("item", lambda h: h.item, TEXT, "name of the piece", "piece"),
    Column("how", lambda h: h.how, TEXT, "the hitch or knot; empty for none", "how"),
))  # fmt: skip

FACTOR: Record[Factor] = Record("factor", "one step from a rating to what a piece stands here", (
    Column("name", lambda f: f.name, TEXT, "what it is"),
    Column("value", lambda f: f.value, MEASURE, "its value"),
    Column("unit", lambda f: f.unit, TEXT, "unit of the value; empty for a plain number"),
    Column("source", lambda f: f.source, TEXT, "key of the source"),
))  # fmt: skip

COMPONENT: Record[Component] = Record("components", "a loaded piece: what comes on it, what it stands", (
    Column("name", lambda c: c.name, TEXT, "the piece and what it is for", "piece"),
    Column("item", lambda c: c.item, TEXT, "name of the piece", "item", yields=9),
    Column("place", lambda c: c.place, TEXT, "where it is", "place", yields=7),
    Column("demand", lambda c: Measure(c.demand, _dimension(c)), MEASURE,
           "what comes on it at worst, the dynamic factor included", "worst demand", rounding=UP),
    Column("at", lambda c: c.at, LENGTH, "where on the path the load is then", "with load at", yields=8,
           alone="worst with load at"),
    Column("capacity", lambda c: None if c.capacity is None else Measure(c.capacity, _dimension(c)),
           MEASURE, "what it stands; nothing: UNRATED", "it stands", none=True, nothing="UNRATED",
           rounding=DOWN),
    Column("unit", lambda c: c.unit, TEXT, "unit of demand and capacity"),
    Column("unit", lambda c: c.unit.replace("·", ""), TEXT, "unit of demand and capacity", "unit",
           where=Where.CSV),
    Column("utilisation", lambda c: c.utilisation, SHARE, "demand divided by capacity", "used", none=True),
    Column("margin", lambda c: None if c.capacity is None else c.margin, RATIO,
           "capacity divided by demand", "margin", rounding=DOWN, none=True),
    Column("factors", lambda c: c.factors, Many(FACTOR), "how the capacity was derived"),
    Column("note", lambda c: c.note, TEXT, "what else is to be known; empty for nothing"),
    Column("derivation", say=lambda c, system: _derivation(c, system),
           means="how the capacity was derived, with the sources, in words",
           heading="how it was derived", where=Where.NOTE),
))  # fmt: skip

MADE_OF: Record[tuple[int, str]] = Record("made_of", "equal pieces that an anchor is made of", (
    Column("count", lambda p: p[0], COUNT, "how many"),
    Column("what", lambda p: p[1], TEXT, "what"),
))  # fmt: skip

SLUNG: Record[Slung] = Record("sling_between_trees", "a sling between two trees that share a pull", (
    Column("trees", lambda s: s.trees, TEXTS, "the two trees"),
    Column("rope", lambda s: s.rope, TEXT, "the rope that is the sling"),
    Column("knots", lambda s: s.how, TEXT, "what it is tied with"),
    Column("height", lambda s: s.height, LENGTH, "how high it is tied on both"),
    Column("legs", lambda s: s.legs, LENGTH, "both legs together"),
    Column("angle_least", lambda s: degrees(s.angle_least), ANGLE, "between the legs, least", unit="deg"),
    Column("angle_most", lambda s: degrees(s.angle_most), ANGLE, "between the legs, most", unit="deg"),
    Column("pull", lambda s: s.pull, FORCE, "on both trees together at worst"),
    Column("even", lambda s: s.even, FORCE, "in each leg at worst where both carry the same"),
    Column("tighter", lambda s: s.tighter, FORCE, "in the tighter leg where the shackle's bow rubs"),
))  # fmt: skip

TO_MAKE: Record[ToMake] = Record("to_make", "an anchor to make first", (
    Column("anchor", lambda m: m.anchor, TEXT, "its name"),
    Column("minutes", lambda m: m.making.minutes, RATIO, "how long it takes", unit="min", name="minutes"),
    Column("pieces", lambda m: m.making.pieces, Many(MADE_OF), "what it is made of"),
    Column("steps", lambda m: m.making.steps, TEXTS, "how it is made"),
    Column("spread", lambda m: m.spread, ANGLE, "by how much the pull swings sideways"),
    Column("rise", lambda m: m.rise, ANGLE, "by how much the pull rises"),
    Column("sling", lambda m: m.slung, SLUNG, "the sling, where it is two trees that share the pull",
           when=lambda m: m.slung is not None),
))  # fmt: skip

CONTACT: Record[Contact] = Record("contact", "where a part of the rope runs over an edge", (
    Column("part", lambda c: c.part, COUNT, "the part of the rope, from the standing end, the first is 1"),
    Column("from", lambda c: c.from_m, LENGTH, "along the path, where it touches first"),
    Column("to", lambda c: c.to_m, LENGTH, "along the path, where it touches last"),
    Column("left_from", lambda c: c.left_from, LENGTH, "to the left of the path, least"),
    Column("left_to", lambda c: c.left_to, LENGTH, "to the left of the path, most"),
    Column("angle", lambda c: degrees(c.angle), ANGLE, "by which it turns there at most", unit="deg"),
    Column("friction", lambda c: c.friction, RATIO, "the friction that is planned with"),
    Column("force", lambda c: c.force, FORCE, "what it presses with at worst"),
    Column("protector", lambda c: c.protector, TEXT, "what lies there"),
    Column("shift", lambda c: c.shift, FORCE, "what pulls level on what lies there at worst"),
    Column("load_from", lambda c: c.load_from, LENGTH, "where the load is when it first touches", none=True),
    Column("load_to", lambda c: c.load_to, LENGTH, "where the load is when it last touches", none=True),
))  # fmt: skip


def weakest_first(components: Iterable[Component]) -> list[Component]:
    """The unrated, then those of the least margin."""
    return sorted(components, key=lambda c: (c.capacity is not None, c.margin))


def derivation(factors: Sequence[Factor], system: str) -> str:
    """Every factor of a capacity with its value and its source."""
    return "; ".join(f"{f.name} {_factor(f, system)} [{f.source}]" for f in factors)


def _derivation(component: Component, system: str) -> str | None:
    rated = component.capacity is not None
    note = f"{component.note}. " if component.note else ""
    text = derivation(component.factors, system)
    return note + (text if rated else "UNRATED: nothing can be said of this piece") or None


def _dimension(component: Component) -> Dimension:
    return Dimension.MOMENT if component.unit == "N·m" else FORCE


def _factor(factor: Factor, system: str) -> str:
    dimension = {
        "N": FORCE,
        "N·m": Dimension.MOMENT,
        "m": LENGTH,
        "rad": Dimension.ANGLE,
    }.get(factor.unit)
    if dimension is not None:
        return show(factor.value, dimension, system)
    if factor.unit == "Pa":
        return f"{factor.value / 1e6:.1f} MPa"
    return f"{factor.value:.4g} {factor.unit}".strip()
