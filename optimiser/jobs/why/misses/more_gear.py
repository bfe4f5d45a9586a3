"""Finds near misses by gear: the blocks, straps, shackles and metres of rope with which a rig of more
parts of line would do."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from catalogue.gear import AnyGear, Block, Chain, Rope, Shackle, Strap
from catalogue.prices import NEW
from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.misses.clearing import YES_OR_NO
from optimiser.jobs.why.rating_limits import walk_of
from optimiser.rig.components import components, hung
from optimiser.rig.gear.assign import Filled, Spending
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.turns import let_down_variants
from optimiser.rig.gear.variants import variants
from optimiser.rig.order import Order
from optimiser.rig.setup import Change, Miss, Role, names
from optimiser.site.counts import Count
from optimiser.site.model import Owned
from shared.units import Dimension, Rounding, show

ENDLESS = 1000.0
"""Times the length owned: a rope as long as anybody may want, whose need is then read off the rig."""
SPARE = 4
"""Straps, and half as many shackles more, that may be missing."""
MORE = "gear for more parts of line"
"""Limit of a miss by several kinds of gear."""
LONGEST = 300.0
"""m of rope beyond which more of it is no cure: it takes another way to haul (choice)."""

ANY_BLOCK = Block(
    id="block", name="block", source="", sheaves=1, opens=True, rope_least=0.0, rope_most=1.0,
    sheave_diameter=1.0, wll=1e9, bearing="", eta=0.9, length=0.2, eye=None,
)  # fmt: skip
ANY_STRAP = Strap(
    id="strap", name="strap", source="", length=3.0, width=0.05, wll=1e9, choker_factor=0.8,
    basket_factor=2.0,
)  # fmt: skip
ANY_SHACKLE = Shackle(
    id="shackle", name="shackle", source="", bow_diameter=0.01, pin_diameter=0.005, jaw=0.03,
    length=0.05, wll=1e9,
)  # fmt: skip
ANY_ROPE = Rope(
    id="rope", name="rope", source="", material="rope", diameter=0.014, mbs=1e9, design_factor=1.0,
    stretch_at_break=0.15, mass_per_metre=0.15, least_bend_ratio=0.0,
)  # fmt: skip


@dataclass(frozen=True)
class Family:
    """Pieces of gear that stand in for each other: `any` fits and holds wherever one of them is wanted."""

    name: str
    kinds: tuple[type, ...]
    one: str
    any: AnyGear

    @property
    def label(self) -> str:
        """Name of the pieces that stand for those that are not there."""
        return f"{self.one} that fits"

    def pieces(self, many: int, length: float | None = None) -> Owned:
        """So many that are not there."""
        ends = {} if length is None else {"length": length, "ends": (None, None)}
        return Owned(name=self.label, gear=self.any, count=many, condition=NEW, price=1.0, **ends)  # type: ignore[arg-type]


BLOCKS = Family("number of blocks", (Block,), "block", ANY_BLOCK)
STRAPS = Family("number of straps", (Strap, Chain), "strap", ANY_STRAP)
SHACKLES = Family("number of shackles", (Shackle,), "shackle", ANY_SHACKLE)
ROPES = Family("no rope", (Rope,), "rope", ANY_ROPE)
FAMILIES = (BLOCKS, STRAPS, SHACKLES)


def misses(job: Job, budget: Budget) -> Iterator[Miss]:
    """The rig with the fewest further blocks that does, and all the gear that it lacks; with the ropes owned,
    else with a new one."""
    most = job.site.preferences.most_sheaves
    for new_rope in (False, True) if job.kit.ropes else (True,):
        if not budget.search(plenty(job, most, new_rope=new_rope), top=1)[0]:
            continue
        for extra in range(most + 1):
            for filled in budget.search(plenty(job, extra, new_rope=new_rope), top=1)[0]:
                yield from _misses(job, sparing(plenty(job, extra, new_rope=new_rope), filled))
                return


def plenty(job: Job, extra: int, *, new_rope: bool) -> Job:
    """The job with so many more blocks, straps and shackles for them, and rope without end: of the ropes
    owned, or a new one as strong as may be."""
    pieces = [
        p if p.length is None else replace(p, length=p.length * ENDLESS) for p in job.kit.pieces
    ]
    if extra:
        pieces.append(BLOCKS.pieces(extra))
    pieces += [STRAPS.pieces(SPARE), SHACKLES.pieces(SPARE * 2)]
    if new_rope:
        pieces = [p for p in pieces if p.length is None]
        pieces.append(ROPES.pieces(1, length=1e4))
    return replace(job, kit=Kit(tuple(pieces), job.kit.knots))


def _misses(job: Job, filled: Filled) -> Iterator[Miss]:
    change = lacking(job, filled)
    if change is None:
        return
    many = parts(filled)
    yield Miss(
        walk=walk_of(filled),
        limit="no rope" if not job.kit.ropes else MORE,
        text=f"there is no rope to {'haul with' if job.hauls else 'let it down with'}"
        if not job.kit.ropes
        else f"it takes {_counted(many, 'part')} of line and {_counted(sheaves(filled), 'sheave')}, and not "
        "all the gear for that is there",
        short_by=YES_OR_NO,
        change=change,
    )


def sparing(job: Job, filled: Filled) -> Filled:
    """The same walk filled with as few pieces as possible that are not there."""
    order = Order((Count.MARGIN,), max(job.floor, 2.0))
    row, kit, hand = filled.variant.row, filled.variant.kit, job.line.hand
    some = variants(row, kit) if hand is None else let_down_variants(row, kit, hand)
    return Filler(order, job.floor).cheapest(some, Spending.PIECES, refine=True) or filled


def lacking(job: Job, filled: Filled) -> Change | None:
    """Returns what a rig uses beyond the gear owned, as an amount of each thing; None where that is
    nothing, or more rope than anybody rigs."""
    lacks: list[str] = []
    pieces = 0
    for family in FAMILIES:
        used = sum(1 for h in hung(filled) if h.item == family.label and h.role is not Role.END)
        if used:
            pieces += used
            stands = [p.demand for p in components(filled) if p.item == family.label]
            wll = show(
                max(stands, default=0.0) * job.floor, Dimension.FORCE, job.units, Rounding.UP
            )
            owned = any(isinstance(p.gear, family.kinds) and p.count for p in job.kit.pieces)
            more = " more" if owned else ""
            each, fits = (" each", "fit") if used > 1 else ("", "fits")
            plural = "" if used == 1 else "s"
            stand = "stand" if used > 1 else "stands"
            lacks.append(f"{used}{more} {family.one}{plural} that {stand} {wll}{each} and {fits}")
    for line in filled.variant.lines:
        rope, needed = line.rope, line.rope_needed
        if needed > LONGEST:
            return None
        if rope.name == ROPES.label:
            works = max(p.demand for p in components(filled) if p.item == rope.name) * job.floor
            shown = show(works, Dimension.FORCE, job.units, Rounding.UP)
            long = show(needed, Dimension.LENGTH, job.units, Rounding.UP)
            lacks.append(f"a rope of {long} that stands {shown} with its knots in it")
            pieces += 1
        else:
            owned_length = next(p.length or 0.0 for p in job.kit.pieces if p.name == rope.name)
            if needed > owned_length + 1e-9:
                more = show(needed - owned_length, Dimension.LENGTH, job.units, Rounding.UP)
                lacks.append(f"{more} more rope like {rope.name}")
                pieces += 1
    if not lacks:
        return None
    text = f"{names(lacks)}, for {_counted(parts(filled), 'part')} of line"
    return Change(
        text=f"{text} ({job.buying} finds the cheapest)", amount=float(pieces), unit="pieces"
    )


def parts(filled: Filled) -> int:
    """Parts of line that pull on the load."""
    numbers: Sequence[int] = filled.variant.row.numbers
    return sum((a == 0) + (b == 0) for a, b in pairwise(numbers))


def sheaves(filled: Filled) -> int:
    """Sheaves the rope turns on."""
    return filled.variant.row.sheaves


def _counted(many: int, what: str) -> str:
    return f"{many} {what}" if many == 1 else f"{many} {what}s"
