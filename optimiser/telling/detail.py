"""Spells out one setup: where the rope goes, what hangs there, what everything carries, cautions."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist
from typing import TYPE_CHECKING

from catalogue.glossary import explained
from optimiser.jobs.hold.results import of_setup
from optimiser.jobs.remarks import data_end_blocks, used
from optimiser.rig.conditions import unrated
from optimiser.rig.gear.joined import bought_parts
from optimiser.rig.laid_edges import led
from optimiser.rig.naming import counting, run_of_rope, run_of_ropes, spot
from optimiser.rig.setup import Hung, Role, Setup
from optimiser.rig.where_it_stands import sentence as in_full
from optimiser.site.anchors import Tree
from optimiser.site.doubts.data_ends import PULLING_TEST
from optimiser.site.model import BREAKOUT_REACH, Owned, Site
from optimiser.telling import words
from optimiser.telling.edge_tables import blocks as blocks_over
from optimiser.telling.edge_tables import blocks_made
from optimiser.telling.fields.common import COUNT, TEXT
from optimiser.telling.fields.several import COMPONENT, weakest_first
from optimiser.telling.hold import worded
from optimiser.telling.tables import STATION, Noted
from shared.columns import Column, Record
from shared.listing import Listing
from shared.report import Block
from shared.units import Dimension, Rounding, show

if TYPE_CHECKING:
    from optimiser.jobs.hold.results import Held

_LENGTH, _FORCE, _RATIO = Dimension.LENGTH, Dimension.FORCE, Dimension.RATIO
_UP, _DOWN = Rounding.UP, Rounding.DOWN

MOST_ROWS = 24
"""Rows of the pull along the path that are shown, beside those that must be."""

_ROLES = (
    Role.STRAP,
    Role.LEG,
    Role.GRIP,
    Role.SHACKLE,
    Role.HOOK,
    Role.BLOCK,
    Role.EXTENSION,
    Role.TIE,
    Role.BEND,
    Role.END,
)
"""What pieces are for, in the order in which they hang from the place to the rope."""

_BETWEEN = (Role.BEND, Role.PROTECTOR)
"""What is between two places of the rope."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place of the rope, or (`number` None) a piece between two. `does`: what the rope does there."""

    number: int | None
    place: str
    does: str | None
    hangs: str | None


PLACE: Record[Spot] = Record("places", "a place of the rope and what hangs there", (
    Column("number", lambda p: p.number, COUNT, "its number from the standing end on", "no.", none=True),
    Column("place", lambda p: p.place, TEXT, "where it is", "place"),
    Column("rope", lambda p: p.does, TEXT, "what the rope does there", "the rope", yields=5,
           alone="the rope:", none=True),
    Column("hangs", lambda p: p.hangs, TEXT, "the pieces, from the place to the rope",
           "what hangs there, from the place to the rope", none=True),
))  # fmt: skip


def detail(
    site: Site, setup: Setup, *, spare: "Held | None" = None, explaining: bool = True
) -> tuple[Block, ...]:
    """Everything about one setup, as titled listings and texts in the order they are needed in.

    `spare`: what the rest of the gear would hold the load with, where the setup has no holding line.
    `explaining`: words that not everybody knows are explained where they first stand.
    """
    system = site.preferences.units
    blocks: list[Block] = [
        (f"Setup {setup.rank}", summary(setup, system)),
        ("Where the rope goes", places(setup, system)),
        *(_hanging_words(setup) if explaining else ()),
        *blocks_made(setup.made, system),
        *blocks_over(site, led(setup)),
        *_holding(setup, spare, system),
        ("Cautions", cautions_text(setup)),
        ("What every piece carries", components(setup, system)),
        *(_rating_words(setup) if explaining else ()),
        *_weakest_tree(site, setup),
        *data_end_blocks(site, used([line.walk for line in setup.lines], setup.puller)),
        ("Pull along the path", path(setup, system)),
        *_stuck(site, setup, system),
    ]
    if setup.alike:
        lines = [f"- {run_of_rope(walk, system=system)}" for walk in setup.alike]
        blocks.append(("The same with interchangeable anchors", "\n".join(lines)))
    return tuple(blocks)


