"""Lists every pair of ropes and every way to make fast their ends for one rig of tackle on tackle."""

from collections.abc import Iterator

from catalogue.gear import Rope
from optimiser.rig.gear.ends import IN_HAND, STRAP, RopeEnd, both_ends
from optimiser.rig.gear.fastening import standing_fixtures
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Second, Variant
from optimiser.rig.ground.scene import GRIP_NUMBER
from optimiser.rig.two_ropes.pairs import pairs, second_ends
from optimiser.rig.two_ropes.work import Work, geometry, most_out, work
from optimiser.site.model import Fixture, Owned
from shared.effort import Effort, note

Known = dict[float, Work | None]
"""What hauling takes for one pair of walks, by how far the grip may be from the anchor."""


def variants(row: RigRow, kit: Kit, known: Known | None = None) -> Iterator[Variant]:
    """As far as both ropes are long enough; of what can hold on the first rope the strongest. The tail
    beyond the grip is as long as what is kept in hand at the puller. `known`: of rows with the same
    walks and kit; is added to."""
    scene = row.scene
    spare = scene.site.preferences.rope_spare
    lengths = geometry(row, kit)
    known = {} if known is None else known
    every = pairs(kit, scene.puller.fixture)
    below_at = _second_at(row)
    for pair in every if row.pairs is None else row.pairs:
        first, second = pair.first, pair.second
        assert first.length is not None
        ends = pair.ends
        if below_at != STRAP:
            ends = tuple(second_ends(kit, second, below_at, scene.puller.fixture))
        for below, hauling in ends:
            eaten = below.eaten + hauling.eaten
            out = most_out(second, eaten + spare + lengths.fixed_near, lengths.parts)
            if out not in known:
                known[out] = work(lengths, puller=scene.puller, most_out=out)
            found = known[out]
            if found is None:
                continue
            for standing, takes in _first_ends(row, kit, first):
                needed = found.first + takes + pair.grip_eats + spare
                if needed <= first.length + 1e-9:
                    note(Effort.VARIANT)
                    needs = needed, found.second + eaten + spare
                    yield Variant(
                        row=row,
                        kit=kit,
                        rope=first,
                        standing=standing,
                        hauling=hauling,
                        rope_needed=sum(needs),
                        hauled=found.hauled,
                        strokes=found.strokes,
                        second=Second(
                            rope=second, standing=below, grip=pair.grip, work=found, needed=needs
                        ),
                    )


def _second_at(row: RigRow) -> Fixture:
    """What the second rope's standing end is made fast to."""
    assert row.course.grip is not None
    place = row.numbers[row.course.grip + 1]
    if place == GRIP_NUMBER:
        return STRAP
    return standing_fixtures(row.scene, place, alone=False)[0]


def _first_ends(row: RigRow, kit: Kit, rope: Owned[Rope]) -> Iterator[tuple[RopeEnd, float]]:
    """Ways to make the first rope's standing end fast, and m of rope that each takes."""
    place = row.numbers[0]
    alone = row.anchored.get(place, ()) == (0,)
    for fixture in standing_fixtures(row.scene, place, alone=alone):
        for standing in kit.ends(rope, fixture):
            if both_ends(rope, standing, IN_HAND):  # its other end hangs loose beyond the grip
                yield standing, standing.eaten
