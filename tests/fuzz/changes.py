"""Changes to a document that know its structure. Each changes it in place and reports what it did."""

from collections.abc import Callable
from copy import deepcopy
from functools import cache
from random import Random
from typing import Any

from tests.fuzz import bases
from tests.fuzz.places import Slot, leaves, lists_of_tables, points, slots, tables
from tests.fuzz.words import (
    COUNTS,
    FACTORS,
    MILD,
    ODD_TEXTS,
    hopeless,
    other_unit,
    ranged,
    renumbered,
    rescaled,
)

Document = dict[str, Any]
Change = Callable[[Random, Document], str]
WORDS = (
    "id", "surface", "footing", "species", "soil", "rooting", "condition", "kind", "rests_on", "units",
    "anchor", "ends", "knots", "order", "rules_off", "material", "bearing", "grade", "edge_protected",
)  # fmt: skip
"""Keys whose values are words of a list."""
COUNTED = ("count", "sheaves", "most_sheaves", "strap_places")


def _worded(slot: Slot, what: str) -> str:
    return f"{'.'.join(str(part) for part in slot.path)}: {what}"


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) < 60 else text[:57] + "..."


# ---- values -------------------------------------------------------------------------------------


def _quantity(rng: Random, document: Document) -> Slot:
    found = [
        slot
        for slot in leaves(document)
        if isinstance(slot.value, int | float)
        or (
            isinstance(slot.value, str)
            and any(c.isdigit() for c in slot.value)
            and slot.name not in WORDS
        )
    ]
    return rng.choice(found)


def _scaled(rng: Random, document: Document, factors: tuple[float, ...]) -> str:
    slot, factor = _quantity(rng, document), rng.choice(factors)
    if isinstance(slot.value, str):
        slot.put(rescaled(slot.value, factor))
    elif isinstance(slot.value, bool):
        slot.put(not slot.value)
    else:
        # A whole number that another change made of a hundred digits is no float any more.
        scaled = factor if abs(slot.value) > 1e300 else slot.value * factor
        slot.put(int(scaled) if isinstance(slot.value, int) and abs(scaled) < 1e15 else scaled)
    return _worded(slot, f"times {factor:g}: {_shown(slot.value)}")


def number_scaled_mildly(rng: Random, document: Document) -> str:
    return _scaled(rng, document, MILD)


def number_scaled_wildly(rng: Random, document: Document) -> str:
    return _scaled(rng, document, (*FACTORS, *(-f for f in FACTORS), 0.0))


def number_replaced(rng: Random, document: Document) -> str:
    slot = _quantity(rng, document)
    new = renumbered(rng, slot.value) if isinstance(slot.value, str) else hopeless(rng)
    slot.put(new)
    return _worded(slot, _shown(new))


def unit_changed(rng: Random, document: Document) -> str:
    slot = _quantity(rng, document)
    slot.put(other_unit(rng, str(slot.value)))
    return _worded(slot, _shown(slot.value))


def made_a_range(rng: Random, document: Document) -> str:
    slot = _quantity(rng, document)
    slot.put(ranged(rng, str(slot.value)))
    return _worded(slot, _shown(slot.value))


def value_hopeless(rng: Random, document: Document) -> str:
    slot = rng.choice(list(slots(document)))
    slot.put(hopeless(rng))
    return _worded(slot, _shown(slot.value))


def rating_unknown(rng: Random, document: Document) -> str:
    gear = [table for table in tables(document) if "gear" in table.path and len(table.path) == 2]
    rated = [s for s in leaves(document) if s.name in ("rating", "hitch_rating", "bar_rating")]
    if rated and rng.random() < 0.5:
        slot = rng.choice(rated)
        slot.put("unknown")
        return _worded(slot, "unknown")
    if not gear:
        return value_hopeless(rng, document)
    slot = rng.choice(gear)
    slot.value["rating"] = "unknown"
    return _worded(slot, "rating unknown")


