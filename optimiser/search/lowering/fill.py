"""Fills a walk with gear: rope, turns, ends, and which piece hangs where."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from catalogue.gear import Rope
from optimiser.mechanics.arrays import Numbers
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.forces.lowering import HoldOn, LoweringEvaluation, LoweringRow, evaluate_lowering
from optimiser.rig.forces.ways import one_way
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import eta_patterns, variants
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.search.board import Board
from optimiser.search.lowering.holders import HandLimit
from optimiser.search.lowering.walks import Bound, Field
from optimiser.search.rules import same_setup

CHUNK = 200


def variants_of(
    rated: LoweringEvaluation, free: LoweringEvaluation, index: int, kit: Kit, hand: HandLimit
) -> Iterator[Variant]:
    """Every rope with its turns and every way to make fast its ends, as far as the rope reaches."""
    scene = rated.scene
    last = int(rated.walks[index, -1])
    trunk = None if last == scene.puller_number else int(scene.anchor_of[last])
    as_rated = RigRow(rated, index)
    if not as_rated.works_throughout:
        return
    line = max(as_rated.hauling.value, float(free.pull[index].max()))
    for rope in kit.ropes:
        held = _held(rated, line, rope.gear, trunk, hand)
        if held is None:
            continue
        row = LoweringRow(rated, index, RigRow(free, index), held)
        if row.line.value <= 0.0:
            continue  # nothing to hold
        if scene.site.has_made and not one_way(row.looks):
            continue
        girth = 0.0 if trunk is None else scene.site.anchors[trunk].girth or 0.0
        for variant in variants(row, kit.with_only(rope)):
            needed = variant.rope_needed + held.turns * girth
            if rope.length is not None and needed <= rope.length + 1e-9:
                yield replace(variant, rope_needed=needed)


def _held(
    rated: LoweringEvaluation,
    line: float,
    rope: Rope,
    trunk: int | None,
    hand: HandLimit,
) -> HoldOn | None:
    """How the rope is held: with the fewest turns that make it comfortable, or as many as it may
    have; `line` [N]: its worst tension before them. None where this rope is not eased round this
    trunk."""
    if trunk is None:
        return HoldOn(None, 0, 1.0, hand.most, hand.comfort)
    grip = grip_of(rope)
    radius = rated.scene.site.anchors[trunk].least_radius
    if grip is None or 2.0 * radius < rope.least_bend_ratio * rope.diameter - 1e-9:
        return None
    turns = next(
        (n for n in range(1, grip.most_turns) if line / grip.ratio(n) <= hand.comfort + 1e-9),
        grip.most_turns,
    )
    return HoldOn(trunk, turns, grip.ratio(turns), hand.most, hand.comfort)


def patterns_of(kit: Kit, sheaves: int) -> np.ndarray:
    """(q, m) efficiencies of the sheaves along a walk that the blocks at hand allow."""
    found = list(eta_patterns(kit, sheaves))
    return np.array(found, dtype=float).reshape(len(found), sheaves)


def works(rated: LoweringEvaluation, free: LoweringEvaluation) -> np.ndarray:
    """(n, X) where a walk works in both looks at it."""
    return np.asarray(rated.works & free.works)


@dataclass
class Tally:
    """How much was looked at."""

    looked_at: int = 0
    confirmed: int = 0


@dataclass
class Confirmer:
    """Evaluates complete walks of one field and offers what works to the board."""

    field: Field
    board: Board
    order: Order
    tally: Tally

    @cached_property
    def filler(self) -> Filler:
        return Filler(self.order, self.field.floor)

    def take(self, walks: Numbers, bound: Bound) -> None:
        """Look at complete walks (n, m + 2) with their bounds, the most hopeful first."""
        self.tally.looked_at += len(walks)
        ranked = bound.ranked(self.order)
        patterns = patterns_of(self.field.kit, walks.shape[1] - 2)
        each = max(CHUNK // max(len(patterns), 1), 1)
        for begin in range(0, len(ranked), each):
            part = ranked[begin : begin + each]
            keep = bound.pick(part).hopeful(self.order, self.board.limit, self.field.floor)
            part = part[keep]
            if not len(part) or not len(patterns):
                continue
            rows = np.repeat(walks[part], len(patterns), axis=0)
            etas = np.tile(patterns, (len(part), 1))
            rated, free = evaluate_lowering(self.field.scene, rows, etas)
            sharp = self._sharper(rated, free)
            for index in np.flatnonzero(works(rated, free).all(axis=1)):
                one = sharp.pick(np.array([index]))
                if one.hopeful(self.order, self.board.limit, self.field.floor)[0]:
                    self._confirm(rated, free, int(index), one)

    def _sharper(self, rated: LoweringEvaluation, free: LoweringEvaluation) -> Bound:
        """The bounds of evaluated walks: by their lines and lengths at every station, and with what
        their anchors stand."""
        line = np.maximum(rated.pull.max(axis=1), free.pull.max(axis=1))
        near = rated.total_length[:, rated.states.spot == 0].max(axis=1)
        bound = self.field.bound_of(line, near, rated.walks[:, -1])
        rows = np.arange(len(rated.walks))
        anchors = np.minimum(rated.anchor_margin(rows), free.anchor_margin(rows))
        return Bound(np.minimum(bound.margin, anchors), bound.force, bound.rope)

    def _confirm(
        self, rated: LoweringEvaluation, free: LoweringEvaluation, index: int, bound: Bound
    ) -> None:
        kit, floor = self.field.kit, self.field.floor
        identity = identity_of(rated.scene, rated.walks[index])
        known = self.board.best_of(identity)
        if known is not None and not bound.hopeful(self.order, known.sort, floor)[0]:
            return
        self.tally.confirmed += 1
        able = (
            variant
            for variant in variants_of(rated, free, index, kit, self.field.hand)
            if variant.fixed_margin >= floor and not self._too_late(variant, identity)
        )
        self.board.fill(identity, able, self.filler)

    def _too_late(self, variant: Variant, identity: tuple[object, ...]) -> bool:
        """Whether the variant is beaten already, whatever gear it gets."""
        best = self.filler.sort(variant, variant.fixed_margin)
        held = self.board.best_of(identity)
        if held is not None and best > held.sort:
            return True
        return self.board.limit is not None and best > self.board.limit


def identity_of(scene: Scene, numbers: Numbers) -> tuple[object, ...]:
    """Returns the mark of a setup: trees and reeving, and what holds."""
    return (*same_setup(scene.walk([int(i) for i in numbers])), scene.puller.name)
