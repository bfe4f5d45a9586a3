"""Builds the site in SI from a document, with every guess at one end of its range."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import nextafter
from typing import Any, cast

from catalogue.gear import Block
from optimiser.site.anchors import SharedAnchor, Tree, shared_anchor
from optimiser.site.document.quantity import Corner
from optimiser.site.document.site import SiteDocument
from optimiser.site.frame import DECIMALS, Frame
from optimiser.site.guesses import guesses
from optimiser.site.lines import Key
from optimiser.site.model import Anchor, Guess, Obstacle, Owned, Puller, Site
from optimiser.site.origin import DocumentOrigin
from optimiser.site.roaming.stands import LEAST_RUN, stands
from shared.words import did_you_mean

Found = tuple[Key, str]
MOST_PAIRS = 40
"""More are not looked at at once: each is a place of its own."""


def build_site(
    document: SiteDocument,
    corner: Corner,
    known: tuple[Guess, ...] | None = None,
    lines: Mapping[Key, int] | None = None,
) -> tuple[Site | None, list[Found]]:
    """The site at a corner, or None and what no formula takes (a tree 9 m thick). `known`: its guesses,
    where they need not be looked for again; `lines`: where each key stands in the file."""
    faults: list[Found] = []
    count = document.preferences.strap_places
    anchors: list[Anchor] = []
    for number, tree in enumerate(document.tree):
        try:
            anchors.append(tree.tree(corner, count))
        except ValueError as error:
            faults.append((("tree", number), str(error)))
    for number, anchor in enumerate(document.anchor):
        try:
            anchors.append(anchor.anchor(corner, count))
        except ValueError as error:
            faults.append((("anchor", number), str(error)))
    for number, made in enumerate(document.made):
        try:
            anchors += made.anchors(corner)
        except ValueError as error:
            faults.append((("made", number), str(error)))
    if faults:
        return None, faults
    legs = document.path.legs(document.load.motion, corner)
    named = {anchor.name: anchor for anchor in anchors}
    site = Site(
        # Every answer is headed by it: a file without one goes by what is hauled.
        title=document.title or document.load.name,
        legs=legs,
        load=document.load.load(corner),
        anchors=tuple(anchors),
        obstacles=tuple(obstacle.obstacle(corner) for obstacle in document.obstacle),
        pullers=tuple(puller.puller(corner, named, legs[0].start) for puller in document.puller),
        gear=made_distinct([piece.owned(corner) for piece in document.gear]),
        preferences=document.preferences.preferences(),
        stock=tuple(item for made in document.made for item in made.stock),
        guesses=tuple(guesses(document)) if known is None else known,
        lever=None if document.lever is None else document.lever.job(corner),
        origin=DocumentOrigin(document, corner, build_site, lines or {}),
        surveyed=document.outcome,
    )
    site = _framed(site)
    faults += _without_room(site)
    if faults:
        return None, faults
    site = replace(site, pullers=tuple(stands(site, puller)[0] for puller in site.pullers))
    pairs, faults = _sharing(document, site.anchors)
    if faults:
        return None, faults
    site = replace(site, anchors=(*site.anchors, *pairs))
    pulls = document.pulls
    if pulls is not None:
        held = (pulls.counted(i, leg, site.load.weight) for i, leg in enumerate(site.legs))
        site = replace(site, legs=tuple(held))
    return site, []


def _sharing(
    document: SiteDocument, anchors: Iterable[Anchor]
) -> tuple[tuple[SharedAnchor, ...], list[Found]]:
    """Each two trees that may share, once, in the order of the file, and what is wrong with those that it
    names. Of pairs picked by distance, those that cannot share are left out."""
    trees = {anchor.name: anchor for anchor in anchors if isinstance(anchor, Tree)}
    at = {name: tree.position for name, tree in trees.items()}
    out: dict[frozenset[str], SharedAnchor] = {}
    faults: list[Found] = []
    for index, part in enumerate(document.pair):
        key: Key = ("pair", index)
        for names in part.chosen(at):
            missing = next((name for name in names if name not in trees), None)
            if missing is not None:
                faults.append(
                    (
                        (*key, "trees"),
                        f"no [[tree]] is named '{missing[:40]}'{did_you_mean(missing, trees)}",
                    )
                )
                continue
            found = shared_anchor(
                trees[names[0]],
                trees[names[1]],
                height=None if part.height is None else part.height.at("stated"),
                angle=None if part.angle is None else part.angle.at("stated"),
            )
            if isinstance(found, str):
                if part.trees is not None:
                    faults.append((key, f"{names[0]} and {names[1]} cannot share: {found}"))
                continue
            out.setdefault(frozenset(names), found)
    if len(out) > MOST_PAIRS:
        message = f"that is {len(out)} pairs, {MOST_PAIRS} at most: take within smaller"
        faults.append((("pair", 0), message))
    return tuple(out.values()), faults


def _framed(site: Site) -> Site:
    """The site in its own frame (`optimiser.site.frame`), which it keeps."""
    frame = Frame.of(site.legs[0].start, site.legs[0].end)
    return replace(
        site,
        legs=tuple(
            replace(leg, start=frame.point(leg.start), end=frame.point(leg.end))
            for leg in site.legs
        ),
        anchors=tuple(cast(Anchor, _placed(cast(Any, a), frame)) for a in site.anchors),
        obstacles=tuple(cast(Obstacle, _placed(o, frame)) for o in site.obstacles),
        pullers=tuple(_turned(puller, frame) for puller in site.pullers),
        frame=frame,
    )


def _without_room(site: Site) -> Iterator[Found]:
    """Pullers that cannot stand anywhere in their room."""
    for number, puller in enumerate(site.pullers):
        if puller.room is not None and not stands(site, puller):
            body = puller.room.body
            yield (
                ("puller", number, puller.room.word),
                f"'{puller.name}' has no room there: nowhere on it can something {body.length:g} m long "
                f"and {body.width:g} m wide go {LEAST_RUN:g} m straight ahead and stay on it, clear of "
                "trunks, posts and the way of the load (its own size: body_length, body_width)",
            )


def _placed(thing: Any, frame: Frame) -> Any:
    return replace(thing, position=frame.point(thing.position))


def _turned(puller: Puller, frame: Frame) -> Puller:
    return replace(
        puller,
        position=frame.point(puller.position),
        heading=frame.way(puller.heading),
        run=round(puller.run, DECIMALS),
        room=puller.room and puller.room.moved(tuple(map(frame.point, puller.room.points))),
    )


def made_distinct(gear: Sequence[Owned]) -> tuple[Owned, ...]:
    """The pieces, with a low efficiency of its own for every range of efficiency.

    Walks know a sheave by the (low) efficiency of its bearing alone. A block of "0.9..0.95" must not be
    taken for one of 0.9 for certain, so ranges begin lower by the last digits of a float.
    """
    ranges = sorted({ends for piece in gear if (ends := _range_of(piece)) is not None})
    out = []
    for piece in gear:
        block, ends = piece.gear, _range_of(piece)
        if ends is not None and isinstance(block, Block):
            eta = block.eta
            for _ in range(1 + ranges.index(ends)):
                eta = nextafter(eta, 0.0)
            piece = replace(piece, gear=replace(block, eta=eta))
        out.append(piece)
    return tuple(out)


def _range_of(piece: Owned) -> tuple[float, float] | None:
    """Both ends of a block's efficiency; None where that is certain, or none is wanted."""
    block = piece.gear
    if not isinstance(block, Block) or block.eta_most is None:
        return None
    return block.eta, block.eta_most
