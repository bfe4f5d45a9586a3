"""What a document leaves to readings: places without coordinates."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from optimiser.site.lines import Key

if TYPE_CHECKING:
    from optimiser.site.document.site import SiteDocument

START, END = "start", "end"
"""Names of the ends of the path."""
STANDING = ("tree", "anchor", "obstacle", "puller", "mark")
"""Tables whose entries stand somewhere."""
ROOMS = ("track", "area")
"""Keys by which a puller has room to stand in instead of one spot."""
MADE = ("spots", "row", "area")
"""Keys of the points by which the spots are given where anchors may be made."""
NOWHERE = (
    'missing: where it stands: at = ["14 m", "-3 m", "1.5 m"] (x and y in plan, z up), or a [[reading]] '
    "that leads to it"
)


def nowhere_faults(raw: Mapping[str, Any]) -> Iterator[tuple[Key, str]]:
    """Things that have neither coordinates nor a reading. Works on a document with other faults, so that all
    are reported."""
    readings = raw.get("reading")
    items = [r for r in readings if isinstance(r, dict)] if isinstance(readings, list) else []
    ends = {r.get(key) for r in items for key in ("from", "to") if isinstance(r.get(key), str)}
    for section in STANDING:
        things = raw.get(section)
        for number, thing in enumerate(things if isinstance(things, list) else ()):
            if not isinstance(thing, dict) or "at" in thing or thing.get("kind") == "hand winch":
                continue
            if section == "puller" and any(room in thing for room in ROOMS):
                continue
            name = thing.get("name")
            if isinstance(name, str) and name not in ends:  # a name that is none has its own fault
                yield (section, number, "at"), NOWHERE


def measures(document: "SiteDocument") -> bool:
    """Whether any place of a document is measured or named instead of given."""
    return bool(
        document.reading
        or document.path.measured
        or any(isinstance(place, str) for _, place in places_or_names(document))
    )


def places_or_names(document: "SiteDocument") -> Iterator[tuple[Key, Any]]:
    """Where the pullers head for, the points of what they may stand on, and of where anchors may be made:
    coordinates, or names."""
    for number, puller in enumerate(document.puller):
        key: Key = ("puller", number)
        yield (*key, "towards"), getattr(puller, "towards", None)
        for room in ROOMS:
            for i, place in enumerate(getattr(puller, room, None) or ()):
                yield (*key, room, i), place
    for number, made in enumerate(document.made):
        for of in MADE:
            for i, place in enumerate(getattr(made, of) or ()):
                yield ("made", number, of, i), place
