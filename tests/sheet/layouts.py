"""What the layout tests share: made-up sites with a setup each, and boxes measured a second way."""

from collections.abc import Iterator
from functools import cache
from itertools import combinations
from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from optimiser import rank, read_site
from optimiser.results import Setup
from optimiser.sheet.rigged import Rigged
from optimiser.site.model import Site
from optimiser.staging.plan import plan_stages
from tests.generated import Recipe, made_up

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
EASY = (
    Recipe(trees=6, heights=1, sheaves=3, items=14),
    Recipe(trees=12, heights=1, sheaves=3, items=16, spacing=1.0),
    Recipe(trees=8, heights=1, sheaves=3, items=16, spacing=1.0, puller="hand winch"),
)
RECIPES = (
    *EASY,
    *EASY,
    Recipe(trees=8, heights=1, sheaves=3, items=16, spacing=1.0, puller="people", light=0.3),
    Recipe(trees=8, heights=1, sheaves=3, items=14, spacing=1.0, rough=True, light=0.5),
    Recipe(trees=4, heights=1, sheaves=2, items=12, spacing=1.0, bridle=True, light=0.6),
)

Box = tuple[str, float, float, float, float]


def made_up_setups(count: int) -> Iterator[Rigged]:
    """The best setup of each of so many made-up sites; sites where nothing works are passed over."""
    found, seed = 0, 0
    while found < count:
        site = made_up(RECIPES[seed % len(RECIPES)], seed)
        seed += 1
        ranking = rank(site, top=1)
        if ranking.setups:
            found += 1
            yield Rigged(site, ranking[0])


@cache
def answers(path: Path | None) -> tuple[Site, tuple[Setup, ...]]:
    """A site file's stages, or its best setups where one stage is enough; None: the demonstration."""
    site = read_site(None if path is None else str(path))
    ranking = rank(site, top=3)
    return site, ranking.setups or plan_stages(site).stages


def boxes(figure: Figure) -> list[Box]:
    """Every text of a figure with the box its renderer gives it, in inches."""
    canvas = FigureCanvasAgg(figure)
    renderer = canvas.get_renderer()  # type: ignore[no-untyped-call]
    out = []
    for axes in figure.axes:
        for text in axes.texts:
            extent = text.get_window_extent(renderer)
            sides = (v / figure.dpi for v in (extent.x0, extent.y0, extent.x1, extent.y1))
            out.append((text.get_text(), *sides))
    return out


def faults(figure: Figure) -> list[str]:
    """Texts that overlap, and texts that leave the page."""
    found = boxes(figure)
    wide, high = figure.get_size_inches()
    slack = 0.02 / 25.4  # in: what two ways of measuring may differ by
    out = [
        f"{text!r} leaves the page"
        for text, left, bottom, right, top in found
        if min(left, bottom) < -slack or right > wide + slack or top > high + slack
    ]
    out += [
        f"{a[0]!r} overlaps {b[0]!r}"
        for a, b in combinations(found, 2)
        if min(a[3], b[3]) - max(a[1], b[1]) > slack and min(a[4], b[4]) - max(a[2], b[2]) > slack
    ]
    return out
