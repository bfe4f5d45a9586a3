"""What becomes of one kind of knot, splice or fitting at each place it may be wanted.

Every cell of the table is a small job of its own: a site file in which nothing but that kind could make
the end fast, given to the command that answers such jobs. What the answer makes of it is the cell.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from catalogue.book import load_catalogue
from catalogue.gear import Rope, Termination
from catalogue.prices import PricedItem
from optimiser.jobs.buy.shop import buy
from optimiser.jobs.hold.find import hold
from optimiser.jobs.lower.answer import lower
from optimiser.jobs.question import BuyQuestion, RankQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.setup import Hung, Setup
from optimiser.site.model import Owned, Site
from optimiser.site.reading import read_site
from tests.holding import ground

BOOK = load_catalogue().terminations
STRAIGHT, SHACKLED, ROUND, GRIPS, JOINS, NOT = "=", "s", "o", "g", "j", "-"
"""Straight on it; by a shackle; round the trunk itself, no strap; on the rope; rope to rope; not at all."""

SITE = """
title = "one end of a rope"
[path]
start = ["0 m", "0 m", "0 m"]
[[path.leg]]
to = ["{to}", "0 m", "{rise}"]
surface = "grass"
resistance = {resistance}
[load]
weight = "100 kg"
rests_on = "skids"
length = "1 m"
overhang = "0.5 m"
{bridle}
{hitches}
{anchors}
{puller}
{gear}
[preferences]
knots = {knots}
side_pull_sliding = 0.9
"""
HITCH = """[[load.hitch]]
name = "{name}"
ahead = "0.5 m"
left = "{left}"
height = "0.4 m"
rating = "{rating}"
{more}
"""
TREE = """[[tree]]
name = "{name}"
at = ["{x}", "{y}", "0.4 m"]
diameter = "40 cm"
species = "oak-european"
tree_height = "15 m"
strap_heights = ["0.4 m"]
"""
ANCHOR = """[[anchor]]
name = "{kind}"
kind = "{kind}"
at = ["11 m", "0.8 m", "0.4 m"]
rating = "30 kN"
strap_heights = ["0.4 m"]
{more}
"""
PEOPLE = """[[puller]]
kind = "people"
name = "people"
count = 5
per_head = "{each}"
at = ["10 m", "-1 m", "0.4 m"]
towards = ["20 m", "-3 m", "0.4 m"]
run = "8 m"
"""
VEHICLE = """[[puller]]
kind = "vehicle"
name = "tractor"
at = ["10 m", "-1 m", "0.4 m"]
towards = ["20 m", "-3 m", "0.4 m"]
run = "8 m"
pull = "620 N"
hitch_height = "0.5 m"
hitch_rating = "20 kN"
"""
WINCH = """[[puller]]
kind = "hand winch"
name = "winch"
anchor = "ash"
height = "0.4 m"
rating = "620 N"
purchase = "9 m"
"""
ROPE = """[[gear]]
id = "{id}"
name = "{name}"
length = "{length}"
ends = {ends}
condition = "new"
"""
HARD = """[[gear]]
kind = "block"
name = "block"
sheave_diameter = "200 mm"
rope_least = "6 mm"
rope_most = "16 mm"
rating = "40 kN"
opens = true
bearing = "roller"
efficiency = 0.9
length = "20 cm"
eye = "40 mm"
count = {blocks}
condition = "new"
[[gear]]
id = "shackle-11"
count = 12
condition = "new"
"""
STRAP = """[[gear]]
id = "sling-60-3m"
name = "strap"
count = {count}
condition = "new"
"""


@dataclass(frozen=True)
class Job:
    """The parts of a site file that differ from place to place."""

    hitches: str = ""
    anchors: str = ""
    puller: str = PEOPLE.format(each="300 N")
    straps: int = 0
    blocks: int = 1
    lengths: tuple[str, ...] = ("30 m",)
    bridle: str = ""
    strap: str = STRAP
    steep: bool = False
    both_ends: bool = False  # a wire rope has the fitting on both ends, and a strap to hang one in
    helper: bool = False  # the other end of each rope has a spliced eye
    besides: tuple[str, ...] = ()  # knots that are known besides

    def site(self, kind: Termination) -> Site:
        """The site with ropes that the kind is made in, or that have it on an end."""
        wire = kind.for_wire
        straps = 1 if self.both_ends and wire else self.straps
        known = [kind.id, *(() if wire else self.besides)] if kind.tied else list(self.besides)
        here = "bare" if kind.tied or kind.joins_ropes else kind.id
        other = ("wire-sleeve" if wire else "eye-splice") if self.helper else "bare"
        if self.both_ends and wire:
            other = here
        ropes = "".join(
            ROPE.format(
                id="wire-8" if wire else "polyester-12", name=f"rope {n}", length=length,
                ends=_list([other, here]),
            )
            for n, length in enumerate(self.lengths)
        )  # fmt: skip
        text = SITE.format(
            to="4 m", rise="2 m" if self.steep else "0.4 m",
            resistance=0.1 if self.steep else 0.6, bridle=self.bridle,
            hitches=self.hitches or HITCH.format(name="eye", left="0 m", rating="20 kN", more=""),
            anchors=self.anchors, puller=self.puller,
            gear=ropes + HARD.format(blocks=self.blocks)
            + (self.strap.format(count=straps) if straps else ""),
            knots=_list(known),
        )  # fmt: skip
        return read_site(text)


def _list(words: Iterable[str]) -> str:
    return "[" + ", ".join(f'"{word}"' for word in words) + "]"


def _hitch(more: str) -> str:
    return HITCH.format(name="eye", left="0 m", rating="20 kN", more=more)


WEAK = PEOPLE.format(each="124 N")
"""Too few for one part of line: they need two, and one block is there."""
TREES = TREE.format(name="oak", x="11 m", y="0.8 m")
ASH = TREE.format(name="ash", x="11 m", y="-1.5 m")


def _haul(job: Job, node: int) -> Callable[[Termination], str]:
    """Rank; what holds the end at a node (0 standing, -1 hauling)."""

    def cell(kind: Termination) -> str:
        setups = rank_hauls(job.site(kind), RankQuestion(explain=False, compound=False)).setups
        return _seen(setups[0].gear if setups else (), kind, setups[0] if setups else None, node)

    return cell


def _seen(gear: Iterable[Hung], kind: Termination, setup: Setup | None, node: int) -> str:
    at = len(setup.nodes) - 1 if node < 0 and setup is not None else node
    for hung in gear:
        if hung.role == "tie" and hung.nodes == (at,) and hung.how.startswith(kind.name):
            return ROUND
        if hung.role == "end" and hung.nodes == (at,) and hung.how == kind.name:
            mark = (-1,) if node < 0 else (at,)
            shackled = any(other.role == "shackle" and other.nodes == mark for other in gear)
            return SHACKLED if shackled else STRAIGHT
    return NOT


def _lengthened(kind: Termination) -> str:
    """A rope that is too short, tied straight to a long strap that a shackle holds on the load."""
    job = Job(lengths=("9 m",), straps=1, strap=STRAP.replace("3m", "4m"))

    site = job.site(kind)
    setups = rank_hauls(
        site, RankQuestion(explain=False, compound=False), kit=with_joined(kit_of(site))
    ).setups
    ends = [h for s in setups for h in s.gear if h.role == "end" and h.nodes == (0,)]
    lengthens = any(h.role == "extension" for s in setups for h in s.gear)
    return STRAIGHT if lengthens and ends and ends[0].how == kind.name else NOT


def _joined(kind: Termination) -> str:
    """Two ropes, each too short by itself."""

    site = Job(lengths=("8 m", "8 m"), helper=True).site(kind)
    setups = rank_hauls(
        site, RankQuestion(explain=False, compound=False), kit=with_joined(kit_of(site))
    ).setups
    return JOINS if any(h.role == "bend" for s in setups for h in s.gear) else NOT


def _gripped(kind: Termination) -> str:
    """Tackle on tackle: what holds the second rope's tackle on the first rope."""
    site = _tackles()
    eye = BOOK["wire-sleeve" if kind.for_wire else "eye-splice"]

    def changed(piece: Owned) -> Owned:
        if not isinstance(piece.gear, Rope):
            return piece
        wire = replace(piece.gear, material="wire", knottable=False)
        return replace(piece, gear=wire if kind.for_wire else piece.gear, ends=(eye, None))

    knots = (kind,) if kind.tied else ()
    site = replace(
        site,
        gear=tuple(map(changed, site.gear)),
        preferences=replace(site.preferences, knots=knots),
    )
    setups = rank_hauls(site, RankQuestion(top=3, explain=False, compound=True)).setups
    grips = [h.how for s in setups for h in s.gear if h.role == "grip"]
    return GRIPS if any(how.startswith(kind.name) for how in grips) else NOT


