"""Checks a way down: the rope that lets the load down, and what the answer states of every place."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from catalogue.gear import Rope
from optimiser.proof import rigs
from optimiser.proof.claim import Claim, of_way_down
from optimiser.proof.duties import Holds, rests, runs
from optimiser.proof.loads import account, pulling
from optimiser.proof.loads.states import Found
from optimiser.proof.notes import EXACT, Notes, refusing
from optimiser.proof.pieces import stock
from optimiser.proof.pieces.read_figures import figure
from optimiser.proof.place.points import Point
from optimiser.proof.place.trunk import Grips, grips
from optimiser.rig.setup import HoldRow, LoweringSetup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Site

ON_REQUEST = "site"
"""The source of a hand's limit that was requested."""


def verify_way_down(site: Site, setup: LoweringSetup, *, hand: float | None = None) -> None:
    """Raise `VerificationError` unless every figure that can be worked out again is right. `hand`: the
    most that the hand on the rope may hold, N, where that was requested."""
    claim = of_way_down(setup, site.preferences.margin_wanted)
    owned = {piece.name: piece for piece in site.gear}
    with refusing(claim.title) as notes:
        able = turns_of(claim)
        ratio = able.ratio(setup.turns) if able is not None else 1.0
        limit = hand_limit(hand)
        most = limit * ratio if claim.by_hand else None
        stock.check([claim], owned, notes)
        checked = rigs.check(
            site, claim, Holds(site, most), owned, notes, rope_owned=setup.rope_owned, ratio=ratio
        )
        if checked is None:
            return
        account.check_conditions(setup.if_stands, claim, site.preferences.margin_wanted, notes)
        _figures(setup, checked.found, able, notes)
        _lengths(setup, checked.found, notes)
        rows(
            setup.profile[::-1], checked.found, checked.points, ratio, notes, by_hand=claim.by_hand
        )
        notes.same("limit of the hand", setup.hand_limit, limit)
        notes.need((setup.hand_source == ON_REQUEST) == (hand is not None), "whose limit it is")


def hand_limit(requested: float | None) -> float:
    """N that a person on the rope holds at most."""
    return figure("hold", "start_or_stop") if requested is None else requested


def turns_of(claim: Claim) -> Grips | None:
    """How the rope grips the trunk; None where a puller holds it."""
    rope = claim.rope.gear
    return grips(rope) if claim.by_hand and isinstance(rope, Rope) else None


def _figures(setup: LoweringSetup, found: Found, able: Grips | None, notes: Notes) -> None:
    line = max(found.pulls())
    notes.same("line", setup.line, line)
    tops = found.listed & (found.pull.max(axis=1) >= line * (1 - EXACT))
    at_top = bool((np.abs(found.course.at[tops] - setup.line_at) < 1e-6).any())
    notes.need(at_top, "the worst of the line comes elsewhere")
    ends = sum(
        (a.kind is PlaceKind.LOAD) + (b.kind is PlaceKind.LOAD) for a, b in pairwise(setup.walk)
    )
    notes.need(setup.parts == ends, f"{setup.parts} parts stated, {ends} at the load")
    turns, ratio = setup.turns, 1.0 if able is None else able.ratio(setup.turns)
    notes.same("friction", setup.friction, 0.0 if able is None else able.low)
    notes.same("line over hand", setup.ratio, ratio)
    notes.same("hand", setup.hand, 0.0 if able is None else line / ratio)
    least = 0.0 if able is None else line / able.most_ratio(turns)
    notes.same("least of the hand", setup.hand_least, least)
    dynamic = figure("hold", "jerk") if setup.holder is None else setup.holder.dynamic
    notes.same("dynamic factor", setup.dynamic, dynamic)


def _lengths(setup: LoweringSetup, found: Found, notes: Notes) -> None:
    near = found.near
    notes.same("rope paid out", setup.paid_out, max(near) - near[-1])
    at = [row.at for row in setup.profile[::-1]]
    stops = [] if setup.holder is None else pulling.stops(setup.holder, at, near, found.far)
    notes.need(setup.strokes == len(stops) + 1, f"{setup.strokes} strokes stated")
    notes.need(setup.resets == setup.strokes - 1, "resets are not strokes less one")
    heat = 0.0
    if setup.holder is None:
        lines = _line_by_row(found)
        for low in range(len(near) - 1):
            longer = max(near[low] - near[low + 1], 0.0)
            heat += longer * (lines[low] + lines[low + 1]) / 2.0
    notes.same("heat", setup.heat, heat)


def _line_by_row(found: Found) -> list[float]:
    out: list[float] = found.pull[found.listed].max(axis=1, initial=0.0).tolist()
    return out


def rows(
    stated: Sequence[HoldRow], found: Found, points: list[Point], ratio: float, notes: Notes,
    *, by_hand: bool,
) -> None:  # fmt: skip
    """Every row of a held line's profile, in order along the path as the line sees it."""
    here = {p.row: p for p in points if p.row is not None}
    for number, row in enumerate(stated):
        p, place = here[number], f"at {row.at:.2f} m"
        states = np.flatnonzero(found.course.row == number)
        pulls = found.pull[states]
        line = float(pulls.max())
        notes.same(f"{place}: line", row.line, line)
        rated = float(pulls[:, found.look < found.rated].max())
        notes.same(f"{place}: line with the sheaves as rated", row.control, rated)
        notes.same(f"{place}: runs", row.runs, runs(p, 1.0))
        notes.need(row.rest == rests(p), f"{place}: not what it does when let go of")
        push = max(p.resting * (p.leg.resistance * p.normal[2] - p.along[2]), 0.0)
        notes.same(f"{place}: push", row.push, push)
        if notes.need((row.hand is None) != by_hand, f"{place}: hand") and row.hand is not None:
            notes.same(f"{place}: hand", row.hand, line / ratio)
        reaction = float(found.needs.reaction[states].min())
        notes.same(f"{place}: ground reaction", row.ground_reaction, reaction, near=1e-5)
        aside = float(found.needs.sideways[states].max())
        notes.same(f"{place}: side pull", row.side_pull, aside if line > 0.0 else 0.0)
        notes.same(f"{place}: rope out", row.rope_out, found.near[number])
