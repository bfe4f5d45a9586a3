"""Lists every rope, number of turns and way to make fast its ends for a rig that lets the load down."""

from collections.abc import Callable, Iterator
from dataclasses import replace

from catalogue.gear import Rope
from optimiser.rig.forces.grips import Grip, grip_of
from optimiser.rig.forces.holders import HandLimit
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import HoldOn, RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.variants import variants

Gripping = Callable[[Rope], Grip | None]


def let_down_variants(
    row: RigRow,
    kit: Kit,
    hand: HandLimit,
    *,
    turns: int | None = None,
    gripping: Gripping = grip_of,
) -> Iterator[Variant]:
    """Every rope with its turns and every way to make fast its ends, as far as the rope reaches. `turns`: so
    many and no others, of a rig that is there; else the fewest that are comfortable. `gripping`: how a rope
    holds round a trunk, where that is not as published."""
    scene = row.scene
    last = row.numbers[-1]
    trunk = None if last == scene.puller_number else int(scene.anchor_of[last])
    if not row.works_throughout:
        return
    line = row.line.value
    if line <= 0.0:
        return  # nothing to hold
    for rope in kit.ropes:
        held = _held(row, line, rope.gear, trunk, hand, turns, gripping)
        if held is None:
            continue
        eased = row.held_on(held)
        girth = 0.0 if trunk is None else scene.site.anchors[trunk].girth or 0.0
        for variant in variants(eased, kit.with_only(rope)):
            needed = variant.rope_needed + held.turns * girth
            if rope.length is not None and needed <= rope.length + 1e-9:
                yield replace(variant, rope_needed=needed)


def _held(
    row: RigRow,
    line: float,
    rope: Rope,
    trunk: int | None,
    hand: HandLimit,
    fixed: int | None,
    gripping: Gripping,
) -> HoldOn | None:
    """How the rope is held: with the fewest turns that make it comfortable, or as many as it may
    have, or a number that is `fixed`; `line` [N]: its worst tension before them. None where this rope is
    not eased round this trunk."""
    if trunk is None:
        return HoldOn(None, 0, 1.0, hand.most, hand.comfort)
    grip = gripping(rope)
    radius = row.scene.site.anchors[trunk].least_radius
    if grip is None or 2.0 * radius < rope.least_bend_ratio * rope.diameter - 1e-9:
        return None
    turns = fixed or next(
        (n for n in range(1, grip.most_turns) if line / grip.ratio(n) <= hand.comfort + 1e-9),
        grip.most_turns,
    )
    return HoldOn(trunk, turns, grip.ratio(turns), hand.most, hand.comfort)
