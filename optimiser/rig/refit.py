"""Puts a setup as it is on a site that has changed: same run of the rope, same pieces, same strap
heights.

Nothing is chosen anew. What no longer goes (a strap too short for a thicker trunk, a line that meets
the ground) is reported as the reason why the setup stops working.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, cast

import numpy as np
import numpy.typing as npt

from optimiser.rig.build import build_setup
from optimiser.rig.cautions.hauling import cautions
from optimiser.rig.components import hung
from optimiser.rig.forces.courses import Course
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.joined import with_joined
from optimiser.rig.gear.kit import Hanging, Kit, kit_of
from optimiser.rig.gear.over_edges import enough
from optimiser.rig.gear.room import has_room
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import BlockOption, Variant
from optimiser.rig.gear.variants import variants
from optimiser.rig.ground.attachments import attachment_named
from optimiser.rig.ground.edging import gear_of, of_setup
from optimiser.rig.ground.scene import GRIP_NUMBER, Scene
from optimiser.rig.ground.sharing import take_over
from optimiser.rig.ground.stations import Stations, lay_stations
from optimiser.rig.setup import AnyRig, Hung, Role, Setup, Way, names
from optimiser.rig.two_ropes.variants import variants as two_ropes
from optimiser.rig.walk import GRIP, PlaceKind, Walk
from optimiser.site.model import Anchor, One, Owned, Site
from optimiser.site.roaming.stands import puller_of

NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class Stopped:
    """Why a setup does not work on a site."""

    why: str


def reevaluate(
    site: Site,
    setup: Setup,
    *,
    extra: Sequence[Owned] = (),
    stations: Stations | None = None,
) -> Setup | None:
    """The setup on a changed site, everything computed again; None where it does not work there.

    `extra`: pieces owned besides those of the site. `stations`: of its stretch, where the path has
    changed; else they are laid from where the setup begins to where it ends. The site must have the
    setup's anchors, puller and pieces by their names.
    """

    filled = refit(site, setup, extra=extra, stations=stations)
    if isinstance(filled, Stopped):
        return None
    again = build_setup(filled, rank=setup.rank)
    return replace(again, cautions=cautions(site, again))


def refit(
    site: Site,
    setup: Setup,
    *,
    extra: Sequence[Owned] = (),
    stations: Stations | None = None,
    like: Scene | None = None,
    but: Collection[Fault] = (),
) -> Filled | Stopped:
    """The setup's rig on a changed site, filled with the same pieces; or why it does not work there.
    For the arguments see `reevaluate`; `like`: a scene whose tables may be used if they still hold; `but`:
    faults that the change cannot bring about."""
    kit = kit_of(site, extra)
    if setup.rope.joined is not None:
        kit = with_joined(kit)
    scene = scene_of(site, setup, stations)
    if isinstance(scene, Stopped):
        return scene
    if like is not None:
        scene = take_over(scene, (like,))
    row = RigRow(evaluated(scene, setup, etas_of(kit, setup)), 0)
    why = stops(row, but)
    if why is not None:
        return Stopped(why)
    every: Iterable[Variant] = variants(row, kit) if row.tackle is None else two_ropes(row, kit)
    return with_same_pieces(every, setup, tuple(line.rope.name for line in setup.lines))


def put_on(filled: Filled, scene: Scene, *, but: Collection[Fault] = ()) -> Filled | Stopped:
    """A filled rig in a scene of the same places, which may stand elsewhere, with the same pieces: however
    long the rope it takes then, and whether or not the gear has room. The join of a rope stays where it was.
    `but`: faults that whoever calls this looks for by other means."""
    row = filled.variant.row.on(scene)
    why = stops(row, but)
    if why is not None:
        return Stopped(why)
    variant = filled.variant.on(row)
    if variant is None:
        return Stopped("the second rope's tackle has no room to work in")
    if not enough(row, variant.kit.protectors):
        return Stopped("there is not enough of what it lays on edges")
    return replace(filled, variant=variant)


def evaluated(scene: Scene, setup: Setup, etas: Sequence[float]) -> Evaluation:
    """The setup's ropes in a scene, with efficiencies of their sheaves."""
    places = (place for line in setup.lines for place in line.walk)
    walks = np.array([[GRIP_NUMBER if p == GRIP else scene.number[p] for p in places]])
    some = np.array(etas, dtype=float).reshape(1, len(etas))
    return evaluate(scene, walks, Course.of(walks).spread(some))