@cache
def _tackles() -> Site:
    return read_site(Path("examples/two-tackles.toml"))


def _lowered(kind: Termination) -> str:
    """Let down by turns round a trunk; the kind is at the load."""
    above = TREES.replace('0.4 m"]\ndia', '5 m"]\ndia')
    setups = lower(Job(anchors=above, steep=True).site(kind)).setups
    return _seen(setups[0].gear if setups else (), kind, None, 0)


@cache
def _dip() -> tuple[Site, Setup]:
    uphill = ground.path(ground.UP)
    wide = tuple(replace(hitch, eye=0.06) for hitch in uphill.load.hitches)
    uphill = replace(uphill, load=replace(uphill.load, hitches=wide))
    return uphill, rank_hauls(uphill, RankQuestion(explain=False, compound=False))[0]


def _held(kind: Termination) -> str:
    """A holding line of what the haul leaves; the kind is at the load."""
    uphill, setup = _dip()
    end = None if kind.tied or kind.joins_ropes else kind

    def changed(piece: Owned) -> Owned:
        if piece.name == setup.rope.name or not isinstance(piece.gear, Rope):
            return piece
        wire = replace(piece.gear, material="wire", knottable=False)
        gear = wire if kind.for_wire else piece.gear
        return replace(piece, gear=gear, ends=(end, None))

    knots = (kind,) if kind.tied else ()
    site = replace(
        uphill,
        gear=tuple(map(changed, uphill.gear)),
        preferences=replace(uphill.preferences, knots=knots),
    )
    lines = hold(site, setup).lines
    return _seen(lines[0].gear if lines else (), kind, None, 0)