def count_changed(rng: Random, document: Document) -> str:
    found = [s for s in leaves(document) if s.name in COUNTED]
    able = [t for t in tables(document) if t.path[0] == "gear"]
    new = rng.choice(COUNTS)
    if not found or (able and rng.random() < 0.3):
        if not able:
            return value_hopeless(rng, document)
        slot = rng.choice(able)
        slot.value["count"] = {} if new is None else new
        return _worded(slot, f"count {_shown(new)}")
    slot = rng.choice(found)
    slot.put({} if new is None else new)
    return _worded(slot, _shown(new))


def text_odd(rng: Random, document: Document) -> str:
    found = [s for s in leaves(document) if isinstance(s.value, str)]
    names = [s for s in found if s.name in ("name", "title", "currency", "material")]
    slot = rng.choice(names if names and rng.random() < 0.7 else found)
    slot.put(rng.choice(ODD_TEXTS))
    return _worded(slot, _shown(slot.value))


@cache
def _words_of(name: str) -> tuple[str, ...]:
    """What stands at a key in any of the bases, and words of the catalogue besides."""
    from optimiser.site.document import listed

    out: set[str] = set()
    for base in bases.texts():
        out |= {
            s.value
            for s in leaves(bases.document(base))
            if s.name == name and isinstance(s.value, str)
        }
    lists = {"id": "gear", "surface": "surfaces", "footing": "footings", "species": "species",
             "soil": "soils", "rooting": "rootings", "condition": "conditions",
             "ends": "terminations", "knots": "terminations", "rules_off": "rules",
             "edge_protected": "protectors"}  # fmt: skip
    out |= set(listed.words(lists[name])) if name in lists else set()
    out |= {"units": {"metric", "imperial"}, "rests_on": {"wheels", "skids", "belly"}}.get(
        name, set()
    )
    return tuple(sorted(out))


def word_swapped(rng: Random, document: Document) -> str:
    found = [s for s in leaves(document) if s.name in WORDS and _words_of(s.name)]
    if not found:
        return value_hopeless(rng, document)
    slot = rng.choice(found)
    slot.put(rng.choice(_words_of(slot.name)))
    return _worded(slot, _shown(slot.value))


def flag_set(rng: Random, document: Document) -> str:
    """A yes-or-no that the document does not have, or has."""
    where = rng.choice(
        [
            t
            for t in tables(document)
            if t.path[0] in ("load", "path", "tree", "gear", "preferences")
        ]
        or tables(document)
    )
    keys = {"load": ["bridle"], "path": ["edge_protected"], "tree": ["sound", "fork", "limb"],
            "gear": ["opens", "becket"], "preferences": ["bridle"]}  # fmt: skip
    key = rng.choice(keys.get(str(where.path[0]), ["sound"]))
    where.value[key] = rng.random() < 0.7
    return _worded(where, f"{key} = {where.value[key]}")