def _holding(setup: Setup, spare: "Held | None", system: str) -> tuple[Block, ...]:
    """The block on holding lines, if there is anything to print."""

    held = of_setup(setup) if setup.holding else spare
    if held is None or not (held.lines or held.missing):
        return ()
    return (("Second line on the load", worded(held, system, part_of_setup=bool(setup.holding))),)


def summary(setup: Setup, system: str) -> str:
    """The setup in a few sentences."""
    run = run_of_ropes(setup, system)
    pull = show(setup.pull, _FORCE, system, _UP)
    at = show(setup.pull_at, _LENGTH, system)
    ideal = show(setup.ideal_advantage, _RATIO)
    actual = show(setup.actual_advantage, _RATIO, rounding=_DOWN)
    needed = show(setup.rope_needed, _LENGTH, system, _UP)
    length = show(setup.rope_owned, _LENGTH, system, _DOWN)
    whose = _whose([setup.rope] if setup.second is None else [setup.rope, setup.second.rope])
    margin = show(setup.margin, _RATIO, rounding=_DOWN)
    resets = f"{setup.resets} {'reset' if setup.resets == 1 else 'resets'}"
    lines = [
        f"Rope ({setup.rope.name}): {run}." if setup.second is None else f"Two ropes: {run}.",
        f"It takes the load at {setup.attachment}. {counting(setup)}.",
        f"The puller ({setup.puller.name}) has to pull {pull} at worst, with the load at {at} of "
        f"the path. There the advantage is {ideal} without friction and {actual} with it.",
        f"Margin {margin}; weakest: {setup.weakest}.",
        f"Rope needed {needed} of {length} {whose}. The puller hauls in "
        f"{show(setup.hauled, _LENGTH, system)} of it: {resets}.",
    ]
    if setup.puller.anchor is not None:
        lines.append(
            f"The rope is measured to {setup.puller.anchor}; the length of {setup.puller.name} itself is "
            "not taken off: a little less rope may do."
        )
    if setup.standing is not None:
        lines.insert(1, in_full(setup.standing, system))
    if setup.rope.joined is not None:
        lines.append(words.put_together(setup, system))
    called = words.look_out(setup)
    if called:
        lines.append(f"{called} The cautions in full are below.")
    if setup.unrated:
        lines.insert(0, f"{unrated(setup, system)}.")
    return "\n".join(lines)


def _weakest_tree(site: Site, setup: Setup) -> list[Block]:
    """Where a tree is the weakest piece, why no reading of one's own says more of it."""
    trees = {anchor.name for anchor in site.anchors if isinstance(anchor, Tree)}
    weakest = [c for c in setup.components if c.name == setup.weakest and c.role is Role.ANCHOR]
    return [("", PULLING_TEST)] if any(c.item in trees for c in weakest) else []


def _stuck(site: Site, setup: Setup, system: str) -> list[Block]:
    """On which stretches break-out is counted: rows of the table lie on either side of where it ends."""
    first, last = setup.profile[0].at, setup.profile[-1].at
    stretches, start = [], 0.0
    for leg in site.legs:
        length = dist(leg.start, leg.end)
        begin, end = max(start, first), min(start + min(length, BREAKOUT_REACH), last)
        if leg.breakout > 1.0 and begin < end:
            stretches.append(f"{show(begin, _LENGTH, system)} to {show(end, _LENGTH, system)}")
        start += length
    if not stretches:
        return []
    return [("", f"Break-out is counted with the load at {', '.join(stretches)} of the path only.")]


def _whose(ropes: Sequence[Owned]) -> str:
    """Whether the ropes, and what they are joined of, are there already."""
    bought = sum(map(bought_parts, ropes))
    if not bought:
        return "owned"
    whole = sum(1 if rope.joined is None else 2 for rope in ropes)
    return "to be bought" if bought == whole else "in part to be bought"


def cautions_text(setup: Setup) -> str:
    """Every caution as one point: those its own numbers call for, then those of every haul."""
    ordered = sorted(setup.cautions, key=lambda caution: caution.always)
    return "\n".join(f"- {c.text} [{c.source}]" for c in ordered) or "(none given)"