def etas_of(kit: Kit, setup: AnyRig) -> tuple[float, ...]:
    """Efficiencies of the sheaves along the walk, of the blocks that hang in it; of both ropes' walks
    one after the other. The low end of each range."""
    return tuple(ends[0] for ends in _eta_ends(kit, setup))


def eta_corners(kit: Kit, setup: Setup) -> npt.NDArray[np.float64]:
    """(q, m) the same at every combination of ends of their ranges, all low first."""
    ends = _eta_ends(kit, setup)
    rows = list(product(*ends))
    return np.array(rows, dtype=float).reshape(len(rows), len(ends))


def _eta_ends(kit: Kit, setup: AnyRig) -> list[tuple[float, ...]]:
    at: dict[int, tuple[float, ...]] = {}
    for piece in _of(setup, Role.BLOCK):
        gear = _named(kit.blocks, piece.item).gear
        ends = (gear.eta,) if gear.eta_most is None else (gear.eta, gear.eta_most)
        at |= dict.fromkeys(piece.nodes, ends)
    return [at[node] for node in sorted(at)]


def scene_of(site: Site, setup: Setup, stations: Stations | None = None) -> Scene | Stopped:
    """The scene of one setup: its own places only, so that it is quickly tabulated. Every anchor still
    stands in the way of lines. The puller goes no further than planned."""
    trimmed = with_places_of(site, setup.nodes)
    if isinstance(trimmed, Stopped):
        return trimmed
    puller = puller_of(site, setup.puller)
    puller = replace(puller, run=min(puller.run, setup.puller.run))
    trimmed = replace(trimmed, pullers=(puller,))
    attachment = attachment_named(site, setup.attachment)
    if attachment is None:
        return Stopped(f"the load cannot be taken at {setup.attachment}")
    laid = own_stations(stretch_of(site, setup), setup) if stations is None else stations
    kept = any(line.way is Way.ON for line in setup.holding)
    guides = () if setup.steered is None else (setup.steered,)
    return Scene(trimmed, laid, attachment, puller, kept, guides, of_setup(site, setup))


def with_places_of(site: Site, walk: Walk) -> Site | Stopped:
    """The site with straps only where a walk has them; every anchor still stands in the way of lines."""
    heights: dict[str, set[float]] = {}
    for place in walk:
        if place.kind is PlaceKind.ANCHOR:
            heights.setdefault(place.name, set()).add(place.height)
    anchors = []
    for anchor in site.anchors:
        wanted = heights.get(anchor.name, set())
        if wanted and not (
            min(anchor.heights) - NEAR <= min(wanted) and max(wanted) <= max(anchor.heights) + NEAR
        ):
            return Stopped(f"no strap may go where it hangs on {anchor.name}")
        anchors.append(_with_heights(anchor, tuple(sorted(wanted))))
    return replace(site, anchors=tuple(anchors))


def stops(row: RigRow, but: Collection[Fault] = ()) -> str | None:
    """Why a rig does not work, whatever its sheaves do; None where it does, but perhaps for some faults."""
    ev, corners = row.corners
    if ev.verdict.works_but(but)[corners].all():
        return None
    found = (ev.verdict.first(i, but) for i in range(corners.start, corners.stop))
    return next(failure.text for failure in found if failure is not None)


def stretch_of(site: Site, setup: Setup) -> Stations:
    """The stations of the setup's stretch, laid anew."""
    gear = gear_of(site, setup)
    laid = lay_stations(site, gear=gear)
    end = float(laid.at[-1])
    if setup.from_m <= NEAR and setup.to_m >= end - NEAR:
        return laid
    laid = lay_stations(site, (setup.from_m, setup.to_m), gear)
    return laid.pick(laid.between(setup.from_m, min(setup.to_m, end)))


def own_stations(laid: Stations, setup: AnyRig) -> Stations:
    """The stations of a stretch without those of the legs before and after it, which stand at its ends too
    where these are at bends and the setup has nothing to do there."""
    at = sorted(row.at for row in setup.profile)
    if len(at) < 2 or len(laid) < 2:
        return laid
    begin = int(at[1] - at[0] > NEAR and laid.at[1] - laid.at[0] <= NEAR)
    end = int(at[-1] - at[-2] > NEAR and laid.at[-1] - laid.at[-2] <= NEAR)
    return laid.pick(slice(begin, len(laid) - end))


