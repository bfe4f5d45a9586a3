"""Draws the legend: what the lines and hatchings of the drawings mean."""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from optimiser.rig.ground.keepout import Danger
from optimiser.rig.walk import PlaceKind
from optimiser.sheet.drawing import doubts
from optimiser.sheet.drawing.from_above import HATCHES
from optimiser.sheet.drawing.labels import fitted
from optimiser.sheet.drawing.laid_things import plan_sign
from optimiser.sheet.drawing.panel import Panel
from optimiser.sheet.drawing.plan_ropes import grip_sign, hand_sign
from optimiser.sheet.drawing.plan_things import HITCH, made_sign, spot_sign
from optimiser.sheet.drawing.style import (
    MOVED,
    OUTLINE,
    ROPE,
    SMALL,
    STANDS,
    THIN,
    TRAVEL,
    USED,
    WIDTH,
    Line,
)
from optimiser.sheet.shown.seen import Seen
from optimiser.site.model import AnchorKind

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_ROW, _EDGE = 4.8, 0.6
_SWATCH, _RIGHT = 9.0, 31.0
_BESIDE = 3
"""Rows of hatchings that have the whole width."""

_HATCHED = (
    (Danger.BIGHT, "NOBODY: inside the rope's angle"),
    (Danger.RECOIL, "NOBODY: in line with the rope"),
    (Danger.BELOW, "NOBODY: where the load can run"),
)

Sign = Callable[[Panel, tuple[float, float]], None]


def height(drawn: Seen) -> float:
    """mm the legend needs."""
    hatched = _hatched(drawn)
    beside = min(_BESIDE, len(hatched))
    rows = max(len(hatched) + len(_lines(drawn)), beside + len(_signs(drawn)))
    return (rows + len(doubts.words(drawn))) * _ROW + _EDGE


def draw(figure: "Figure", corner: tuple[float, float], drawn: Seen, width: float = WIDTH) -> Panel:
    """Draw the legend."""
    high = height(drawn)
    panel = Panel(figure, corner, width, high)
    y = high - 2.6
    hatched = _hatched(drawn)
    for danger, text in hatched:
        box = [(1.0, y - 1.7), (1.0 + _SWATCH, y - 1.7), (1.0 + _SWATCH, y + 1.7), (1.0, y + 1.7)]
        panel.hatched([box], HATCHES[danger])
        panel.shape(box, THIN, avoid=0.0)
        panel.fixed(text, (_SWATCH + 3.0, y), size=SMALL, bold=True)
        y -= _ROW
    for style, text in _lines(drawn):
        panel.line([(1.0, y), (1.0 + _SWATCH, y)], style, avoid=0.0)
        room = width - _RIGHT - _SWATCH - 6.0
        panel.fixed(fitted(text, room, SMALL), (_SWATCH + 3.0, y), size=SMALL)
        y -= _ROW
    x, y = width - _RIGHT, high - 2.6 - min(_BESIDE, len(hatched)) * _ROW
    for sign, text in _signs(drawn):
        sign(panel, (x, y))
        panel.fixed(text, (x + 3.4, y), size=SMALL)
        y -= _ROW
    for i, text in enumerate(reversed(doubts.words(drawn))):
        panel.fixed(text, (1.0, _EDGE + 1.6 + i * _ROW), size=SMALL)
    panel.finish()
    return panel


def _hatched(drawn: Seen) -> Sequence[tuple[Danger, str]]:
    return _HATCHED if drawn.ropes else ()


def _lines(drawn: Seen) -> list[tuple[Line, str]]:
    one = len(drawn.ropes) == 1
    ropes = [
        (rope.style, "rope, part by part" if one else f"{rope.called}, {rope.numbers}")
        for rope in drawn.ropes
    ]
    out = [*ropes, (TRAVEL, "way of the load"), (MOVED, "where it stands later")]
    rooms = dict.fromkeys(who.room.word for who in drawn.pullers if who.room is not None)
    out += [(STANDS, f"edge of the {word}") for word in rooms]
    if drawn.straps and not drawn.ropes:
        out.append((ROPE, "band: a strap may sit here"))
    return out


