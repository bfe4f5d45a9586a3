"""Moves the puller of a rig that was found on to where it stands best: from its candidate spot by half the
spacing of the candidates, then by less and less, down to a decimetre.

Walk and pieces stay as they are. The proof is over the candidates; what is found between them is only better.
"""

from collections.abc import Iterator
from dataclasses import replace

from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.joined import joins_of
from optimiser.rig.gear.over_edges import enough
from optimiser.rig.gear.room import has_room
from optimiser.rig.gear.slots import Variant
from optimiser.rig.ground.scene import Scene, at_stand
from optimiser.rig.order import Key, Order
from optimiser.site.roaming.rooms import Stand
from optimiser.site.roaming.stands import stand_at
from shared.effort import Effort, note

FINE = 0.1
"""m to which a spot is refined; readings and vehicles are no more exact (project choice)."""
MOST_ROUNDS = 60
"""Times that a spot is moved on: far more than lie between two candidates."""


def refined(filled: Filled, order: Order, floor: float) -> Filled:
    """The rig with its puller where it is best nearby by an order, its margin `floor` at least; itself
    where the puller has one spot, or stands best already."""
    puller = filled.variant.row.scene.puller
    room, best = puller.room, filled
    if room is None or puller.stand is None:
        return filled
    steps, seen = list(_steps(room.spacing)), {puller.stand}
    for _ in range(MOST_ROUNDS):
        better = _stepped(best, order, floor, steps[0], seen)
        if better is not None:
            best = better
        elif len(steps) > 1:
            steps.pop(0)
        else:
            break
    return best


def _joined_anew(variant: Variant | None) -> Variant | None:
    """The variant with the bend of a joined rope where it may lie there, in the same part of the line; None
    where it cannot."""
    if variant is None or variant.join is None:
        return variant
    same = (join for join in joins_of(variant) if join.segment == variant.join.segment)
    return next((replace(variant, join=join) for join in same), None)


def _steps(spacing: float) -> Iterator[float]:
    """Half the spacing of candidates, in whole decimetres, and half of that again, down to one."""
    tenths = max(round(spacing / FINE / 2.0), 1)
    while tenths > 1:
        yield tenths * FINE
        tenths //= 2
    yield FINE


def _stepped(
    filled: Filled, order: Order, floor: float, step: float, seen: set[Stand]
) -> Filled | None:
    """The best of a rig with its puller a step away any way, where that is better than it is. `seen`: stands
    looked at before, which are no better than where it is; those looked at now are added."""
    scene = filled.variant.row.scene
    puller = scene.puller
    assert puller.room is not None
    assert puller.stand is not None
    best, mark = None, _mark(filled, order)
    for stand in puller.room.near(puller.stand, step):
        if stand in seen:
            continue
        seen.add(stand)
        stood = stand_at(scene.site, puller, stand)
        if stood is None:
            continue
        moved = _moved(filled, at_stand(scene, stood))
        if moved is None or moved.margin < floor:
            continue
        if not order.allows(moved.variant.resets, moved.variant.rope_needed):
            continue
        reached = _mark(moved, order)
        if reached < mark:
            best, mark = moved, reached
    return best


def _mark(filled: Filled, order: Order) -> tuple[tuple[float, ...], float]:
    """By the order, and of equal ones the greater margin first; rounded, so that a tie is one."""
    key = Key.of(filled.variant, filled.margin)
    return order.sortable(key), -round(filled.margin, 6)


def _moved(filled: Filled, scene: Scene) -> Filled | None:
    """The rig with the same pieces in a scene of the same places; None where it does not work there."""
    note(Effort.TRIAL)
    row = filled.variant.row.on(scene)
    if not (row.evaluation.works.all() and row.works_throughout):
        return None
    variant = _joined_anew(filled.variant.on(row))
    if variant is None or not variant.long_enough or not enough(row, variant.kit.protectors):
        return None
    moved = replace(filled, variant=variant)
    return moved if has_room(moved) else None