def _with_heights(anchor: Anchor, heights: tuple[float, ...]) -> Anchor:
    """The anchor with other strap heights; every kind of anchor is a dataclass with that field."""
    return cast(Anchor, replace(cast(Any, anchor), heights=heights))


def _of(setup: AnyRig, role: Role) -> list[Hung]:
    return [piece for piece in setup.gear if piece.role is role]


def _named(pieces: Iterable[Owned[One]], name: str) -> Owned[One]:
    return next(piece for piece in pieces if piece.name == name)


# ---- the same pieces in the same places ------------------------------------------------------------


def with_same_pieces(
    every: Iterable[Variant], setup: AnyRig, ropes: tuple[str, ...]
) -> Filled | Stopped:
    """Of the variants of a rig the one with a setup's ropes, pieces and knots, filled; or why none is."""
    ready = [v for v in every if v.rope_names == ropes]
    if not ready:
        return Stopped(f"{names(ropes)} {'is' if len(ropes) == 1 else 'are'} too short")
    fitting = []
    strapped = {piece.place for piece in _of(setup, Role.STRAP)}
    eased = {h.nodes for h in setup.gear if h.role is Role.TURNS}
    for variant in ready:
        if {str(variant.row.place(place)) for place in variant.strap_places} != strapped:
            continue  # its standing end is tied round a trunk, or is not, where the setup's is
        filled = _hang(variant, setup)
        if isinstance(filled, Stopped):
            return filled
        if _ends(hung(filled), eased) == _ends(setup.gear, eased):
            fitting.append(filled)
    if not fitting:
        return Stopped(
            f"{names(ropes)} {'is' if len(ropes) == 1 else 'are'} too short for the knots"
        )
    # A splice and a knot may bear one name; they differ in the rope they take.
    best = min(
        fitting,
        key=lambda f: (
            not has_room(f),
            _bend(hung(f)) != _bend(setup.gear),
            abs(f.variant.rope_needed - setup.rope_needed),
        ),
    )
    return (
        best if has_room(best) else Stopped("two-blocked: the gear does not fit between its places")
    )


def _bend(gear: Sequence[Hung]) -> list[tuple[int, ...]]:
    """Between which nodes a bend lies; none where the rope has none."""
    return [h.nodes for h in gear if h.role is Role.BEND]


def _hang(variant: Variant, setup: AnyRig) -> Filled | Stopped:
    blocks, straps, legs = [], {}, []
    places = variant.row.scene.places
    for piece in _of(setup, Role.BLOCK):
        block = _block(variant, piece)
        if block is None:
            return Stopped(f"{piece.item} does not take the rope")
        blocks.append(block)
    for piece in _of(setup, Role.STRAP):
        number = next(i for i, place in enumerate(places) if str(place) == piece.place)
        strap = _strap(variant, number, piece)
        if strap is None:
            return Stopped(f"{piece.item} is too short to go round as {piece.how} at {piece.place}")
        straps[number] = strap
    for piece, (_, demand) in zip(_of(setup, Role.LEG), variant.bridle_legs, strict=True):
        leg = next((p for p, _ in variant.leg_options(demand) if p.name == piece.item), None)
        if leg is None:
            return Stopped(f"{piece.item} does not reach as a leg of the bridle")
        legs.append(leg)
    shackles = {h.nodes: _named(variant.kit.shackles, h.item) for h in _of(setup, Role.SHACKLE)}
    return Filled(variant, tuple(blocks), straps, shackles, tuple(legs))


def _block(variant: Variant, piece: Hung) -> BlockOption | None:
    for option in variant.block_options:
        if option.nodes == piece.nodes and option.piece.name == piece.item:
            return option
    return None


def _strap(variant: Variant, number: int, piece: Hung) -> Hanging | None:
    for hanging, _ in variant.strap_options(number):
        if (hanging.piece.name, hanging.how) == (piece.item, piece.how):
            return hanging
    return None


_ENDS = (Role.END, Role.TIE, Role.EXTENSION, Role.BEND, Role.GRIP)


def _ends(
    gear: Sequence[Hung], eased: Collection[tuple[int, ...]]
) -> list[tuple[str, str, tuple[int, ...]]]:
    """How the rope is made fast and joined. Where a bend lies along the rope may change, and where it is
    `eased` out by hand nothing is made fast."""
    return [
        (h.role, "" if h.role is Role.BEND else h.how, () if h.role is Role.BEND else h.nodes)
        for h in gear
        if h.role in _ENDS and h.nodes not in eased
    ]
