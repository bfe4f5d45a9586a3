"""Site files with a range put on everything that may be one, and points inside those ranges.

What a rig has to stand at such a point is worked out by the re-check's account, which shares no import
with the search: with values that are certain, each sheave at an efficiency of its own.
"""

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from catalogue.book import load_catalogue
from catalogue.gear import Block, Rope
from optimiser.proof import two_ropes
from optimiser.proof.claim import Claim, of_haul, of_way_down
from optimiser.proof.duties import Hauls, Holds
from optimiser.proof.loads.forces import work_out
from optimiser.proof.loads.states import Duty
from optimiser.proof.notes import Notes
from optimiser.proof.pieces.hanging import Hanging
from optimiser.proof.pieces.strength import Strength, groups
from optimiser.proof.place.points import hold, points
from optimiser.proof.rigs import ground_under
from optimiser.proof.two_ropes import TwoHanging, TwoStrength
from optimiser.proof.way_down import turns_of
from optimiser.rig.setup import LoweringSetup, Setup
from optimiser.site.building import build_site
from optimiser.site.document.site import SiteDocument
from optimiser.site.lines import Key
from optimiser.site.model import Owned, Site, is_of

KEYS = (
    *("weight", "rating", "resistance", "apparent_weight", "breakout", "step", "diameter", "girth"),
    *("tree_height", "hollow", "pull", "per_head", "driven_share", "traction", "hitch_rating"),
    *("length", "breaking_strength", "dynamic"),
)
"""Keys whose values may be ranges, in the tables looked at."""
TABLES = ("load", "path", "tree", "anchor", "puller", "gear")
SOFTER = 0.08
"""How much less than the catalogue's a sheave may pass on."""


def widened(text: str, spread: str) -> Site:
    """The site of a file with all of it as uncertain as `spread` ("4 %"), planned at its worst."""
    raw = tomllib.loads(text)
    for table in TABLES:
        if table in raw:
            raw[table] = _wide(raw[table], spread, table)
    for piece in raw["gear"]:
        known = load_catalogue().gear.get(piece.get("id", ""))
        if isinstance(known, Block) and "efficiency" not in piece:
            piece["efficiency"] = f"{known.eta - SOFTER:.3f}..{min(known.eta + 0.02, 0.99):.3f}"
        elif isinstance(piece.get("efficiency"), float):
            piece["efficiency"] = f"{piece['efficiency'] - SOFTER:.3f}..{piece['efficiency']:.3f}"
    site, found = build_site(SiteDocument.model_validate(raw), "worst")
    assert site is not None, found
    return site


def _wide(value: Any, spread: str, table: str) -> Any:
    if isinstance(value, list):
        return [_wide(item, spread, table) for item in value]
    if not isinstance(value, dict):
        return value
    out = {}
    for key, inner in value.items():
        sized = key in ("length", "diameter", "girth") and table != "tree"
        sized &= not (key == "length" and value.get("kind", "") in ("strap", "rope"))
        one = isinstance(inner, str | float) and key in KEYS and not sized
        certain = one and ".." not in str(inner) and "+-" not in str(inner) and inner != "unknown"
        out[key] = f"{inner} +- {spread}" if certain else _wide(inner, spread, table)
    return out


@dataclass(frozen=True)
class Sample:
    """The site at a point inside its ranges, and a number in 0..1 for each sheave."""

    site: Site
    shares: tuple[float, ...]


def samples(site: Site, many: int, seed: int) -> Iterator[Sample]:
    """Points inside the ranges: at even odds, every other one with most inputs at an end."""
    assert site.origin is not None
    rng = np.random.default_rng(seed)
    ranges = site.origin.ranges
    for number in range(many):
        shares = rng.random(len(ranges) + 16)
        if number % 2:
            shares = np.where(rng.random(len(shares)) < 0.8, np.round(shares), shares)
        values: dict[Key, float] = {}
        for share, (key, quantity) in zip(shares, ranges.items(), strict=False):
            span = quantity.interval
            if not (key[0] == "gear" and key[-1] == "efficiency"):
                values[key] = span.low + float(share) * (span.high - span.low)
        yield Sample(site.origin.site(values, "worst"), tuple(shares[len(ranges) :]))


