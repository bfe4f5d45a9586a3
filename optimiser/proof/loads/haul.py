"""Checks a setup: its hauling rope or ropes, and the second lines that go with it."""

from collections.abc import Sequence

from optimiser.proof import rigs, second_lines
from optimiser.proof.claim import of_haul
from optimiser.proof.duties import Hauls, rests, runs
from optimiser.proof.loads import account, pulling, take_in
from optimiser.proof.loads.forces import Found, State
from optimiser.proof.notes import EXACT, Notes, equal, refusing
from optimiser.proof.pieces import stock
from optimiser.proof.rigs import Worked
from optimiser.proof.two_ropes import TwoHanging
from optimiser.rig.setup import HoldingLine, Setup
from optimiser.rig.walk import PlaceKind
from optimiser.site.model import Owned, Site

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
    worst: dict[int, State] = {}
    beside: dict[
        tuple[int, int], list[State]
    ] = {}  # at one spot, with every friction of the sheaves
    steered: dict[int, float] = {}  # a line straight from the load to its puller slews by its spot
    for state in found.states:
        row = state.point.row
        if row is not None:
            steered[row] = max(steered.get(row, 0.0), state.steer)
            beside.setdefault((row, state.spot), []).append(state)
        if row is not None and (row not in worst or state.pull > worst[row].pull):
            worst[row] = state
    top = max(state.pull for state in worst.values())
    notes.same("pull", setup.pull, top)
    tops = [s for s in worst.values() if s.pull >= top * (1 - EXACT)]
    notes.need(
        any(abs(s.point.at - setup.pull_at) < 1e-6 for s in tops), "the worst pull is elsewhere"
    )
    for what, stated, kind in (
        ("ideal advantage", setup.ideal_advantage, "ideal"),
        ("actual advantage", setup.actual_advantage, "advance"),
    ):
        fits = any(equal(stated, getattr(s, kind)) for s in tops)
        notes.need(
            fits, f"{what}: the setup says {stated:.6g}, the check {getattr(tops[0], kind):.6g}"
        )
    for row, s in worst.items():
        claimed, p = setup.profile[row], s.point
        here = f"at {p.at:.2f} m"
        notes.same(f"{here}: pull", claimed.pull, s.pull)
        every = beside[row, s.spot]
        least = min(other.reaction for other in every)
        notes.same(f"{here}: ground reaction", claimed.ground_reaction, least, near=1e-5)
        most = max(abs(other.sideways) for other in every)
        leans = [o.sideways for o in every if abs(o.sideways) >= most * (1 - EXACT)]
        aside = min(leans, key=lambda lean: abs(lean - claimed.side_pull))
        notes.same(f"{here}: side pull", claimed.side_pull, aside)
        notes.same(f"{here}: steering line", claimed.steer, steered[row], near=1e-5)
        notes.same(f"{here}: advantage", claimed.advantage, s.advance)
        notes.same(f"{here}: ideal advantage", claimed.ideal_advantage, s.ideal)
        notes.same(f"{here}: runs back", claimed.runs_back, runs(p, 1.0), near=1e-5)
        notes.same(f"{here}: runs on", claimed.runs_on, runs(p, -1.0), near=1e-5)
        notes.need(claimed.rest == rests(p), f"{here}: not what it does when let go of")


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
