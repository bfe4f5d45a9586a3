"""Draws what stands on the ground in the plan view: trees and anchors, posts, the load, the puller."""

from math import hypot

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.walk import LOAD, Place, PlaceKind
from optimiser.sheet.drawing.labels import Label, folded, short
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.style import FILL, MOVED, OUTLINE, ROPE, SMALL, STANDS, THIN, USED
from optimiser.sheet.drawing.view import Layout, Point, View, outline, pair
from optimiser.sheet.shown.seen import Seen
from optimiser.site.model import Anchor, AnchorKind, Hitch, Puller
from shared.units import Dimension, show

MOST_NAMED = 24
"""Of more trees and anchors on which nothing is rigged the names that find no room are left out."""
HITCH = 0.7
"""mm: the circle of a hitch."""
MOST_RESETS = 6
"""Beyond so many resets only the place of each is marked."""


def anchors(panel: Panel, laid: Layout, drawn: Seen) -> None:
    """Trees and other anchors to scale, those in use marked; posts no line may run through."""
    shared = {name for a in drawn.shown_anchors if a.sling is not None for name in a.sling.trees}
    for anchor in drawn.shown_anchors:
        mine = anchor.name in drawn.used_anchors
        if anchor.sling is not None:
            _sling(panel, laid, drawn, anchor)
        elif anchor.name in shared and drawn.ropes:
            _anchor(panel, laid, drawn, anchor, mine=False, shares=True)
        elif mine or laid.shows(np.array(anchor.position[:2])):
            _anchor(panel, laid, drawn, anchor, mine=mine)
    for post in drawn.site.obstacles:
        at = np.array(post.position[:2])
        if not laid.shows(at):
            continue
        x, y = pair(laid.view(at))
        radius = max(post.radius * laid.view.scale, 0.9)
        panel.keep_free((x, y), radius)
        panel.circle((x, y), radius, OUTLINE, fill="black")
        text = _lines(folded(post.name, 14), drawn.post_words(post), drawn.good_to.get(post.name))
        panel.label(
            Label(text=text, at=(x, y), size=SMALL, clear=radius, needed=bool(drawn.hitches))
        )


def _sling(panel: Panel, laid: Layout, drawn: Seen, anchor: Anchor) -> None:
    """The two legs of a sling between trees, and the shackle that runs on it."""
    place = drawn.runs_at(anchor.name)
    if anchor.sling is None or place is None:
        return
    at = pair(laid.view(place[:2]))
    for tie in anchor.sling.ties:
        panel.line([pair(laid.view(np.array(tie[:2]))), at], OUTLINE, order=4.5, avoid=1.0)
    panel.circle(at, 1.3, THIN, fill="white")
    words = drawn.sling_words(anchor)
    named(panel, drawn, Place(PlaceKind.ANCHOR, anchor.name), words, at, 1.3)


def _anchor(
    panel: Panel, laid: Layout, drawn: Seen, anchor: Anchor, *, mine: bool, shares: bool = False
) -> None:
    x, y = pair(laid.view(np.array(anchor.position[:2])))
    radius = max(anchor.radius * laid.view.scale, 0.9)
    panel.keep_free((x, y), radius)
    way = drawn.faces.get(anchor.name)
    if anchor.uses and not mine:
        spot_sign(panel, (x, y))
    elif way is None:
        carries = mine or shares
        panel.circle(
            (x, y), radius, OUTLINE if carries else THIN, fill=USED if carries else "white"
        )
    else:
        ahead = np.array(anchor.position[:2]) + np.array((np.cos(way), np.sin(way)))
        made_sign(panel, (x, y), np.array(pair(laid.view(ahead))) - (x, y), anchor.kind)
    if anchor.kind is AnchorKind.TREE:
        panel.line([(x - radius, y), (x + radius, y)], THIN, order=4.1, avoid=0.0)
        panel.line([(x, y - radius), (x, y + radius)], THIN, order=4.1, avoid=0.0)
    if mine:
        panel.circle((x, y), radius + 0.7, ROPE if anchor.girth else THIN, fill="none")
    wording = drawn.anchor_words(anchor)
    if mine:
        named(panel, drawn, Place(PlaceKind.ANCHOR, anchor.name), wording, (x, y), radius + 0.7)
        return
    wording = "" if wording in anchor.name else wording
    name = (
        anchor.uses[-1][0] if anchor.uses else anchor.name
    )  # the spot, on which others may be too
    text = _lines(folded(name, 14), wording, drawn.good_to.get(anchor.name))
    needed = shares or (not drawn.ropes and len(drawn.site.anchors) <= MOST_NAMED)
    panel.label(Label(text=text, at=(x, y), size=SMALL, clear=radius, needed=needed))


def spot_sign(panel: Panel, at: Point) -> None:
    """A spot where an anchor may be made: a cross that lies."""
    x, y = at
    for rise in (-0.9, 0.9):
        panel.line([(x - 0.9, y - rise), (x + 0.9, y + rise)], THIN, order=4.1, avoid=0.4)