_MORE: tuple[tuple[str, str, tuple[Any, ...]], ...] = (
    ("path", "breakout", (1.0, 1.5, 3.0, "1.2..1.9", 0.5)),
    ("path", "step", ("0 m", "3 cm", "12 cm", "40 cm")),
    ("path", "apparent_weight", (0.0, 0.2, "40 %", 1.0, 1.5)),
    ("path", "resistance", (0.0, 0.02, "0.1..0.4", 1.5, -0.1)),
    ("tree", "hollow", ("1 cm", "10 cm", "2 m")),
    ("tree", "tree_height", ("1.2 m", "4 m", "80 m")),
    ("tree", "strap_heights", (["0.5 m"], ["1 m", "0.2 m", "1 m"], [])),
    ("anchor", "eye", ("5 mm", "50 mm")),
    ("anchor", "girth", ("20 cm", "2 m")),
    ("anchor", "top", ("0 m", "9 m")),
    ("puller", "dynamic", (1.0, 1.5, 3.0, 0.5)),
    ("puller", "angle_limit", ("0 deg", "5 deg", "180 deg")),
    ("puller", "rise_limit", ("0 deg", "5 deg", "90 deg")),
    ("puller", "pull", ("1 N", "200 N", "40 kN")),
    ("puller", "heading", ("0 deg", "200 deg")),
    ("puller", "traction", (0.0, 0.4, 1.4)),
    ("load", "axle_share", (0.1, 1.0, "50 %", 1.2)),
    ("load", "bridle_leg", ("0.4 m", "1.5 m", "20 m")),
    ("gear", "efficiency", (0.01, 0.5, "0.8..0.95", 1.0, 1.1)),
    ("gear", "rating", ("1 N", "2 kN", "900 kN")),
    ("preferences", "margin_wanted", (0.5, 1.0, 1.3, 4.0, 50.0)),
    ("preferences", "enough", (0.1, 1.0, 1.05, 5.0, 1e3)),
    ("preferences", "most_sheaves", (0, 1, 2, 4, 12, 13)),
    ("preferences", "strap_places", (1, 2, 5, 8, 9)),
    ("preferences", "clearance", ("0 m", "0.3 m", "5 m")),
    ("preferences", "ground_known_within", ("0 m", "0.1 m", "500 m")),
    ("preferences", "rope_spare", ("0 m", "10 m", "500 m")),
    ("preferences", "side_pull_rolling", (0.0, 0.1, 1.0, 3.0)),
    ("preferences", "side_pull_sliding", (0.0, 0.1, 1.0, 3.0)),
    ("preferences", "station_spacing", ("0.05 m", "0.1 m", "1 m")),
    ("preferences", "order", (["rope"], ["pull", "parts"], ["margin", "margin"], [])),
    ("preferences", "rules_off", (
        ["no-backward-part"], ["one-height-per-leg", "two-anchors-in-a-row"],
        ["no-block-behind-standing-anchor"], ["no-such-rule"],
    )),
    ("preferences", "knots", ([], ["bowline"], ["eye-splice"], ["figure-eight-loop"])),
)  # fmt: skip


def key_added(rng: Random, document: Document) -> str:
    """A key that is as a rule known there, with a value that may fit."""
    section, key, values = rng.choice(_MORE)
    if section == "preferences":
        document.setdefault("preferences", {})
    able = [
        t for t in tables(document)
        if t.path[0] == section and not (section == "path" and len(t.path) == 1)
    ]  # fmt: skip
    if not able:
        return value_hopeless(rng, document)
    where = rng.choice(able)
    where.value[key] = deepcopy(rng.choice(values))
    return _worded(where, f"{key} = {_shown(where.value[key])}")


# ---- places -------------------------------------------------------------------------------------


def moved(rng: Random, document: Document) -> str:
    """A point moved a little or far, or put where another one is."""
    found = points(document)
    if not found:
        return value_hopeless(rng, document)
    slot = rng.choice(found)
    if rng.random() < 0.25:
        slot.put(list(rng.choice(found).value))
        return _worded(slot, f"put at {_shown(slot.value)}")
    span = rng.choice((0.02, 0.3, 1.0, 3.0, 10.0, 60.0, 1e4))
    axis = rng.randrange(3)
    slot.value[axis] = f"{_metres(slot.value[axis]) + rng.uniform(-span, span):.3f} m"
    return _worded(slot, f"moved to {_shown(slot.value)}")


def _metres(text: str) -> float:
    try:
        return float(text.split()[0])
    except (ValueError, IndexError):
        return 0.0


def turned_over(rng: Random, document: Document) -> str:
    """One axis of every point scaled: flattened, mirrored, stood upright."""
    axis, factor = rng.randrange(3), rng.choice((-1.0, 0.0, 0.5, 2.0, 3.0, -2.0))
    for slot in points(document):
        value = slot.value[axis]
        if isinstance(value, str):
            slot.value[axis] = rescaled(value, factor)
    return f"axis {axis} of every point times {factor:g}"


# ---- keys and tables ----------------------------------------------------------------------------


def key_removed(rng: Random, document: Document) -> str:
    slot = rng.choice([s for s in slots(document) if isinstance(s.holder, dict)])
    del slot.holder[slot.key]
    return _worded(slot, "removed")