def _bought(kind: Termination) -> str:
    """A rope that is bought, bare at both ends."""
    site = Job(lengths=()).site(kind)
    gear = load_catalogue().ropes["wire-8" if kind.for_wire else "polyester-12"]
    item = PricedItem(id="new", gear=gear, price=10.0, length=30.0)
    options = buy(
        site,
        BuyQuestion(most_stages=1, steps=0, explain=False, compound=False),
        items={"new": item},
    ).options
    setups = [option.setup for option in options]
    return _seen(setups[0].gear if setups else (), kind, None, 0)


_TO_ROCK = Job(anchors=ANCHOR.format(kind="boulder", more='girth = "1.2 m"'), puller=WEAK)
PLACES: dict[str, Callable[[Termination], str]] = {
    "load": _haul(Job(), 0),
    "load: eye of 16 mm": _haul(Job(hitches=_hitch('eye = "16 mm"')), 0),
    "load: hook": _haul(Job(hitches=_hitch('kind = "hook"')), 0),
    "load: bar": _haul(Job(hitches=_hitch('kind = "bar"')), 0),
    "bridle's ring": _haul(
        Job(
            hitches=HITCH.format(name="left", left="0.4 m", rating="700 N", more="")
            + HITCH.format(name="right", left="-0.4 m", rating="700 N", more=""),
            bridle='bridle = true\nbridle_leg = "1 m"',
            straps=2,
            strap=STRAP.replace("3m", "1m"),
            puller=PEOPLE.format(each="300 N"),
        ),
        0,
    ),
    "strap round a boulder": _haul(replace(_TO_ROCK, straps=1), 0),
    "tree": _haul(Job(anchors=TREES, puller=WEAK), 0),
    "post of 9 cm": _haul(
        Job(anchors=ANCHOR.format(kind="post", more='girth = "0.283 m"'), puller=WEAK), 0
    ),
    "boulder": _haul(_TO_ROCK, 0),
    "anchor ring": _haul(Job(anchors=ANCHOR.format(kind="ring", more=""), puller=WEAK), 0),
    "vehicle": _haul(
        Job(anchors=TREES, puller=VEHICLE, both_ends=True, besides=("trunk-wraps",)), -1
    ),
    "winch": _haul(
        Job(anchors=TREES + ASH, puller=WINCH, both_ends=True, besides=("trunk-wraps",)), -1
    ),
    "lengthening strap": _lengthened,
    "along a rope": _gripped,
    "end of a rope": _joined,
    "load, let down": _lowered,
    "load, held back": _held,
    "load, new rope": _bought,
}


def table(kinds: Iterable[str] = tuple(BOOK)) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each kind with what the program makes of it, place by place."""
    for kind in kinds:
        yield kind, tuple(cell(BOOK[kind]) for cell in PLACES.values())