def made_sign(panel: Panel, at: Point, ahead: Array, kind: AnchorKind) -> None:
    """An anchor that is made, from above: pickets as bars square to the pull, one behind the other; a buried
    log as a long box square to it; else a box along it. `ahead` (2,): the way of the pull on the page."""
    way = ahead / max(float(np.hypot(*ahead)), 1e-9)
    side = np.array((-way[1], way[0]))
    if kind is AnchorKind.PICKET_HOLDFAST:
        for back in (0.0, 1.1, 2.2):
            middle = np.array(at) - back * way
            panel.line([pair(middle - 0.9 * side), pair(middle + 0.9 * side)], OUTLINE, order=4.1)
        return
    long, wide = (0.5, 1.8) if kind is AnchorKind.BURIED_LOG else (1.8, 0.9)
    box = [at + a * long * way + b * wide * side for a, b in ((1, 1), (1, -1), (-1, -1), (-1, 1))]
    panel.shape([pair(corner) for corner in box], OUTLINE, fill=USED, order=4.1)


def _lines(*texts: str | None) -> str:
    """Texts over each other, those that are empty left out."""
    return "\n".join(filter(None, texts))


def named(panel: Panel, drawn: Seen, place: Place, wording: str, at: Point, clear: float) -> None:
    """The letter and the name of a place the rope goes to, and a line about it, in a frame."""
    letter = drawn.letters.get((place.kind, place.name))
    text = " ".join(filter(None, (letter, folded(drawn.name(place), 16))))
    text = f"{text}\n{wording}" if wording else text
    panel.label(Label(text=text, at=at, bold=True, frame=0.6, needed=True, clear=clear))


def load(panel: Panel, view: View, drawn: Seen) -> None:
    """The load where it starts, where it stands at each reset, and where it ends."""
    stages = [("end", drawn.end)] + [
        (f"{drawn.stop_word} {i}", drawn.station(at)) for i, at in enumerate(drawn.stops, start=1)
    ]
    shown = stages if len(stages) <= MOST_RESETS + 1 else stages[:1]
    for _, station in stages[1:] if shown is not stages else []:
        panel.circle(pair(view(drawn.stations.point[station])), 0.7, THIN, order=2.3, avoid=0.6)
    for name, station in [*shown, ("start", drawn.begin)]:
        corners = view(outline(drawn, station))
        start = name == "start"
        panel.shape(
            corners,
            OUTLINE if start else MOVED,
            fill=FILL if start else "none",
            order=2.5 if start else 2.2,
            avoid=0.8,
        )
        side = pair(corners[[2, 3]].mean(axis=0))
        panel.label(Label(text=name, at=side, size=SMALL, needed=start or name == "end"))
    middle = pair(view(outline(drawn, drawn.begin)).mean(axis=0))
    for hitch in drawn.hitches:
        _hitch(panel, view, drawn, hitch)
    size = drawn.site.load
    panel.keep_free(middle, min(size.width, size.length) / 2 * view.scale)
    named(panel, drawn, LOAD, "", middle, 1.5)


def _hitch(panel: Panel, view: View, drawn: Seen, hitch: Hitch) -> None:
    """A hitch of the load where it starts."""
    stations = drawn.stations
    along, across = stations.along[drawn.begin], stations.across[drawn.begin]
    at = pair(view(stations.point[drawn.begin] + hitch.ahead * along + hitch.left * across))
    panel.circle(at, HITCH, OUTLINE, fill="white", order=4.2)
    panel.label(Label(text=folded(hitch.name, 16), at=at, size=SMALL, clear=HITCH))


def room(panel: Panel, view: View, drawn: Seen, who: Puller) -> None:
    """The ground that a puller may stand on, where it has more than one spot: its edges, and a name."""
    if who.room is None:
        return
    sides = who.room.sides
    for side in sides:
        panel.line(view(np.array(side)), STANDS, order=1.8, avoid=0.3)
    inside = [pair(at) for side in sides for at in view(np.array(side))]
    text = f"{who.room.word} of\n{short(who.name, 16)}"
    panel.label(
        Label(text=text, at=inside[0], size=SMALL, italic=True, clear=0.5, centres=tuple(inside))
    )


def puller(panel: Panel, view: View, drawn: Seen, who: Puller) -> None:
    """Where the puller stands first, and its run: paying out it comes back along it."""
    near, far = view(drawn.run(who))
    way = view.turned(np.array(who.heading)) - view.turned(np.zeros(3))
    flat = float(hypot(*way))
    unit = way / flat if flat > 1e-6 else np.array((0.0, 1.0))
    across = np.array((-unit[1], unit[0]))

    def body(at: Array) -> Array:
        return np.array(
            [at - 1.6 * across, at + 3.2 * unit - 1.6 * across, at + 5.0 * unit,
             at + 3.2 * unit + 1.6 * across, at + 1.6 * across]
        )  # fmt: skip

    wording = ""
    if who.run > 0.0:
        panel.shape(body(far), MOVED, order=3.5)
        way_back = [near - 0.5 * unit, far + 5.0 * unit]
        panel.line(
            way_back if drawn.downward else [near + 5.5 * unit, far], THIN, order=3.4, arrow=True
        )
        wording = f"run {show(who.run, Dimension.LENGTH, drawn.site.preferences.units)}"
    if who.anchor:
        box = [
            near + dx * unit * 1.5 + dy * across * 1.5
            for dx, dy in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
        panel.shape(box, OUTLINE, fill="white", order=4.2)
        wording = f"made fast to {short(who.anchor)}"
    else:
        panel.shape(body(near), OUTLINE, fill="white", order=4.2)
    if who.room is not None and not drawn.ropes:
        wording = "may stand here"
    middle = pair(near + 2.5 * unit if not who.anchor else near)
    panel.keep_free(middle, 2.0)
    wording = _lines(wording, drawn.good_to.get(who.name))
    named(panel, drawn, Place(PlaceKind.PULLER, who.name), wording, middle, 2.0)