def places(setup: Setup, system: str) -> Listing:
    """One row for each place the rope visits, then the gear that joins places."""
    nodes = setup.nodes
    last = len(nodes) - 1
    starts = {0, len(setup.walk)}
    rows: list[Spot] = []
    for node, place in enumerate(nodes):
        at_end = (-1,) if node == last else ()  # what joins the hauling end to the puller
        here = [h for h in setup.gear if h.role not in _BETWEEN]
        hung = [h for h in here if node in h.nodes or h.nodes == at_end]
        does = (
            "standing end"
            if node in starts
            else "hauling end"
            if node == last
            else "held by the grip"
            if node + 1 in starts
            else "turns on a block"
        )
        where = spot(place, setup.gear, system)
        rows.append(Spot(number=node + 1, place=where, does=does, hangs=_hanging(hung) or None))
    for h in setup.gear:
        if h.role in _BETWEEN or not set(h.nodes) & {-1, *range(last + 1)}:
            over = "runs over it" if h.role is Role.PROTECTOR else None
            rows.append(Spot(number=None, place=h.place, does=over, hangs=_piece(h)))
    return Listing.of(PLACE, rows)


def _hanging_words(setup: Setup) -> tuple[Block, ...]:
    """What the words mean for how things hang, of those that this setup uses."""
    used_ = {word for hung in setup.gear for word in (hung.how, str(hung.role))}
    named = [name for name in ("basket", "choker", "bridle") if name in used_]
    return (("", explained(named)),) if named else ()


def _rating_words(setup: Setup) -> tuple[Block, ...]:
    """What the words mean for how a capacity comes about, of those that this setup uses."""
    used_ = {factor.name for part in setup.components for factor in part.factors}
    named = [name for name in ("WLL", "design factor") if any(name in word for word in used_)]
    named += ["dynamic factor"] if any("dynamic factor" in p.note for p in setup.components) else []
    return (("", explained(named)),) if named else ()


def components(setup: Setup, system: str) -> Listing:
    """One row for each loaded piece: the unrated first, then the weakest."""
    return Listing.of(COMPONENT, weakest_first(setup.components), system, drops=True)


def path(setup: Setup, system: str) -> Listing:
    """The pull along the path, thinned to the stations that matter and a few between."""
    notes = path_notes(setup, system)
    rows = setup.profile
    step = max(1, -(-len(rows) // MOST_ROWS))
    kept = [i for i in range(len(rows)) if i in notes or i % step == 0]
    kept_notes = [notes.get(i, []) for i in kept]
    noted = (
        Noted(rows[i], "; ".join(found), new=i == 0 or "new leg" in found)
        for i, found in zip(kept, kept_notes, strict=True)
    )
    return Listing.of(STATION, noted, system, drops=True)


def path_notes(setup: Setup, system: str) -> dict[int, list[str]]:
    """What happens at which row of the profile: its ends, the worst pull, new legs, every reset."""
    rows = setup.profile
    notes: dict[int, list[str]] = {}
    if not rows:
        return notes
    notes.setdefault(0, []).append("start")
    for i in range(1, len(rows)):
        if (rows[i].surface, round(rows[i].slope, 9)) != (
            rows[i - 1].surface,
            round(rows[i - 1].slope, 9),
        ):
            notes.setdefault(i - 1, []).append("end of a leg")
            notes.setdefault(i, []).append("new leg")
    for number, at in enumerate(setup.stops, start=1):
        before = max(i for i in range(len(rows)) if rows[i].at <= at + 1e-9)
        moved = ", grip moved back" if at in setup.moved else ""
        notes.setdefault(before, []).append(f"reset {number} at {show(at, _LENGTH, system)}{moved}")
    notes.setdefault(max(range(len(rows)), key=lambda i: rows[i].pull), []).append("worst pull")
    notes.setdefault(len(rows) - 1, []).append("finish")
    return notes


def _hanging(hung: Sequence[Hung]) -> str:
    ordered = sorted(hung, key=lambda h: _ROLES.index(h.role) if h.role in _ROLES else len(_ROLES))
    return " > ".join(_piece(h) for h in ordered)


def _piece(hung: Hung) -> str:
    if hung.role in (Role.END, Role.TIE):
        return f"end of {hung.item}: {hung.how}"
    how = f" ({hung.how})" if hung.how else ""
    return f"{hung.role} {hung.item}{how}"