def key_renamed(rng: Random, document: Document) -> str:
    slot = rng.choice([s for s in slots(document) if isinstance(s.holder, dict)])
    key = str(slot.key)
    at = rng.randrange(len(key)) if key else 0
    new = rng.choice(
        (key[:at] + key[at + 1 :], key[:at] + "x" + key[at:], key.upper(), key + "s", key[::-1],
         rng.choice(ODD_TEXTS), rng.choice(_all_keys()))
    )  # fmt: skip
    slot.holder[new] = slot.holder.pop(key)
    return _worded(slot, f"renamed {_shown(new)}")


@cache
def _all_keys() -> tuple[str, ...]:
    keys = {s.key for base in bases.texts() for s in slots(bases.document(base))}
    return tuple(sorted(key for key in keys if isinstance(key, str)))


def table_dropped(rng: Random, document: Document) -> str:
    found = lists_of_tables(document)
    if not found:
        return key_removed(rng, document)
    slot = rng.choice(found)
    at = rng.randrange(len(slot.value))
    del slot.value[at]
    return _worded(slot, f"number {at + 1} dropped")


def table_repeated(rng: Random, document: Document) -> str:
    """A table again, as it is or under a name of its own, or very often."""
    found = lists_of_tables(document)
    if not found:
        return key_removed(rng, document)
    slot = rng.choice(found)
    one, times = rng.choice(slot.value), rng.choice((1, 1, 1, 1, 2, 5, 40))
    named = rng.random() < 0.8
    for number in range(times):
        again = deepcopy(one)
        if isinstance(again, dict) and named:
            again["name"] = f"another {number + 1}"
            if isinstance(again.get("at"), list) and len(again["at"]) == 3:
                again["at"][1] = f"{rng.uniform(-15.0, 15.0):.2f} m"
        slot.value.insert(rng.randrange(len(slot.value) + 1), again)
    return _worded(slot, f"{times} more like {_shown(one)}")


def table_brought(rng: Random, document: Document) -> str:
    """Tables of another site: its gear, its trees, its puller, its path, its load."""
    name = rng.choice(sorted(bases.texts()))
    other = bases.document(name)
    section = rng.choice(sorted(other))
    theirs = other[section]
    mine = document.get(section)
    if isinstance(theirs, list) and isinstance(mine, list) and rng.random() < 0.6:
        mine.append(deepcopy(rng.choice(theirs)))
        return f"{section}: one of {name}"
    document[section] = deepcopy(theirs)
    return f"{section}: that of {name}"


def order_changed(rng: Random, document: Document) -> str:
    found = [s for s in slots(document) if isinstance(s.value, list) and len(s.value) > 1]
    if not found:
        return key_removed(rng, document)
    slot = rng.choice(found)
    rng.shuffle(slot.value)
    return _worded(slot, "shuffled")


def list_cut(rng: Random, document: Document) -> str:
    found = [s for s in slots(document) if isinstance(s.value, list)]
    if not found:
        return key_removed(rng, document)
    slot = rng.choice(found)
    length = rng.choice((0, 1, len(slot.value) - 1, len(slot.value) + 1))
    slot.put(slot.value[:length] if length <= len(slot.value) else [*slot.value, slot.value[-1:]])
    return _worded(slot, f"{length} of it")


CHANGES: tuple[tuple[Change, int], ...] = (
    (number_scaled_mildly, 14),
    (number_scaled_wildly, 6),
    (number_replaced, 5),
    (unit_changed, 5),
    (made_a_range, 5),
    (value_hopeless, 4),
    (rating_unknown, 4),
    (count_changed, 6),
    (text_odd, 6),
    (word_swapped, 9),
    (flag_set, 3),
    (key_added, 10),
    (moved, 10),
    (turned_over, 2),
    (key_removed, 4),
    (key_renamed, 3),
    (table_dropped, 6),
    (table_repeated, 6),
    (table_brought, 5),
    (order_changed, 3),
    (list_cut, 2),
)
"""With how often each is taken."""


def change(rng: Random, document: Document) -> str:
    """One change, drawn by weight."""
    made, weights = zip(*CHANGES, strict=True)
    return str(rng.choices(made, weights)[0](rng, document))
