"""What the layout tests share: made-up sites with a setup each, and boxes measured a second way."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations, count
from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from catalogue.gear import Block, Rope
from optimiser import rank, read_site
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.results import LoweringSetup
from optimiser.jobs.question import LowerQuestion, RankQuestion
from optimiser.jobs.stages.plan import plan_stages
from optimiser.jobs.why.two_ropes import explain
from optimiser.rig.setup import Setup
from optimiser.rig.walk import GRIP, LOAD, Place, PlaceKind
from optimiser.sheet.drawing.panel import drawing
from optimiser.sheet.drawing.pictures import SIGNS, alone, pictures
from optimiser.sheet.shown.drawn import Drawn
from optimiser.sheet.shown.lowered import Lowered
from optimiser.sheet.shown.rigged import Rigged
from optimiser.site.model import Site
from tests.compound.sites import HITCH
from tests.compound.sites import site as compound_site
from tests.generated import Recipe, made_up
from tests.holding.ground import DOWN, UP, path
from tests.lower.bank import bank

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
ALIKE = ("crest-log", "dinghy", "log", "misread-tape", "read-pull", "sledge", "two-birches")
"""Examples that have one of the same kind among the others."""
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
WITH_TWO_ROPES = (0, 6, 8, 12)
"""Numbers of the sites of `tests.compound.sites` of which a test in a hurry takes the compounds."""

Box = tuple[str, float, float, float, float]


def made_up_setups(many: int) -> Iterator[Rigged]:
    """The best setup of each of so many made-up sites; sites where nothing works are passed over."""
    found, seed = 0, 0
    while found < many:
        site = made_up(RECIPES[seed % len(RECIPES)], seed)
        seed += 1
        ranking = rank(site, RankQuestion(top=1))
        if ranking.setups:
            found += 1
            yield Rigged(site, ranking[0])


def made_up_compounds(
    many: int, numbers: Iterator[int] | Sequence[int] | None = None
) -> Iterator[Rigged]:
    """The first setup of two ropes of each of so many made-up sites where there is one."""
    found = 0
    for number in numbers or count():
        if found == many:
            return
        site = compound_site(number)
        ranking = rank(site, RankQuestion(compound=True, explain=False, top=8, everything=True))
        setup = next((s for s in ranking if s.second is not None), None)
        if setup is not None:
            found += 1
            yield Rigged(site, setup)


@cache
def with_two_ropes() -> tuple[Site, Setup]:
    """The workboat with a second, like rope, more blocks and a friction hitch: its tackle on a tackle."""
    site = read_site(str(next(p for p in EXAMPLES if p.stem == "workboat")))
    more = [replace(o, count=o.count + 2) if isinstance(o.gear, Block) else o for o in site.gear]
    more += [replace(o, name=f"second {o.name}") for o in site.gear if isinstance(o.gear, Rope)]
    knots = replace(site.preferences, knots=(*site.preferences.knots, HITCH))
    site = replace(site, gear=tuple(more), preferences=knots)
    left, right = (Place(PlaceKind.ANCHOR, f"{side} pine", 1.2) for side in ("left", "right"))
    walks = (right, LOAD, GRIP), (left, GRIP, left, Place(PlaceKind.PULLER, "club van"))
    setup = explain(site, walks).setup
    assert setup is not None
    return site, setup


@cache
def kept_in_hand(kind: str) -> tuple[Site, Setup]:
    """A path that only dips up, or down and up, hauled with its holding lines."""
    site = {"up": path(UP), "dip": path(DOWN, UP)}[kind]
    ranking = rank(site, RankQuestion(hold=True, top=1))
    assert ranking[0].holding
    return site, ranking[0]


@cache
def let_down() -> tuple[Site, LoweringSetup]:
    """The trolley down its bank, held by turns round a tree."""
    site = bank()
    return site, lower(site, LowerQuestion(top=1))[0]


@cache
def answers(path_: Path | None) -> tuple[Site, tuple[Setup, ...]]:
    """A site file's best setups; its stages where one is not enough, or what a second line makes
    possible; None: the demonstration."""
    site = read_site(None if path_ is None else str(path_))
    ranking = rank(site, RankQuestion(top=3))
    found = ranking.setups or plan_stages(site).stages
    return site, found or rank(site, RankQuestion(hold=True, top=3)).setups


@cache
def ways_down(path_: Path | None) -> tuple[Lowered, ...]:
    """A site file's best hold, or the stages of its way down; () where nothing has to be held."""
    site = read_site(None if path_ is None else str(path_))
    answer = lower(site, LowerQuestion(top=1))
    listed = answer.setups or answer.stages
    several = 1 if answer.setups else len(listed)
    return tuple(Lowered(site, s, i + 1, several) for i, s in enumerate(listed))


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


def wrong_on(drawn: Drawn) -> list[str]:
    """What is wrong with any drawing of a page. The signs are the same on every page of a kind, and
    looked at in the examples."""
    out = []
    for picture in pictures([drawn]):
        if picture.title == SIGNS:
            continue
        figure, panel = alone(picture)
        with drawing():
            out += [f"{picture.title}: {fault}" for fault in faults(figure)]
        out += [f"{picture.title}: no room for {x.text!r}" for x in panel.left_out if x.needed]
    return [f"{drawn.ropes[0].walk} {drawn.site.title}: {fault}" for fault in out]
