"""How the rope is threaded, every part by itself: anchors above, the load below, left to right.

Not to scale. Each part hangs between its two sheaves; each sheave turns the rope into the next part,
so that following the rope from the left is following the numbers.
"""

import itertools
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

from optimiser.sheet.labels import fitted, measure, wrapped
from optimiser.sheet.panel import Panel
from optimiser.sheet.rigged import Rigged
from optimiser.sheet.style import FILL, OUTLINE, ROPE, SMALL, TEXT, THIN, WIDTH
from shared.units import Dimension, Rounding, show

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HEIGHT = 72.0
_TOP, _BOTTOM = 46.0, 20.0
"""mm, of the sheaves at the anchors and of those on the load."""
_EDGE = 9.0
_LEVEL = 1.7
"""Distance of two sheaves at the same level, in distances of neighbouring parts."""


@dataclass(frozen=True)
class Knee:
    """A place of the rope in the diagram: where its centre is, and which way the rope leaves it."""

    x: float
    y: float
    upper: bool
    before: str  # "part" (plumb), "level" or "end"
    after: str


def draw(
    figure: "Figure", corner: tuple[float, float], rigged: Rigged, width: float = WIDTH
) -> Panel:
    """Draw the diagram with its lower left corner at `corner`, mm."""
    panel = Panel(figure, corner, width, HEIGHT)
    knees, radius = _places(rigged, width)
    _rope(panel, knees, radius)
    _anchors(panel, rigged, knees, radius)
    _load(panel, rigged, knees, radius)
    _puller(panel, rigged, knees)
    _numbers(panel, rigged, knees, radius)
    panel.finish()
    return panel


def _places(rigged: Rigged, width: float) -> tuple[list[Knee], float]:
    """Centres of the sheaves. A plumb part stands one radius right of its first sheave and one left of
    its second; two places at one level stand further apart."""
    walk = rigged.setup.walk
    last = len(walk) - 1
    upper = [place.kind == "anchor" for place in walk]
    upper[last] = not upper[last - 1]  # the hauling part is drawn plumb, like the others
    level = [upper[i] == upper[i + 1] for i in range(last)]
    steps = [_LEVEL if flat else 1.0 for flat in level]
    if last > 0:
        steps[-1] = 0.5  # it ends at the puller, which has no sheave
    steps[0] = steps[0] - 0.5 if not level[0] else steps[0]
    pitch = min((width - 2 * _EDGE) / max(sum(steps), 1.0), 17.0)
    x = (width - pitch * sum(steps)) / 2
    out = []
    for i in range(last + 1):
        before = "end" if i == 0 else "level" if level[i - 1] else "part"
        after = "end" if i == last else "level" if level[i] else "part"
        out.append(Knee(x, _TOP if upper[i] else _BOTTOM, upper[i], before, after))
        x += pitch * steps[i] if i < last else 0.0
    return out, pitch / 2


