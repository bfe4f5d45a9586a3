"""Lists every rope, every way to make fast its ends and every choice of bearings for a rig."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

from optimiser.rig.forces import travel
from optimiser.rig.gear import joined
from optimiser.rig.gear.fastening import fastenings, standing_fixtures
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.over_edges import enough
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from shared.effort import Effort, note


def eta_patterns(kit: Kit, sheaves: int) -> Iterator[tuple[float, ...]]:
    """Efficiencies of the sheaves along a walk that the blocks at hand allow."""
    have = dict.fromkeys(kit.etas, 0)
    for piece in kit.blocks:
        have[piece.gear.eta] += piece.count * piece.gear.sheaves
    for pattern in product(kit.etas, repeat=sheaves):
        if all(pattern.count(eta) <= many for eta, many in have.items()):
            yield pattern


def _alone(row: RigRow) -> bool:
    """Whether nothing else hangs or turns where the standing end is made fast."""
    place = row.numbers[0]
    return row.anchored.get(place, ()) == (0,) and row.numbers[-1] != place


def variants(row: RigRow, kit: Kit) -> Iterator[Variant]:
    """Every rope and way to make fast its ends for a rig, as far as the rope is long enough, and there is
    enough of what it lays on edges."""
    scene = row.scene
    if not enough(row, kit.protectors):
        return
    near = row.evaluation.total_length[row.index][row.evaluation.states.spot == 0]
    far = row.evaluation.total_length[row.index][row.evaluation.states.spot == len(scene.spots) - 1]
    strokes = travel.strokes(puller=scene.puller, near=near, far=far)
    taken = travel.hauled(near)
    place = row.numbers[0]
    standing_at = standing_fixtures(scene, place, alone=_alone(row))
    plain = row.longest + scene.site.preferences.rope_spare
    for fastened in fastenings(kit, standing_at, scene.puller.fixture):
        note(Effort.VARIANT)
        rope, takes = fastened.rope, fastened.standing.eaten
        needed = plain + takes + fastened.hauling.eaten
        if rope.length is not None and needed <= rope.length + 1e-9:
            variant = Variant(
                row=row,
                kit=fastened.beside,
                rope=rope,
                standing=fastened.standing,
                hauling=fastened.hauling,
                rope_needed=needed,
                hauled=taken,
                strokes=strokes,
            )
            if rope.joined is None:
                yield variant
                continue
            for join in joined.place_joins(row, rope, standing_takes=takes, needed=needed):
                yield replace(variant, join=join)
