"""Spells out one setup: where the rope goes, what hangs there, what everything carries, cautions."""

from collections.abc import Sequence
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from catalogue.glossary import explained
from optimiser.jobs.hold.find import of_setup
from optimiser.jobs.remarks import data_end_blocks, used
from optimiser.mechanics.values import Factor
from optimiser.rig.conditions import unrated
from optimiser.rig.gear.joined import bought_parts
from optimiser.rig.laid_edges import led
from optimiser.rig.naming import counting, run_of_rope, run_of_ropes, spot
from optimiser.rig.setup import Component, Hung, Role, Setup
from optimiser.site.anchors import Tree
from optimiser.site.doubts.data_ends import PULLING_TEST
from optimiser.site.model import Owned, Site
from optimiser.telling import words
from optimiser.telling.edge_tables import blocks as blocks_over
from optimiser.telling.edge_tables import blocks_made
from optimiser.telling.hold import worded
from shared.listing import Column, Kind, Listing, Measure, Where
from shared.report import Block
from shared.units import Dimension, Rounding, show

if TYPE_CHECKING:
    from optimiser.jobs.hold.find import Held

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

_PLACES = (
    Column(key="number", heading="no.", kind=Kind.COUNT),
    Column(key="place", heading="place"),
    Column(key="rope", heading="the rope", yields=5, alone="the rope:"),
    Column(key="hangs", heading="what hangs there, from the place to the rope"),
)

_COMPONENTS = (
    Column(key="name", heading="piece"),
    Column(key="item", heading="item", yields=9),
    Column(key="place", heading="place", yields=7),
    Column(key="demand", heading="worst demand", kind=Kind.MEASURE, rounding=_UP),
    Column(
        key="at",
        heading="with load at",
        unit="m",
        kind=_LENGTH,
        yields=8,
        alone="worst with load at",
    ),
    Column(key="capacity", heading="it stands", kind=Kind.MEASURE, rounding=_DOWN),
    Column(key="unit", heading="unit", where=Where.DATA),
    Column(key="utilisation", heading="used", kind=Kind.SHARE),
    Column(key="margin", heading="margin", kind=_RATIO, rounding=_DOWN),
    Column(key="derivation", heading="how it was derived", where=Where.UNDER),
)

_PATH = (
    Column(key="at", heading="load at", unit="m", kind=_LENGTH),
    Column(key="slope", heading="slope", unit="rad", kind=Dimension.ANGLE, yields=3),
    Column(key="ground", heading="surface", where=Where.PEOPLE, yields=4),
    Column(key="surface", heading="surface", where=Where.DATA),
    Column(key="pull", heading="pull", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="ground_reaction", heading="ground reaction", unit="N", kind=_FORCE, yields=8),
    Column(key="side_pull", heading="side pull / forward", kind=_RATIO, yields=5),
    Column(
        key="ideal_advantage",
        heading="ideal",
        kind=_RATIO,
        yields=9,
        alone="advantage without friction",
    ),
    Column(
        key="advantage",
        heading="actual",
        kind=_RATIO,
        rounding=_DOWN,
        yields=7,
        alone="advantage with friction",
    ),
    Column(key="rest", heading="let go of"),
    Column(key="runs_back", heading="hold back", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="runs_on", heading="hold from going on", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="steer", heading="steering line", unit="N", kind=_FORCE, rounding=_UP),
    Column(key="note", heading="note"),
)


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
    rows: list[dict[str, Any]] = []
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
        rows.append(
            {
                "number": node + 1,
                "place": spot(place, setup.gear, system),
                "rope": does,
                "hangs": _hanging(hung) or None,
            }
        )
    rows += [
        {
            "number": None,
            "place": h.place,
            "rope": "runs over it" if h.role is Role.PROTECTOR else None,
            "hangs": _piece(h),
        }
        for h in setup.gear
        if h.role in _BETWEEN or not set(h.nodes) & {-1, *range(last + 1)}
    ]
    return Listing(columns=_PLACES, rows=tuple(rows))


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
    ordered = sorted(setup.components, key=lambda c: (c.capacity is not None, c.margin))
    return Listing(
        drops=True,
        columns=_COMPONENTS,
        rows=tuple(_component(component, system) for component in ordered),
    )


def path(setup: Setup, system: str) -> Listing:
    """The pull along the path, thinned to the stations that matter and a few between."""
    notes = path_notes(setup, system)
    rows = setup.profile
    step = max(1, -(-len(rows) // MOST_ROWS))
    kept = [i for i in range(len(rows)) if i in notes or i % step == 0]
    rare = {"steer": attrgetter("steer"), "runs_on": attrgetter("runs_on")}
    return Listing(
        drops=True,
        columns=tuple(c for c in _PATH if c.key not in rare or any(map(rare[c.key], rows))),
        rows=tuple(
            {
                "at": rows[i].at,
                "slope": rows[i].slope,
                "ground": rows[i].surface if i == 0 or "new leg" in notes.get(i, ()) else "",
                "surface": rows[i].surface,
                "pull": rows[i].pull,
                "ground_reaction": rows[i].ground_reaction,
                "side_pull": rows[i].side_pull,
                "ideal_advantage": rows[i].ideal_advantage,
                "advantage": rows[i].advantage,
                "runs_back": rows[i].runs_back or None,
                "runs_on": rows[i].runs_on or None,
                "rest": rows[i].rest.word,
                "steer": rows[i].steer or None,
                "note": "; ".join(notes.get(i, ())),
            }
            for i in kept
        ),
    )


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


def derivation(factors: Sequence[Factor], system: str) -> str:
    """Every factor of a capacity with its value and its source."""
    return "; ".join(f"{f.name} {_factor(f, system)} [{f.source}]" for f in factors)


def _factor(factor: Factor, system: str) -> str:
    dimension = {
        "N": _FORCE,
        "N·m": Dimension.MOMENT,
        "m": _LENGTH,
        "rad": Dimension.ANGLE,
    }.get(factor.unit)
    if dimension is not None:
        return show(factor.value, dimension, system)
    if factor.unit == "Pa":
        return f"{factor.value / 1e6:.1f} MPa"
    return f"{factor.value:.4g} {factor.unit}".strip()


def _component(component: Component, system: str) -> dict[str, Any]:
    dimension = Dimension.MOMENT if component.unit == "N·m" else _FORCE
    rated = component.capacity is not None
    text = derivation(component.factors, system)
    note = f"{component.note}. " if component.note else ""
    return {
        "name": component.name,
        "item": component.item,
        "place": component.place,
        "demand": Measure(component.demand, dimension),
        "at": component.at,
        "capacity": "UNRATED"
        if component.capacity is None
        else Measure(component.capacity, dimension),
        "unit": component.unit.replace("·", ""),
        "utilisation": component.utilisation,
        "margin": component.margin if rated else None,
        "derivation": note + (text if rated else "UNRATED: nothing can be said of this piece")
        or None,
    }


def _hanging(hung: Sequence[Hung]) -> str:
    ordered = sorted(hung, key=lambda h: _ROLES.index(h.role) if h.role in _ROLES else len(_ROLES))
    return " > ".join(_piece(h) for h in ordered)


def _piece(hung: Hung) -> str:
    if hung.role in (Role.END, Role.TIE):
        return f"end of {hung.item}: {hung.how}"
    how = f" ({hung.how})" if hung.how else ""
    return f"{hung.role} {hung.item}{how}"