def _span(
    knees: list[Knee], k: int, radius: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """The two ends of part k."""
    a, b = knees[k], knees[k + 1]
    if a.after == "level":
        sign = 1.0 if a.upper else -1.0
        return (a.x, a.y + sign * radius), (b.x, b.y + sign * radius)
    right = a.x + (radius if k > 0 else 0.0)
    return (right, a.y), (right, b.y)


def _rope(panel: Panel, knees: list[Knee], radius: float) -> None:
    last = len(knees) - 1
    for k in range(last):
        a, b = _span(knees, k, radius)
        panel.line([a, b], ROPE, order=5.0, arrow=k == last - 1)
    for knee in knees[1:-1]:
        panel.circle((knee.x, knee.y), radius - 0.8, OUTLINE, order=4.0)
        panel.circle((knee.x, knee.y), 0.5, OUTLINE, fill="black", order=4.1)
        begin = {"part": pi, "level": pi / 2}[knee.before]
        end = {"part": 0.0, "level": pi / 2}[knee.after]
        sign = 1.0 if knee.upper else -1.0
        panel.arc((knee.x, knee.y), radius, sign * begin, sign * end, ROPE, order=5.0)
    first = knees[0]
    panel.square(_end_of(first, radius), 1.2, order=6.0)


def _end_of(knee: Knee, radius: float) -> tuple[float, float]:
    sign = 1.0 if knee.upper else -1.0
    return (knee.x, knee.y + sign * radius) if knee.after == "level" else (knee.x, knee.y)


def _anchors(panel: Panel, rigged: Rigged, knees: list[Knee], radius: float) -> None:
    """A bar above each sheave at an anchor, with its letter, name and strap height."""
    walk = rigged.setup.walk
    system = rigged.site.preferences.units
    upper = [i for i, k in enumerate(knees[:-1]) if k.upper]
    bar = _TOP + radius + 3.0
    for n, i in enumerate(upper):
        knee, place = knees[i], walk[i]
        left = (knees[upper[n - 1]].x + knee.x) / 2 if n else max(0.0, knee.x - 14.0)
        right = (
            (knees[upper[n + 1]].x + knee.x) / 2
            if n + 1 < len(upper)
            else min(panel.width, knee.x + 14.0)
        )
        half = min(knee.x - left, right - knee.x) - 0.8
        panel.line(
            [(knee.x, _end_of(knee, radius)[1] if i == 0 else knee.y), (knee.x, bar)], OUTLINE
        )
        panel.line([(knee.x - half, bar), (knee.x + half, bar)], ROPE)
        height = show(place.height, Dimension.LENGTH, system)
        lines = [
            (rigged.letters[place.name], TEXT, True),
            *((line, SMALL, False) for line in _two(place.name, 2 * half)),
            (fitted(f"{height} up", 2 * half, SMALL), SMALL, False),
        ]
        _stacked(panel, lines, knee.x, bar + 1.0)


def _two(text: str, width: float) -> list[str]:
    """A name in at most two lines."""
    lines = wrapped(text, width, SMALL)
    return lines if len(lines) < 3 else [lines[0], fitted(" ".join(lines[1:]), width, SMALL)]


def _stacked(
    panel: Panel, lines: list[tuple[str, float, bool]], x: float, y: float, *, down: bool = False
) -> None:
    """Lines of text over each other, the last one just above y (or the first just below it)."""
    rows = lines if down else list(reversed(lines))
    for text, size, bold in rows:
        high = measure(text, size, bold)[1]
        y += -high / 2 if down else high / 2
        panel.fixed(text, (x, y), size=size, bold=bold, side="center")
        y += -high / 2 if down else high / 2


def _load(panel: Panel, rigged: Rigged, knees: list[Knee], radius: float) -> None:
    """One bar for the load, below every sheave on it."""
    on_load = [k for k, p in zip(knees[:-1], rigged.setup.walk, strict=False) if p.kind == "load"]
    top = _BOTTOM - radius - 3.0
    for knee in on_load:
        panel.line([(knee.x, top), (knee.x, knee.y)], OUTLINE)
    left, right = min(k.x for k in on_load) - radius, max(k.x for k in on_load) + radius
    text = f"{rigged.letters['']} {rigged.site.load.name}"
    most = panel.width - 0.5
    if knees[-1].y < _TOP:  # the puller's name is beside it
        most = max(knees[-1].x - 13.0, max(k.x for k in on_load) + 1.0)
    right = min(right, most)
    lacks = max(measure(text, TEXT, True)[0] + 2.0 - (right - left), 0.0)
    right, left = min(right + lacks / 2, most), left - lacks / 2
    left = max(left - max(measure(text, TEXT, True)[0] + 2.0 - (right - left), 0.0), 0.5)
    box = [(left, top - 5.0), (right, top - 5.0), (right, top), (left, top)]
    panel.shape(box, OUTLINE, fill=FILL, order=2.0)
    told = fitted(text, right - left - 1.0, TEXT, True)
    panel.fixed(told, ((left + right) / 2, top - 2.5), size=TEXT, bold=True, side="center")


def _puller(panel: Panel, rigged: Rigged, knees: list[Knee]) -> None:
    """The puller at the end of the last part."""
    knee = knees[-1]
    name = rigged.setup.puller.name
    lines = [(rigged.letters[name], TEXT, True)]
    room = 2 * min(knee.x, panel.width - knee.x) - 1.0
    lines += [(line, SMALL, False) for line in _two(name, min(max(room, 14.0), 24.0))]
    lines.append(("pulls", SMALL, False))
    _stacked(panel, lines, knee.x, knee.y + (1.2 if knee.upper else -1.2), down=not knee.upper)


def _numbers(panel: Panel, rigged: Rigged, knees: list[Knee], radius: float) -> None:
    """On each part its number, and below that its share of the pull on the load."""
    for k in range(len(knees) - 1):
        a, b = _span(knees, k, radius)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        wide = measure("8", TEXT, True)
        ring = max(wide) / 2 + 0.5
        up = 3.0 if knees[k].after != "level" else 0.0
        panel.circle((middle[0], middle[1] + up), ring, THIN, order=8.0)
        panel.fixed(str(k + 1), (middle[0], middle[1] + up), size=TEXT, bold=True, side="center")
        share = float(rigged.shares[k])
        pulls = "load" in (rigged.setup.walk[k].kind, rigged.setup.walk[k + 1].kind)
        if pulls:
            told = f"{share * 100:.0f} %"
            panel.fixed(told, (middle[0] + 0.9, middle[1] - 3.0), size=SMALL)


def rows(rigged: Rigged) -> list[tuple[str, str, str, str, str]]:
    """For each part: number, from, to, share of the pull on the load, its tension at the worst pull."""
    walk, system = rigged.setup.walk, rigged.site.preferences.units
    out = []
    for k, (a, b) in enumerate(itertools.pairwise(walk)):
        ends = [f"{rigged.letters[p.name]} {p.name or rigged.site.load.name}" for p in (a, b)]
        pulls = "load" in (a.kind, b.kind)
        share = f"{float(rigged.shares[k]) * 100:.0f} %" if pulls else "turns only"
        tension = show(float(rigged.tensions[k]), Dimension.FORCE, system, Rounding.UP)
        out.append((str(k + 1), ends[0], ends[1], share, tension))
    return out
