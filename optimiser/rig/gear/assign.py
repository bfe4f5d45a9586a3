"""Decides which owned piece goes where, by the constraint solver (CP-SAT).

One model over several variants of a rig at once: it chooses the variant and fills its slots under
everything that couples pieces: counts, sheaves of one block, rope size and block, shackle and eye,
strap and trunk, what fits between the load and an anchor. Ratios are whole millionths.

The answer is never taken on the solver's word alone: `optimiser.proof` re-checks every assignment, and
the search compares the best against its own bound.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from itertools import count
from math import floor
from typing import Any, assert_never

from catalogue.gear import Chain, Shackle, Strap
from optimiser.rig.gear.ends import END_LENGTH
from optimiser.rig.gear.joined import bought_parts
from optimiser.rig.gear.kit import Hanging, bend_keeps, eye_of, fits_eye, long_of, runs_on
from optimiser.rig.gear.loads import (
    InLeg,
    Joint,
    Load,
    OfHanging,
    OfPiece,
    OfRope,
    OverSheaves,
    of_puller,
    of_site,
    shackle,
    strap_force,
)
from optimiser.rig.gear.slots import BlockOption, RopeUse, Variant
from optimiser.rig.gear.solver import cp_sat, solved, solver, surely_infeasible
from optimiser.rig.order import Key, Order
from optimiser.rig.setup import Role
from optimiser.site.counts import Count
from optimiser.site.model import Owned
from shared.effort import Effort, note
from shared.words import with_the

SCALE = 1_000_000
CAP = 1_000.0
"""Margins above this are all the same to the solver."""


class Spending(StrEnum):
    """What a purchase spends."""

    COST = "cost"
    PIECES = "pieces"


UNITS: Mapping[Spending, int] = {Spending.COST: 100, Spending.PIECES: 1}
"""Units in one of what is spent that the solver counts."""
NO_BUDGET: Mapping[Spending, float] = {}


@dataclass(frozen=True)
class Filled:
    """A filled variant. `straps`: by place. `shackles`: by the nodes they serve ((-1,) hauling end,
    (-2 - i,) bridle leg i)."""

    variant: Variant
    blocks: tuple[BlockOption, ...]
    straps: dict[int, Hanging]
    shackles: dict[tuple[int, ...], Owned[Shackle]]
    legs: tuple[Owned[Strap | Chain], ...] = ()
    margin: float = field(default=0.0)

    def __post_init__(self) -> None:
        v = self.variant
        sheaves = (load for use in v.ropes for load in self._sheaves(use))
        chosen = (load.ratio(v.row) for load in (*self.hung(), *sheaves))
        object.__setattr__(self, "margin", min([v.fixed_margin, *chosen]))

    def loads(self) -> Iterator[Load]:
        """Everything that the rig loads: the puller, the ropes with their ends and sheaves, what hangs, the
        anchors, and the load's hitches."""
        v = self.variant
        yield from of_puller(v.row)
        for use in v.ropes:
            yield from v.loads_of(use)
            yield from self._sheaves(use)
        yield from self.hung()
        yield from of_site(v.row)

    def hung(self) -> Iterator[Load]:
        """The pieces that hang in the rig: blocks, shackles, straps and the legs of a bridle."""
        row = self.variant.row
        for option in self.blocks:
            yield Load(Role.BLOCK, option.nodes, Joint(option.nodes), OfPiece(option.piece))
        for nodes, piece in sorted(self.shackles.items()):
            yield shackle(row, nodes, piece)
        for place in self.variant.strap_places:
            nodes = row.anchored[place]
            yield Load(Role.STRAP, nodes, strap_force(row, place), OfHanging(self.straps[place]))
        for i, leg in enumerate(self.legs):
            yield Load(Role.LEG, row.on_load, InLeg(i), OfPiece(leg))

    def _sheaves(self, use: RopeUse) -> Iterator[Load]:
        """A rope over the sheaves that leave it less than all of its strength."""
        rope = use.piece.gear
        for option in self.blocks:
            block = option.piece.gear
            over = bend_keeps(rope, block)
            if option.nodes[0] in use.turns and over is not None and over < 1.0:
                bears = OfRope(use.piece, block=option.piece, over=over)
                yield Load(Role.SHEAVE, option.nodes, OverSheaves(option.nodes), bears)

    @property
    def pieces(self) -> tuple[Owned, ...]:
        """The pieces that hang in the rig or lie on edges, each as often as it is used."""
        hung = (load.piece for load in self.hung() if load.piece is not None)
        laid = (piece for piece, place in self.variant.laid for _ in range(place.pieces))
        return (*hung, *laid)

    @property
    def unrated(self) -> tuple[str, ...]:
        """Names of what has no rating."""
        loose = [load for load in self.loads() if load.capacity is None and load.role in _LOOSE]
        loose.sort(key=lambda load: _LOOSE.index(load.role))
        return tuple(dict.fromkeys(_called(self.variant, load) for load in loose))


