"""Finds where each point lies of a line or piece of ground that a site file states point by point: the track
or the area of a puller; the spots, the row or the area where an anchor may be made.

So each of them can be drawn and moved. A point that the file does not state itself, but by the name of a
mark, is shown where it lies, and moved where that is stated.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from optimiser.mechanics.values import Vec
from optimiser.site.model import Site
from shared.units import Dimension
from shared.written import parse

Data = dict[str, Any]

DECIMALS = 4
_ROOMS = ("track", "area")
_MADE = ("spots", "row", "area")


def outlines(raw: Mapping[str, Any], site: Site) -> list[Data]:
    """Each outline: its key in the file, its points [m, in the site's own frame], whether the last of them
    leads back to the first, whether they make a line at all. `raw`: the keys and values of the file."""
    return [*_of_pullers(raw, site), *_of_made(raw, site)]


def _of_pullers(raw: Mapping[str, Any], site: Site) -> Iterator[Data]:
    rooms = {who.name: who.room for who in site.pullers if who.room is not None}
    for i, entry in _tables(raw, "puller"):
        room = rooms.get(entry.get("name", ""))
        for key in _ROOMS:
            stated = entry.get(key)
            if room is not None and isinstance(stated, list) and len(stated) == len(room.points):
                yield _outline(("puller", i, key), room.points, entry)
            elif (points := _points(stated, raw, site)) is not None:
                yield _outline(("puller", i, key), points, entry)


def _of_made(raw: Mapping[str, Any], site: Site) -> Iterator[Data]:
    for i, entry in _tables(raw, "made"):
        for key in _MADE:
            points = _points(entry.get(key), raw, site)
            if points is not None:
                yield _outline(("made", i, key), points, entry)


def _outline(key: tuple[str, int, str], points: Sequence[Vec], entry: Mapping[str, Any]) -> Data:
    return {
        "key": list(key),
        "points": [[round(v, DECIMALS) for v in at] for at in points],
        "closed": key[2] == "area",
        "joined": key[2] != "spots",
        "name": entry.get("name", ""),
    }


def _tables(raw: Mapping[str, Any], name: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
    rows = raw.get(name)
    for i, entry in enumerate(rows if isinstance(rows, list) else []):
        if isinstance(entry, Mapping):
            yield i, entry


def _points(stated: Any, raw: Mapping[str, Any], site: Site) -> list[Vec] | None:
    """The points of a list, in the site's own frame; None where one of them is none: a fault says which."""
    if not isinstance(stated, list) or not stated:
        return None
    frame = site.frame
    found = [_mark(each, raw, site) if isinstance(each, str) else _point(each) for each in stated]
    known = [at if frame is None else frame.point(at) for at in found if at is not None]
    return known if len(known) == len(found) else None


def _mark(name: str, raw: Mapping[str, Any], site: Site) -> Vec | None:
    """m in the file's own coordinates; None for a mark that is nowhere yet."""
    stated = next(
        (entry.get("at") for _, entry in _tables(raw, "mark") if entry.get("name") == name), None
    )
    places = () if site.surveyed is None else site.surveyed.places
    measured = next((place.at for place in places if place.name == name), None)
    return _point(stated) if stated is not None else measured


def _point(stated: Any) -> Vec | None:
    """m in the file's own coordinates; None for what is no point."""
    if not isinstance(stated, list) or len(stated) != 3:
        return None
    try:
        x, y, z = (parse(each, Dimension.LENGTH).stated for each in stated)
    except ValueError:
        return None
    return (x, y, z)
