"""Lists what may be laid on edges beyond what is there, and words what of it a rig needs."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import product

import numpy as np

from catalogue.book import load_catalogue
from catalogue.edges import rubbing
from catalogue.gear import Protector
from catalogue.prices import load_prices
from optimiser.jobs.why.job import Job
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.holders import hand
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.made import MOST_LAID, made_on_the_spot
from optimiser.rig.gear.over_edges import Place, places, touches
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import BARE, Edging, edging_of
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import laid_anew
from optimiser.rig.naming import edge_at
from optimiser.rig.setup import Change, names
from optimiser.rig.walk import Walk
from optimiser.site.model import Owned, is_of
from optimiser.site.roaming.stands import stands
from shared.words import with_article


def proposals(job: Job) -> Iterator[Owned[Protector]]:
    """What may be laid, the least trouble first: more of what is there, what is made on the spot, then what
    can be bought and rubs less than all of that, the cheapest first."""
    there = [p for p in job.kit.pieces if is_of(p, Protector)]
    made = made_on_the_spot(job.kit.pieces)
    easily = [*(replace(p, count=p.count + MOST_LAID) for p in there if p.price is None), *made]
    yield from easily
    yield from _rubbing_less(job, easily)


def _rubbing_less(job: Job, than: Sequence[Owned[Protector]]) -> Iterator[Owned[Protector]]:
    taken = {piece.name for piece in job.kit.pieces}
    items = sorted(load_prices().values(), key=lambda item: (item.price, item.id))
    for item in items:
        gear = item.gear
        if not isinstance(gear, Protector) or not item.for_sale or gear.id in taken:
            continue
        if all(_rubs(job, gear) < _rubs(job, known.gear) for known in than):
            condition = load_catalogue().conditions["good"]
            yield Owned(
                name=gear.id, gear=gear, count=MOST_LAID, condition=condition, price=item.price
            )


def _rubs(job: Job, gear: Protector) -> float:
    """The friction planned with, of the rope that it rubs least."""
    return min((rubbing(gear, rope.gear).high for rope in job.kit.ropes), default=1.0)


def easiest(job: Job) -> Owned[Protector] | None:
    """Of what may be laid without buying anything, what rubs least."""
    free = [piece for piece in proposals(job) if piece.price is None]
    return min(free, key=lambda piece: _rubs(job, piece.gear), default=None)


def with_piece(job: Job, piece: Owned[Protector]) -> Job:
    """The job with a piece there, as many as there may be of it."""
    others = tuple(p for p in job.kit.pieces if p.name != piece.name)
    pieces = sorted((*others, piece), key=lambda p: p.name)
    stations = laid_anew(job.site, job.stations, pieces)
    return replace(job, kit=Kit(tuple(pieces), job.kit.knots, job.kit.spend), stations=stations)


def places_of(job: Job, walk: Walk, piece: Owned[Protector]) -> tuple[Place, ...]:
    """Where a piece has to lie for a walk, with the way of taking hold of the load for which the fewest are
    needed; () where it touches nothing."""
    rope = next(iter(job.kit.ropes), None)
    found = rigs(job, walk, edging_of(job.site, rope, piece))
    return min((places(touches(row), piece.gear) for row in found), key=many, default=())


def rigs(job: Job, walk: Walk, edging: Edging = BARE) -> Iterator[RigRow]:
    """A walk with every way of taking hold of the load for which its places are there."""
    if not walk:
        return
    puller = next((p for p in job.site.pullers if p.name == walk[-1].name), None)
    if puller is None and job.hauls:
        return
    held = (hand(job.site),) if puller is None else stands(job.site, puller)
    pairs = product(attachments(job.site), held)
    for attachment, stood in pairs:
        scene = Scene(job.site, job.stations, attachment, stood, edging=edging)
        if all(place in scene.number for place in walk):
            numbers = np.array([[scene.number[place] for place in walk]])
            etas = np.ones((1, len(walk) - 2))
            yield RigRow(evaluate(scene, numbers, etas, job.line.duty), 0)


def many(laid: Sequence[Place]) -> int:
    """Pieces in all."""
    return sum(place.pieces for place in laid)


def lay(job: Job, piece: Owned[Protector], laid: Sequence[Place], then: str = "") -> Change:
    """The change that lays a piece: what, how many, and where. `then`: what that brings, a clause."""
    have = sum(p.count for p in job.kit.pieces if p.name == piece.name)
    more = max(many(laid) - have, 0)
    if have:
        text = f"{more} more {piece.name}: {_where(laid, job.units)}"
    else:
        what, begin = piece.gear.name, "lay" if piece.price is None else "buy and lay"
        many_of = f"{with_article(what)}," if more == 1 else f"{more} × {what}:"
        text = f"{begin} {many_of} {_where(laid, job.units)}"
        text += f' (in the site file: [[gear]] id = "{piece.gear.id}")'
    return Change(text=f"{text}{then}", amount=float(more), unit="pieces")


def _where(laid: Sequence[Place], units: str) -> str:
    """Where pieces lie: "on the edge at 6.20 m of the path", with how many where there are several."""
    places = [edge_at(place.begin, place.end, units) for place in laid]
    if many(laid) == 1:
        return f"on {places[0]}"
    counts = ["one" if p.pieces == 1 else f"{p.pieces} side by side" for p in laid]
    return names([f"{count} on {place}" for count, place in zip(counts, places, strict=True)])