def turned_at(site: Site, claim: Claim, sample: Sample) -> Claim:
    """The rig with each of its sheaves somewhere within its range."""
    owned = {piece.name: piece.gear for piece in site.gear}
    ends: dict[int, tuple[float, float]] = {}
    for h in claim.gear:
        block = owned.get(h.item)
        if h.role == "block" and isinstance(block, Block):
            most = block.eta if block.eta_most is None else block.eta_most
            ends |= dict.fromkeys(h.nodes, (block.eta, most))
    share, begin, lines = iter(sample.shares), 0, []
    for line in claim.lines:
        etas = []
        for i, eta in enumerate(line.etas, start=begin + 1):
            low, high = ends.get(i, (eta, eta))
            etas.append(low + next(share) * (high - low))
        lines.append(replace(line, etas=tuple(etas)))
        begin += len(line.walk)
    return replace(claim, lines=tuple(lines))


def margin_at(
    site: Site, answer: Setup | LoweringSetup, sample: Sample, extra: Sequence[Owned] = ()
) -> float:
    """Least margin of a setup at a point inside the ranges; 0 where it fails altogether.

    The rope, the hitches, the run of the puller and where it all hangs stay as they were planned.
    """
    at = sample.site
    certain = [_certain(piece) for piece in at.gear]
    at = replace(at, gear=tuple(certain))
    claim = of_haul(answer) if isinstance(answer, Setup) else of_way_down(answer, 1.0)
    claim = turned_at(site, claim, sample)
    if not claim.by_hand:
        own = next(p for p in at.pullers if p.name == claim.puller.name)
        claim = replace(claim, puller=replace(own, run=min(own.run, claim.puller.run)))
    owned = {piece.name: piece for piece in (*certain, *extra)}
    known = {piece.name: piece for piece in owned.values() if is_of(piece, Rope)}
    ropes = [known.get(line.rope.name, line.rope) for line in claim.lines]
    claim = replace(
        claim,
        lines=tuple(replace(e, rope=r) for e, r in zip(claim.lines, ropes, strict=True)),
    )
    able = turns_of(claim)
    ratio = 1.0 if able is None else able.ratio(claim.turns)
    duty: Duty
    if isinstance(answer, Setup):
        duty = Hauls(at, kept=bool(answer.holding), guide=answer.steered)
    else:
        duty = Holds(at, answer.hand_limit * ratio if claim.by_hand else None)
    return _margin(at, claim, duty, owned, ratio)


def _certain(piece: Owned) -> Owned:
    """A piece whose sheaves' efficiencies are known from the claim alone."""
    if not isinstance(piece.gear, Block):
        return piece
    return replace(piece, gear=replace(piece.gear, eta_most=None))


def _margin(at: Site, claim: Claim, duty: Duty, owned: dict[str, Owned], ratio: float) -> float:
    notes = Notes()
    grip = hold(at.load, claim.attachment)
    assert grip is not None
    both = claim.second is not None
    hanging = (TwoHanging if both else Hanging)(at, claim, grip, owned, notes)
    hanging._straps()  # fills in the ways in which straps go round, or says that one does not
    if any("strap" in result or "round" in result for result in notes.found):
        return 0.0
    line = [p for p in points(at, claim, Notes()) if p.row is not None]
    named = groups(at, claim, grip, hanging)
    wanted = dict.fromkeys(named.values())
    if both:
        found = two_ropes.work_out_both(at, claim, duty, grip, line, wanted, owned, notes)
    else:
        ground = ground_under(at, claim, owned)
        found = work_out(at, ground, claim, duty, grip, line, wanted, owned)
    if any(where.any() for _, where in found.needs.why):
        return 0.0
    book = (TwoStrength if both else Strength)(at, claim, grip, hanging, found, named, ratio)
    margins = [
        min(book.end()[0], *(part.margin for part in book.lines(ends)))
        for ends in hanging.all_ends()
    ]
    # Several readings of one name: the one that the answer means.
    return min(margins, key=lambda m: abs(m - claim.margin))


__all__ = ["Sample", "margin_at", "samples", "widened"]