_LOOSE = (
    Role.ANCHOR, Role.HITCH, Role.PULLER_HITCH, Role.ROPE, Role.EXTENSION, Role.BEND, Role.BLOCK,
    Role.STRAP, Role.SHACKLE, Role.LEG,
)  # fmt: skip
"""What is named where it has no rating, in this order; the rest of a rope is no piece by itself."""


def _called(variant: Variant, load: Load) -> str:
    assert load.bears is not None
    name, joined = load.bears.name, variant.rope.joined
    if load.role is Role.HITCH:
        return f"hitch {name} on the load"
    if load.role is Role.PULLER_HITCH:
        return f"hitch of {with_the(name)}"
    return joined.first.name if load.role is Role.BEND and joined is not None else name


def best(
    variants: Sequence[Variant],
    order: Order,
    *,
    floor_margin: float,
    spend: Spending | None = None,
    most: Mapping[Spending, float] = NO_BUDGET,
    refine: bool = True,
) -> Filled | None:
    """The best filled variant by the order, or None where no assignment reaches `floor_margin`.

    All variants must be of one kind of setup; ties go to the earlier variant. `spend`: what
    of a purchase is made least before the order counts; `most`: no more of either is spent than that;
    `refine`: of equal ones the greatest margin (else any of them).
    """
    hopeful = [v for v in variants if v.fixed_margin >= floor_margin]
    if not hopeful:
        return None
    note(Effort.MODEL, len(hopeful))
    cp_model = cp_sat()
    model: Any = cp_model.CpModel()
    margin = model.NewIntVar(_whole(floor_margin), _whole(CAP), "margin")
    chosen = [model.NewBoolVar(f"v{i}") for i in range(len(hopeful))]
    model.AddExactlyOne(chosen)
    # Of one variant nothing differs but the margin, and the greatest one lies in the highest band.
    spends = spend is not None
    only_margin = len(hopeful) == 1 and not spends
    band = None if only_margin else model.NewIntVar(0, order.bands, "band")
    rigs = []
    for on, variant in zip(chosen, hopeful, strict=True):
        levels = _Levels(model, order, margin, band)
        levels.hold_down(on, variant.fixed_margin)
        rigs.append(_Model(model, variant, on, levels, floor_margin).build())
    # Presolve, made for large models, takes longer than a model of a few dozen choices does without.
    engine = solver(presolve=spends)
    spent = {
        what: sum(weight * x for rig in rigs for weight, x in rig.spent(what)) for what in Spending
    }
    for what, limit in most.items():
        model.Add(spent[what] <= floor(limit * UNITS[what] + 1e-6))
    goals: list[tuple[Any, int]] = [] if spend is None else [(spent[spend], -1)]
    for name in () if only_margin else order.names:
        if name is Count.MARGIN:
            goals.append((band, +1))
        elif len(hopeful) > 1:
            values = [round(order.counted(name, Key.of(v, 0.0)) * 1000) for v in hopeful]
            goals.append((sum(v * on for v, on in zip(values, chosen, strict=True)), -1))
    if refine:
        goals.append((margin, +1))
    if refine and len(hopeful) > 1:
        goals.append((sum(i * on for i, on in enumerate(chosen)), -1))
    for expression, sign in goals:
        model.ClearObjective()
        (model.Maximize if sign > 0 else model.Minimize)(expression)
        status = solved(engine, model)
        if status == cp_model.INFEASIBLE:
            surely_infeasible(model, presolve=spends)
            return None
        if status != cp_model.OPTIMAL:
            raise RuntimeError(f"constraint solver stopped with {engine.StatusName(status)}")
        reached = round(engine.ObjectiveValue())
        model.Add(expression >= reached) if sign > 0 else model.Add(expression <= reached)
    index = next(i for i, on in enumerate(chosen) if engine.Value(on))
    return rigs[index].read(engine)


