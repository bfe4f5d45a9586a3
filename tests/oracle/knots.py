"""What makes a rope's end fast, by going through everything the owner knows or has on the rope.

Written against the words of the data file, one question after the other, and without the program's
own: is there a bare end for it, is it for this rope, does it hold on what is there?
"""

from collections.abc import Iterator
from dataclasses import dataclass

from catalogue.gear import MadeTo, Needs, Rope, Termination
from optimiser.rig.walk import Place, PlaceKind, Walk
from optimiser.site.model import Owned
from tests.oracle.mechanics import Scene

CLOSED_LOOP = (MadeTo.SHACKLE, MadeTo.HOOK)
"""What a loop that was tied at home can still be put on."""


@dataclass(frozen=True)
class End:
    """One way to make an end fast; `knot` None: held by hand."""

    knot: Termination | None
    on_rope: bool = False  # the termination that the rope has
    round_trunk: bool = False
    shackled: bool = False  # a shackle holds it


def two_ends(
    scene: Scene, walk: Walk, rope: Owned, *, on_strap: bool = False
) -> Iterator[tuple[End, End]]:
    """Every way to make both ends fast, with either end of the rope as the standing one. `on_strap`: that
    one is tied straight to a strap or chain that lengthens it, and a shackle holds this."""
    seen = set()
    for mine, other in (rope.ends, rope.ends[::-1]):
        first = _to_strap(scene, rope, mine) if on_strap else standing_ends(scene, walk, rope, mine)
        for standing in first:
            for hauling in hauling_ends(scene, rope, other):
                if (standing, hauling) not in seen:
                    seen.add((standing, hauling))
                    yield standing, hauling


def standing_ends(
    scene: Scene, walk: Walk, rope: Owned, there: Termination | None
) -> Iterator[End]:
    place = walk[0]
    for knot in _choices(scene, rope, there):
        fitted = knot is there
        if place.kind is PlaceKind.LOAD:
            grip = scene.grip
            what, wide = MadeTo.EYE, None
            if grip.leg is None:
                what, wide = grip.hitches[0].kind, grip.hitches[0].eye
            yield from _at_hitch(knot, rope, what, wide, fitted=fitted)
            continue
        anchor = scene.anchors[place.name]
        if anchor.girth is None and anchor.sling is None:
            yield from _at_hitch(knot, rope, MadeTo.EYE, anchor.eye, fitted=fitted)
            continue
        if _takes(knot, MadeTo.SHACKLE, fitted=fitted):
            yield End(knot, on_rope=fitted, shackled=True)
        on_wood = anchor.sling is None
        if (
            on_wood
            and MadeTo.TRUNK in knot.made_to
            and not fitted
            and _trunk_is_free(scene, walk, place)
        ):
            kind = rope.gear
            assert isinstance(kind, Rope)
            if 2.0 * anchor.least_radius + 1e-9 >= knot.least_trunk * kind.diameter:
                yield End(knot, round_trunk=True)


def to_shackle(scene: Scene, rope: Owned, there: Termination | None) -> Iterator[End]:
    """Fast to something in which a shackle hangs."""
    for knot in _choices(scene, rope, there):
        if _takes(knot, MadeTo.SHACKLE, fitted=knot is there):
            yield End(knot, on_rope=knot is there, shackled=True)


def _to_strap(scene: Scene, rope: Owned, there: Termination | None) -> Iterator[End]:
    for knot in _choices(scene, rope, there):
        if MadeTo.EYE in knot.made_to and knot is not there:
            yield End(knot, shackled=True)


def hauling_ends(scene: Scene, rope: Owned, there: Termination | None) -> Iterator[End]:
    puller = scene.puller
    if not puller.needs_termination:
        yield End(None)
        return
    for knot in _choices(scene, rope, there):
        fitted = knot is there
        if puller.purchase is not None and puller.hitch_eye is None:
            yield from _at_hitch(knot, rope, MadeTo.HOOK, None, fitted=fitted)
        else:
            yield from _at_hitch(knot, rope, puller.hitch_kind, puller.hitch_eye, fitted=fitted)


def _trunk_is_free(scene: Scene, walk: Walk, place: Place) -> bool:
    """A rope is tied round wood, where no strap hangs at the same height."""
    return walk.count(place) == 1 and scene.anchors[place.name].kind in ("tree", "post")


def _choices(scene: Scene, rope: Owned, there: Termination | None) -> Iterator[Termination]:
    """What is on that end, or any knot that this end and this kind of rope allow."""
    kind = rope.gear
    assert isinstance(kind, Rope)
    wire = not kind.knottable and kind.material.lower() not in ("hmpe", "uhmwpe")
    if there is not None and there.for_wire == wire:
        yield there
    for knot in scene.site.preferences.knots:
        if knot.needs is Needs.FITTED or knot.made_to & {MadeTo.ROPE, MadeTo.ROPE_END}:
            continue
        if knot.for_wire != wire or not (wire or kind.knottable):
            continue
        if there is None or knot.needs is Needs.BIGHT:
            yield knot


def _at_hitch(
    knot: Termination, rope: Owned, what: MadeTo, wide: float | None, *, fitted: bool
) -> Iterator[End]:
    """Straight on it where that holds and goes through; else with a shackle between."""
    kind = rope.gear
    assert isinstance(kind, Rope)
    side_by_side = kind.diameter * -(-knot.turns // 1)
    passes = what is not MadeTo.EYE or wide is None or side_by_side <= wide + 1e-9
    if passes and _takes(knot, what, fitted=fitted):
        yield End(knot, on_rope=fitted)
    elif _takes(knot, MadeTo.SHACKLE, fitted=fitted):
        yield End(knot, on_rope=fitted, shackled=True)


def _takes(knot: Termination, what: MadeTo, *, fitted: bool) -> bool:
    tied_at_home = fitted and knot.needs is not Needs.FITTED
    return what in knot.made_to and (not tied_at_home or what in CLOSED_LOOP)