def _signs(drawn: Seen) -> Sequence[tuple[Sign, str]]:
    if not drawn.ropes:
        return _site_signs(drawn)
    out: list[tuple[Sign, str]] = [
        (lambda panel, at: panel.square(at, 1.0), "standing end"),
        (_tree, "tree in use"),
        *_made_signs(drawn),
        (lambda panel, at: panel.circle(at, 1.0, OUTLINE, fill="black", avoid=0.0), "in the way"),
        (lambda panel, at: panel.circle(at, 1.25, OUTLINE, avoid=0.0), "block"),
    ]
    if any(place.kind is PlaceKind.GRIP for place in drawn.places):
        out.append((lambda panel, at: grip_sign(panel, at, (1.0, 0.0)), "grip"))
    if drawn.edges:
        out.append((_laid, "under the rope"))
    if any(rope.turns for rope in drawn.ropes):
        out.append((_turns, "full turns"))
        out.append((lambda panel, at: hand_sign(panel, at, (1.0, 0.0)), "hand that holds"))
    return out


def _site_signs(seen: Seen) -> Sequence[tuple[Sign, str]]:
    """Those of a site on which nothing is rigged."""
    out: list[tuple[Sign, str]] = [
        (_unused, "tree"),
        (lambda panel, at: panel.circle(at, HITCH, OUTLINE, avoid=0.0), "hitch"),
    ]
    if any(anchor.uses for anchor in seen.shown_anchors):
        out.append((spot_sign, "may be made"))
    if any(anchor.kind is not AnchorKind.TREE for anchor in seen.site.standing):
        out.append((lambda panel, at: panel.circle(at, 1.3, THIN, avoid=0.0), "other anchor"))
    if seen.site.obstacles:
        out.append(
            (
                lambda panel, at: panel.circle(at, 1.0, OUTLINE, fill="black", avoid=0.0),
                "in the way",
            )
        )
    if seen.edges:
        out.append((_laid, "lies there already"))
    if any(doubt.mark for doubt in seen.doubts):
        out.append((doubts.cross, "mark"))
    if seen.doubts:
        out.append((_ellipse, "it lies in there"))
    return out


def _made_signs(drawn: Seen) -> Iterator[tuple[Sign, str]]:
    """Those of anchors that have to be made."""
    names = {AnchorKind.PICKET_HOLDFAST: "pickets", AnchorKind.BURIED_LOG: "buried log"}
    kinds = dict.fromkeys(drawn.site.anchor(name).kind for name in drawn.faces)
    for kind in kinds:

        def sign(panel: Panel, at: tuple[float, float], kind: AnchorKind = kind) -> None:
            made_sign(panel, (at[0] + 1.0, at[1]), np.array((1.0, 0.0)), kind)

        yield sign, names.get(kind, kind.value)


def _unused(panel: Panel, at: tuple[float, float]) -> None:
    x, y = at
    panel.circle(at, 1.3, THIN, avoid=0.0)
    panel.line([(x - 1.3, y), (x + 1.3, y)], THIN, order=4.1, avoid=0.0)
    panel.line([(x, y - 1.3), (x, y + 1.3)], THIN, order=4.1, avoid=0.0)


def _ellipse(panel: Panel, at: tuple[float, float]) -> None:
    angles = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    panel.shape(np.array(at) + np.stack([2.2 * np.cos(angles), 1.2 * np.sin(angles)], axis=-1), THIN,
                avoid=0.0)  # fmt: skip


def _laid(panel: Panel, at: tuple[float, float]) -> None:
    x, y = at
    box = ((-1.9, -0.9), (-1.9, 0.9), (1.9, 0.9), (1.9, -0.9))
    plan_sign(panel, np.array([(x + dx, y + dy) for dx, dy in box]))


def _tree(panel: Panel, at: tuple[float, float]) -> None:
    panel.circle(at, 1.1, OUTLINE, fill=USED, avoid=0.0)
    panel.circle(at, 1.7, ROPE, fill="none", avoid=0.0)


def _turns(panel: Panel, at: tuple[float, float]) -> None:
    panel.circle(at, 0.8, OUTLINE, fill=USED, avoid=0.0)
    for radius in (1.3, 1.8):
        panel.circle(at, radius, THIN, fill="none", avoid=0.0)