def _whole(ratio: float) -> int:
    return floor(min(ratio, CAP) * SCALE + 1e-6)


class _Levels:
    """The margin, and the band that it falls into as the order counts it (not as whole millionths
    would: a margin a hair below a band's edge belongs to the band below); None: no such limit."""

    def __init__(self, model: Any, order: Order, margin: Any, band: Any) -> None:
        self.model, self.order, self.margin, self.band = model, order, margin, band

    def hold_down(self, pick: Any, ratio: float) -> None:
        """What is picked holds margin and band down to its ratio."""
        if ratio < CAP:
            self.model.Add(self.margin <= _whole(ratio)).OnlyEnforceIf(pick)
        if self.band is not None and self.order.band_of(ratio) < self.order.bands:
            self.model.Add(self.band <= self.order.band_of(ratio)).OnlyEnforceIf(pick)


class _Model:
    """The slots of one variant inside the joint model."""

    def __init__(
        self, model: Any, variant: Variant, on: Any, levels: _Levels, least: float
    ) -> None:
        self.model, self.variant, self.on = model, variant, on
        self.levels, self.least = levels, least
        self.blocks: list[tuple[BlockOption, Any]] = []
        self.straps: list[tuple[int, Hanging, Any]] = []
        self.shackles: list[tuple[tuple[int, ...], Owned[Shackle], Any]] = []
        self.legs: list[tuple[int, Owned[Strap | Chain], Any]] = []
        self._names = count()

    def build(self) -> "_Model":
        self._add_blocks()
        self._add_straps()
        self._add_shackles()
        self._add_legs()
        self._add_counts()
        self._add_room()
        return self

    def _choice(self, ratio: float) -> Any:
        """A yes/no for one piece in one slot; choosing it holds the margin down to its ratio."""
        pick = self.model.NewBoolVar(f"x{next(self._names)}")
        self.model.AddImplication(pick, self.on)
        self.levels.hold_down(pick, ratio)
        return pick

    def _add_blocks(self) -> None:
        """Every node of a sheave hangs on exactly one block."""
        for option in self.variant.block_options:
            if option.ratio >= self.least:
                self.blocks.append((option, self._choice(option.ratio)))
        for nodes in self.variant.row.groups.values():
            for node in nodes:
                self.model.Add(sum(x for o, x in self.blocks if node in o.nodes) == self.on)

    def _add_straps(self) -> None:
        """Each anchor place that needs one has exactly one strap, in one hitch."""
        for place in self.variant.strap_places:
            here = []
            for hanging, ratio in self.variant.strap_options(place):
                if ratio >= self.least:
                    pick = self._choice(ratio)
                    self.straps.append((place, hanging, pick))
                    here.append(pick)
            self.model.Add(sum(here) == self.on)

    def _add_shackles(self) -> None:
        """A block with an eye takes one shackle that fits; so does an end that needs one."""
        v = self.variant
        for place, nodes in {(o.place, o.nodes): None for o, _ in self.blocks}:
            users = [(o, x) for o, x in self.blocks if (o.place, o.nodes) == (place, nodes)]
            eyed = [(o, x) for o, x in users if eye_of(o.piece) is not None]
            if not eyed:
                continue
            here = self._shackle_choices(nodes)
            self._as_thick(nodes, here)
            self.model.Add(sum(z for _, z in here) == sum(x for _, x in eyed))
            for option, x in eyed:
                for piece, z in here:
                    if not v.shackle_fits(piece, place, eye_of(option.piece)):
                        self.model.AddBoolOr([x.Not(), z.Not()])
        for slot in v.slots:
            if slot.role is not Role.SHACKLE:
                continue
            here = self._shackle_choices(slot.nodes)
            self._as_thick(slot.nodes, here)
            for piece, z in here:
                if not fits_eye(piece.gear, v.hangs_in(slot)):
                    self.model.Add(z == 0)
            self.model.Add(sum(z for _, z in here) == self.on)

    def _as_thick(self, nodes: tuple[int, ...], here: list[tuple[Owned[Shackle], Any]]) -> None:
        """A shackle that runs on a sling is as thick as that at least."""
        if nodes[0] not in self.variant.row.slung:
            return
        at = self.variant.row.numbers[nodes[0]]
        for place, hanging, x in self.straps:
            for piece, z in here:
                if place == at and not runs_on(piece.gear, hanging.bow):
                    self.model.AddBoolOr([x.Not(), z.Not()])

    def _shackle_choices(self, nodes: tuple[int, ...]) -> list[tuple[Owned[Shackle], Any]]:
        out = []
        for piece in self.variant.kit.shackles:
            ratio = self.variant.shackle_ratio(piece, nodes)
            if ratio >= self.least:
                pick = self._choice(ratio)
                out.append((piece, pick))
                self.shackles.append((nodes, piece, pick))
        return out

    def _add_legs(self) -> None:
        """The two legs of a bridle are two equal pieces."""
        by_leg: dict[int, list[tuple[Owned[Strap | Chain], Any]]] = {}
        for leg, demand in self.variant.bridle_legs:
            here = []
            for piece, ratio in self.variant.leg_options(demand):
                if ratio >= self.least:
                    pick = self._choice(ratio)
                    here.append((piece, pick))
                    self.legs.append((leg, piece, pick))
            self.model.Add(sum(x for _, x in here) == self.on)
            by_leg[leg] = here
        if len(by_leg) == 2:
            second = {p.name: x for p, x in by_leg[1]}
            for piece, x in by_leg[0]:
                if piece.name in second:
                    self.model.Add(x == second[piece.name])
                else:
                    self.model.Add(x == 0)

    def _picks(self) -> list[tuple[Owned, Any]]:
        """Every piece in every slot that it may fill, with its yes/no."""
        return [
            *((o.piece, x) for o, x in self.blocks),
            *((h.piece, x) for _, h, x in self.straps),
            *((p, x) for _, p, x in self.shackles),
            *((p, x) for _, p, x in self.legs),
        ]

    def _add_counts(self) -> None:
        """No piece is used more often than it is owned."""
        used: dict[str, list[Any]] = {}
        owned: dict[str, int] = {}
        for piece, x in self._picks():
            used.setdefault(piece.name, []).append(x)
            owned[piece.name] = piece.count
        for name, picks in used.items():
            if len(picks) > owned[name]:
                self.model.Add(sum(picks) <= owned[name])

    def _add_room(self) -> None:
        """What hangs at both ends of a segment fits into its shortest length (not two-blocked), and leaves
        a bend clear of blocks."""
        for _, nodes, least in self.variant.room():
            takes = [taken for node in nodes for taken in self._hardware(node)]
            if takes:
                total = sum(round(length * 10_000) * x for length, x in takes)
                self.model.Add(total <= floor(least * 10_000 + 1e-3)).OnlyEnforceIf(self.on)

    def _hardware(self, node: int) -> list[tuple[float, Any]]:
        v = self.variant
        if node == v.row.sheaves + 1:
            return []
        place = v.row.numbers[node]
        takes = [(h.standoff, x) for p, h, x in self.straps if p == place]
        takes += [(long_of(o.piece), x) for o, x in self.blocks if node in o.nodes]
        takes += [(long_of(p), x) for nodes, p, x in self.shackles if node in nodes]
        if node == 0:
            takes.append((END_LENGTH, self.on))
        return takes

    def spent(self, what: Spending) -> list[tuple[int, Any]]:
        """What choices cost, in whole hundredths of money or in pieces: (amount, yes/no)."""

        def spent_on(piece: Owned) -> float:
            match what:
                case Spending.COST:
                    return piece.price or 0.0
                case Spending.PIECES:
                    return bought_parts(piece)
                case _:
                    assert_never(what)

        used = self._picks()
        used += [(rope, self.on) for rope in self.variant.rope_pieces]
        return [
            (round(UNITS[what] * spent_on(piece)), x)
            for piece, x in used
            if piece.price is not None
        ]

    def read(self, solved: Any) -> Filled:
        return Filled(
            self.variant,
            tuple(o for o, x in self.blocks if solved.Value(x)),
            {place: h for place, h, x in self.straps if solved.Value(x)},
            {nodes: p for nodes, p, x in self.shackles if solved.Value(x)},
            tuple(p for _, p, x in sorted(self.legs, key=lambda e: e[0]) if solved.Value(x)),
        )
