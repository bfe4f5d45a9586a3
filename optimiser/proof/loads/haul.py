"""Checks a setup: its hauling rope or ropes, and the second lines that go with it."""

from collections.abc import Sequence
from math import inf

import numpy as np

from optimiser.proof import rigs, second_lines
from optimiser.proof.claim import of_haul
from optimiser.proof.duties import Hauls, rests, runs
from optimiser.proof.loads import account, pulling, take_in
from optimiser.proof.loads.states import Found
from optimiser.proof.notes import EXACT, Notes, equal, refusing
from optimiser.proof.pieces import stock
from optimiser.proof.rigs import Worked
from optimiser.proof.two_ropes import TwoHanging
from optimiser.rig.setup import HoldingLine, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Owned, Site

NEAR = 1e-5
"""Relative tolerance of what is left where two nearly equal forces are taken from each other."""
PLACED = 1e-4
"""m along the path within which a stop must be where the check finds it."""


def verify(site: Site, setup: Setup, *, extra: Sequence[Owned] = (), kept: bool = False) -> None:
    """Raise `VerificationError` unless every figure that can be worked out again is right.

    `extra`: pieces that would be bought, owned besides those of the site; `kept`: where the load runs
    on downhill by itself a holding line is to be found for it (if the setup has one, that is checked).
    """
    owned = _owned(site, setup, extra)
    with refusing(f"setup {setup.rank} ({setup.reeving})") as notes:
        checked = _haul(site, setup, owned, notes, kept=kept or bool(setup.holding))
        if checked is not None and (setup.holding or setup.steered is not None):
            second_lines.check(site, setup, checked, owned, notes)


def verify_second_lines(site: Site, setup: Setup, lines: Sequence[HoldingLine]) -> None:
    """Raise `VerificationError` unless the lines, found for a setup that has none, are right. They
    need not keep the load everywhere that it would run."""
    owned = _owned(site, setup, ())
    with refusing(f"setup {setup.rank} ({setup.reeving})") as notes:
        second_lines.check_found(site, setup, lines, owned, notes)


def _owned(site: Site, setup: Setup, extra: Sequence[Owned]) -> dict[str, Owned]:
    """What there is by name. Whether a rope is put together as stated is checked with its join."""
    owned = {piece.name: piece for piece in (*site.gear, *extra)}
    if setup.rope.joined is not None:
        owned.setdefault(setup.rope.name, setup.rope)
    return owned


def _haul(
    site: Site, setup: Setup, owned: dict[str, Owned], notes: Notes, *, kept: bool
) -> Worked | None:
    claim = of_haul(setup)
    duty = Hauls(site, kept=kept, guide=setup.steered)
    rope_owned = None if setup.second is not None else setup.rope_owned
    checked = rigs.check(site, claim, duty, owned, notes, rope_owned=rope_owned)
    stock.check([claim], owned, notes)
    if checked is None:
        return None
    _profile(setup, checked.found, notes)
    _counts(setup, notes)
    account.check_conditions(setup.if_stands, claim, site.preferences.margin_wanted, notes)
    if isinstance(checked.hanging, TwoHanging):
        take_in.check(
            site, setup, claim, checked.hanging, checked.hold, checked.points, checked.takes,
            owned.values(), notes,
        )  # fmt: skip
    else:
        _strokes(setup, checked.found, notes)
    return checked


def _profile(setup: Setup, found: Found, notes: Notes) -> None:
    """Every row of the profile, and the figures at the worst pull."""
    needs, listed = found.needs, found.listed
    at = found.course.at[listed]
    pull, steer = needs.pull[listed], needs.steer[listed]
    worst = pull.argmax(axis=1)
    tight = pull.max(axis=1)
    top = float(tight.max())
    notes.same("pull", setup.pull, top)
    tops = np.flatnonzero(tight >= top * (1 - EXACT))
    notes.need(bool((np.abs(at[tops] - setup.pull_at) < 1e-6).any()), "the worst pull is elsewhere")
    advance, ideal = (
        np.take_along_axis(each[listed], worst[:, None], axis=1)[:, 0]
        for each in (needs.advance, needs.ideal)
    )
    for what, stated, own in (
        ("ideal advantage", setup.ideal_advantage, ideal),
        ("actual advantage", setup.actual_advantage, advance),
    ):
        fits = any(equal(stated, value) for value in own[tops].tolist())
        notes.need(fits, f"{what}: the setup says {stated:.6g}, the check {own[tops[0]]:.6g}")
    rows = setup.profile
    # At one spot, with every friction of the sheaves.
    beside = found.spot[None] == found.spot[worst][:, None]
    least = np.where(beside, needs.reaction[listed], inf).min(axis=1)
    lean = np.where(beside, needs.sideways[listed], 0.0)
    stated_lean = np.array([row.side_pull for row in rows])
    most = np.abs(lean).max(axis=1, keepdims=True)
    far = np.where(np.abs(lean) >= most * (1 - EXACT), np.abs(lean - stated_lean[:, None]), inf)
    aside = np.take_along_axis(lean, far.argmin(axis=1)[:, None], axis=1)[:, 0]
    points = [p for p in found.course.points if p.row is not None]
    for what, values, found_here, near in (
        ("pull", [row.pull for row in rows], tight, EXACT),
        ("ground reaction", [row.ground_reaction for row in rows], least, NEAR),
        ("side pull", stated_lean, aside, EXACT),
        # A line straight from the load to its puller slews by its spot.
        ("steering line", [row.steer for row in rows], steer.max(axis=1, initial=0.0), NEAR),
        ("advantage", [row.advantage for row in rows], advance, EXACT),
        ("ideal advantage", [row.ideal_advantage for row in rows], ideal, EXACT),
        ("runs back", [row.runs_back for row in rows], [runs(p, 1.0) for p in points], NEAR),
        ("runs on", [row.runs_on for row in rows], [runs(p, -1.0) for p in points], NEAR),
    ):
        notes.same_along(what, at, values, found_here, near=near)
    for row, p in zip(rows, points, strict=True):
        notes.need(row.rest == rests(p), f"at {p.at:.2f} m: not what it does when let go of")


def _counts(setup: Setup, notes: Notes) -> None:
    ends = sum(
        (a.kind is PlaceKind.LOAD) + (b.kind is PlaceKind.LOAD)
        for a, b in zip(setup.walk[:-1], setup.walk[1:], strict=True)
    )
    notes.need(setup.parts == ends, f"{setup.parts} parts stated, {ends} at the load")
    notes.need(setup.resets == setup.strokes - 1, "resets are not strokes less one")
    notes.need(len(setup.stops) == setup.resets, "stops and resets differ in number")


def _strokes(setup: Setup, found: Found, notes: Notes) -> None:
    """Rope taken in, and where the puller stops to take a new grip."""
    one = (setup.main_rope, setup.main_gained, setup.moved, setup.gripped) == (0.0, 1.0, (), ())
    notes.need(one, "figures of a second rope where there is none")
    notes.same("rope hauled", setup.hauled, pulling.taken_in(found.near))
    at = [row.at for row in setup.profile]
    stops = pulling.stops(setup.puller, at, found.near, found.far)
    notes.need(
        setup.strokes == len(stops) + 1, f"{setup.strokes} strokes stated, {len(stops) + 1} found"
    )
    for claimed, own in zip(setup.stops, stops, strict=False):
        notes.need(abs(claimed - own) <= PLACED, f"a stop at {claimed:.3f} m, found at {own:.3f} m")
