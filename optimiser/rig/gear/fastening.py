"""Lists every way in which the two ends of a rope can be made fast."""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from math import inf

from catalogue.gear import MadeTo, Rope
from optimiser.rig.gear import joined
from optimiser.rig.gear.ends import RopeEnd, both_ends, fixtures
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.site.model import Fixture, Owned


@dataclass(frozen=True, slots=True)
class Fastened:
    """A rope with one way to make fast both its ends, and the kit beside it."""

    rope: Owned[Rope]
    standing: RopeEnd
    hauling: RopeEnd
    beside: Kit


def standing_fixtures(scene: Scene, place: int, *, alone: bool) -> tuple[Fixture, ...]:
    """Returns what a standing end can be made fast to at a place of the scene. `alone`: nothing else hangs
    there, so that the rope may be tied round the trunk itself."""
    if place == 0:
        return (scene.attachment.fixture,)
    found = fixtures(scene.anchor_at(place))
    return found if alone else found[:1]


def fastenings(
    kit: Kit, standing: tuple[Fixture, ...], hauling: Fixture | None
) -> tuple[Fastened, ...]:
    """Of every rope of the kit, with the standing end made fast to any of some fixtures and the hauling
    end to another one (None: people hold it); worked out once."""
    return kit.once(
        ("fastened", standing, hauling), lambda: tuple(_fastenings(kit, standing, hauling))
    )


def _fastenings(
    kit: Kit, standing: tuple[Fixture, ...], hauling: Fixture | None
) -> Iterator[Fastened]:
    for rope in kit.ropes:
        beside = joined.kit_beside(kit, rope)
        for first, last in _ends_of(kit, rope, standing, hauling):
            yield Fastened(rope, first, last, beside)


def _ends_of(
    kit: Kit, rope: Owned[Rope], standing: tuple[Fixture, ...], hauling: Fixture | None
) -> Iterator[tuple[RopeEnd, RopeEnd]]:
    hauling_ends = kit.ends(rope, hauling)
    for first in joined.standing_ends(kit, rope, standing):
        for last in hauling_ends:
            if both_ends(rope, first, last):
                yield first, last


@dataclass(frozen=True, slots=True)
class AtBest:
    """What the ropes of a kit are good for at best wherever in a scene the standing end is: `eaten` m, the
    least rope that both ends take; `longest` m, of the ropes whose two ends can be made fast at all."""

    eaten: float
    longest: float


def at_best(kit: Kit, scene: Scene) -> AtBest:
    """Bounds on length from how the ropes can be made fast; 0 m each where none can be."""
    standing, hauling = every_fixture(scene), scene.puller.fixture

    def work() -> AtBest:
        eaten: dict[Hashable, float] = {}
        longest = 0.0
        for rope in kit.ropes:
            # Ropes that one strap or another lengthens have the same ends.
            by_a_strap = None if rope.joined is None else rope.joined.bend is None
            same = (rope.gear, rope.ends, by_a_strap)
            if same not in eaten:
                both = _ends_of(kit, rope, standing, hauling)
                eaten[same] = min((a.eaten + b.eaten for a, b in both), default=inf)
            if eaten[same] < inf:
                longest = max(longest, rope.length or 0.0)
        least = min(eaten.values(), default=inf)
        return AtBest(eaten=0.0 if least == inf else least, longest=longest)

    return kit.once(("fastened at best", standing, hauling), work)


def every_fixture(scene: Scene) -> tuple[Fixture, ...]:
    """Returns what a standing end can be made fast to anywhere in the scene; for all trunks one that is as
    thick as the thickest and takes as little rope as the thinnest."""
    anchors = scene.site.anchors
    found = [scene.attachment.fixture, *(f for anchor in anchors for f in fixtures(anchor))]
    trunks = [f for f in found if f.kind is MadeTo.TRUNK]
    out = dict.fromkeys(f for f in found if f.kind is not MadeTo.TRUNK)
    if trunks:
        thick = max(trunk.width or inf for trunk in trunks)
        girth = min(trunk.girth for trunk in trunks)
        out[Fixture(kind=MadeTo.TRUNK, width=thick, girth=girth)] = None
    return tuple(out)
