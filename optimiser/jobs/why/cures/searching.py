"""Finds the smallest single change that cures a fault of a rig, by halving, and looks at it again.

A change counts where the fault is gone and no other one has come: first by lines, motion and angles,
which is quick, then by every check of `why` on the changed site.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import hypot

import numpy as np

from optimiser.jobs.why import motion
from optimiser.jobs.why.cures.anchors_instead import NewAnchor, new_anchors
from optimiser.jobs.why.cures.moves import (
    AnchorMoved,
    HitchMoved,
    Move,
    PullerMoved,
    Ramp,
    RunTurned,
    StrapMoved,
)
from optimiser.jobs.why.cures.trying import Rig, Trial
from optimiser.jobs.why.cures.whole_changes import (
    Laid,
    OtherPlaces,
    StageEnd,
    other_places,
)
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.laying import proposals
from optimiser.jobs.why.motion import Failing
from optimiser.mechanics.arrays import Array, Mask
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.row import RigRow
from optimiser.rig.setup import Change
from optimiser.rig.walk import PlaceKind
from optimiser.search.clock import Clock

PATIENCE = 4.0
"""Effort for all cures of one rig together."""
SHARES = (0.01, 0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8, 1.0)
"""Shares of the greatest amount of a move that are tried first; in between it is halved."""
HALVINGS = 10
LOOKED_AGAIN = 4
"""Changes put through every check, the smallest first, before one that is not clean is reported."""
MOST_CURES = 2
"""Cures of a fault that are reported, of different kinds."""
NEAREST = 3
"""Other anchors looked at again, the nearest."""
SPARED = {-1: 0.0, 0: 0.0, 1: 2.0, 2: 3.0, 3: 5.0}
"""m that a change of each tier counts more than a strap moved (choice): what comes first when printed."""
FORCED = (Failing(Fault.CANNOT_MOVE), Failing(Fault.CANNOT_HOLD), Failing(Fault.STEP))
"""Faults close to which the pull grows beyond all bounds: there a change must leave enough pull too."""

LevelWay = tuple[str, tuple[float, float]]
"""A way in which something may be moved on its level, in words and by a metre of it."""
Failures = Mapping[str, int]
"""How many checks of each name fail."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cured:
    """A change that cures a fault; `worse`: checks that fail only then."""

    move: Move
    amount: float
    worse: tuple[str, ...]

    @property
    def effort(self) -> float:
        counted = 0.0 if self.move.most == 0.0 or self.move.tier < 0 else self.amount
        return SPARED[self.move.tier] + counted

    @property
    def change(self) -> Change:
        return self.move.change(self.amount)


class Searching:
    """Looks for changes of one rig. `again` gives the checks that fail on a changed one."""

    def __init__(
        self,
        job: Job,
        row: RigRow,
        before: Failures,
        again: Callable[[Trial], Failures],
        clock: Clock,
    ) -> None:
        self.job, self.base, self.before, self.again = job, row, before, again
        self.rig = Rig.of(job.site, row, next(iter(job.kit.ropes), None))
        self.faults = motion.faults(row)
        self.clock = clock
        self.late: set[Failing] = set()  # faults of which not every change was looked at
        self._known: dict[Failing, list[Cured]] = {}

    @property
    def anchors(self) -> list[str]:
        """Names of the anchors that the rope runs to."""
        walk = self.rig.walk
        return list(dict.fromkeys(p.name for p in walk if p.kind is PlaceKind.ANCHOR))

    # ---- what may be changed ----------------------------------------------------------------------

    def moves(self, fault: Failing) -> Iterator[Move]:
        """Everything that may cure a fault."""
        if fault.fault is Fault.STEP:
            yield Ramp(self.rig)
            return
        yield from self._shifts(fault)
        scene = self.base.scene
        if fault.fault is Fault.LINE_BLOCKED and scene.edging.protector is None:
            yield from (Laid(self.rig, self.job, piece) for piece in proposals(self.job))
        yield from other_places(self.rig, scene.places, scene.position)
        yield from new_anchors(self.rig, self.anchors)
        mask = self.faults[fault]
        first = int(self.base.evaluation.states.station[mask].min())
        at = self.rig.stations.at
        if self.job.hauls and first > 0 and at[first - 1] - at[0] >= 0.5:
            yield StageEnd(self.rig, first - 1)

    def _shifts(self, fault: Failing) -> Iterator[Move]:
        walk, site = self.rig.walk, self.job.site
        segments = [] if fault.segment is None else [fault.segment]
        if fault.fault in (Fault.OFF_RUN, Fault.OFF_LEVEL):
            segments = [len(walk) - 2]
        elif not segments:  # whatever pulls on the load
            segments = [
                k
                for k in range(len(walk) - 1)
                if PlaceKind.LOAD in (walk[k].kind, walk[k + 1].kind)
            ]
        ends = dict.fromkeys(p for k in segments for p in walk[k : k + 2])
        names = dict.fromkeys(p.name for p in ends if p.kind is PlaceKind.ANCHOR)
        for name in names:
            for sign in (-1, 1):
                yield StrapMoved(self.rig, site.anchor(name), sign)
        if any(p.kind is PlaceKind.LOAD for p in ends) and fault.fault in (
            Fault.LIFTS_OFF,
            Fault.LINE_BLOCKED,
        ):
            hitches = tuple(h.name for h in self.base.scene.attachment.hitches)
            for sign in (-1, 1):
                yield HitchMoved(self.rig, hitches, sign)
        ways = self._ways(fault)
        puller = self.base.scene.puller
        # Of one that may choose where it stands, all that it can do about it was looked at.
        free = puller.anchor is None and puller.stand is None
        if free and any(p.kind is PlaceKind.PULLER for p in ends):
            flat = max(hypot(puller.heading[0], puller.heading[1]), 1e-9)
            if motion.angled(self.base):
                run = (puller.heading[0] / flat, puller.heading[1] / flat)
                ways_too = (("further off along its run", run), *ways)
                yield from (RunTurned(self.rig, sign) for sign in (-1, 1))
            else:
                ways_too = tuple(ways)
            yield from (PullerMoved(self.rig, way, words) for words, way in ways_too)
        for name in names:
            if name != self.base.scene.puller.anchor:
                for words, way in ways:
                    yield AnchorMoved(self.rig, site.anchor(name), way, words)

    def _ways(self, fault: Failing) -> Sequence[LevelWay]:
        """Level directions where the load is when the fault first comes."""
        state = int(np.flatnonzero(self.faults[fault])[0])
        st = self.base.scene.stations
        s = int(self.base.evaluation.states.station[state])
        return level_ways(st.along[s], hauls=self.job.hauls)

    # ---- finding the least ------------------------------------------------------------------------

    def cures(self, fault: Failing) -> list[Cured]:
        """The smallest changes that cure a fault, the least first, of different kinds; one that is not
        clean only where there is no other. Empty where none does."""
        if fault not in self._known:
            self._known[fault] = self._cures(fault)
            if not self.clock.runs():
                self.late.add(fault)
        return self._known[fault]

    def _cures(self, fault: Failing) -> list[Cured]:
        found: list[tuple[float, int, Move, float]] = []
        other, made = 0, set[str]()
        for number, move in enumerate(self.moves(fault)):
            if not self.clock.runs():
                break
            if isinstance(move, OtherPlaces) and other >= NEAREST:
                continue
            if isinstance(move, NewAnchor) and move.kind in made:
                continue
            amount = self._least(move, fault)
            if amount is not None:
                other += isinstance(move, OtherPlaces)
                made |= {move.kind} if isinstance(move, NewAnchor) else set()
                effort = Cured(move=move, amount=amount, worse=()).effort
                found.append((effort, number, move, amount))
        clean: list[Cured] = []
        loose: list[Cured] = []
        kinds: set[type] = set()
        for _, _, move, amount in sorted(found, key=lambda e: e[:2]):
            if type(move) in kinds or len(loose) >= LOOKED_AGAIN or not self.clock.runs():
                continue
            cured = self._looked_again(move, amount, fault)
            (loose if cured.worse else clean).append(cured)
            if not cured.worse:
                kinds.add(type(move))
            if len(clean) >= MOST_CURES:
                break
        if clean:
            return sorted(clean, key=lambda c: c.effort)
        return sorted(loose, key=lambda c: (len(c.worse), c.effort))[:1]

    def _least(self, move: Move, fault: Failing) -> float | None:
        """The least amount of a move, as it is printed, that cures a fault by lines, motion and angles."""
        if move.most <= 0.0:
            good = move.tier in (1, 2, 3) and self._good(move, 0.0, fault)
            return 0.0 if good else None
        return least_amount(move, lambda amount: self._good(move, amount, fault))

    def _good(self, move: Move, amount: float, fault: Failing) -> bool:
        trial = move.trial(amount)
        if trial is None:
            return False
        row = self.rig.row(trial)
        after = motion.faults(row)
        if fault in after or not after.keys() <= self.faults.keys():
            return False
        return fault not in FORCED or self._use(row) <= max(1.0 / self.job.floor, self._usual)

    def _use(self, row: RigRow, without: Mask | None = None) -> float:
        """Greatest use of what the puller gives, over all states or those without a fault."""
        limit = row.evaluation.puller_limit[row.index]
        limit = np.where(limit > 0.0, limit, row.scene.puller.limit)
        use: Array = np.where(np.isfinite(row.pull), row.pull, np.inf) / limit
        if without is not None:
            use = use[~without]
        return float(use.max(initial=0.0))

    @property
    def _usual(self) -> float:
        """What the rig takes of the puller where it has no such fault."""
        out = np.zeros(self.base.pull.shape, dtype=bool)
        for fault in FORCED:
            out |= self.faults.get(fault, np.zeros(self.base.pull.shape, dtype=bool))
        return self._use(self.base, out | ~np.isfinite(self.base.pull))

    # ---- looking again ----------------------------------------------------------------------------

    def _looked_again(self, move: Move, amount: float, fault: Failing) -> Cured:
        """The change put through every check; more of it where that is needed for pieces to stand it."""
        cured = Cured(move=move, amount=amount, worse=self._worse(move, amount))
        if not cured.worse or fault not in FORCED or move.most <= 0.0:
            return cured
        low, high = amount, None
        for share in (0.05, 0.15, 0.3, 0.6, 1.0):
            more = move.settled(amount + share * (move.most - amount))
            if self.clock.runs() and self._good(move, more, fault) and not self._worse(move, more):
                high = more
                break
            low = more
        if high is None:
            return cured
        while high - low > 0.03 and self.clock.runs():
            middle = move.settled((low + high) / 2)
            fine = self._good(move, middle, fault) and not self._worse(move, middle)
            low, high = (low, middle) if fine else (middle, high)
        return Cured(move=move, amount=high, worse=())

    def _worse(self, move: Move, amount: float) -> tuple[str, ...]:
        """Checks of which more fail than before."""
        trial = move.trial(amount)
        assert trial is not None
        return self.worse(trial)

    def made_for(self, anchor: str) -> Change | None:
        """What can be made in place of an anchor that is too weak, with which fewer checks fail and none
        besides; None where nothing was found."""
        for move in new_anchors(self.rig, [anchor]):
            if not self.clock.runs():
                return None
            trial = move.trial(0.0)
            if trial is None or not self.rig.row(trial).evaluation.works.all():
                continue
            after = self.again(trial)
            fewer = sum(after.values()) < sum(self.before.values())
            if fewer and all(many <= self.before.get(name, 0) for name, many in after.items()):
                return move.change(0.0)
        return None

    def worse(self, trial: Trial) -> tuple[str, ...]:
        """Checks of which more fail with a change than without."""
        after = self.again(trial)
        return tuple(name for name, many in after.items() if many > self.before.get(name, 0))


def level_ways(along: Array, *, hauls: bool) -> Sequence[LevelWay]:
    """The four ways on the level by how the load is hauled, or by the way up that it is let down: `along`
    (3,)."""
    flat = along[:2]
    x, y = (float(v) / max(float(np.linalg.norm(flat)), 1e-9) for v in flat)
    where = "seen the way the load goes" if hauls else "seen up the way it is let down"
    return (
        (f"further ahead ({where})", (x, y)),
        (f"further back ({where})", (-x, -y)),
        (f"further left ({where})", (-y, x)),
        (f"further right ({where})", (y, -x)),
    )


def least_amount(move: Move, good: Callable[[float], bool]) -> float | None:
    """The least amount of a move, as it is printed, that is `good`; None where none is."""
    low = 0.0
    for share in SHARES:
        high = share * move.most
        if good(high):
            break
        low = high
    else:
        return None
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if good(middle) else (middle, high)
    settled = move.settled(high)
    return settled if good(settled) else None


def as_change(found: Sequence[Cured], otherwise: str, *, late: bool) -> Change:
    """Cures as one change: the least, and another kind besides; `otherwise` where there is none. `late`:
    not all was looked at."""
    if not found:
        text = f"{otherwise} (not all changes were looked at)" if late else otherwise
        return Change(text=text, amount=0.0, unit="")
    texts = [cured.change.text for cured in found]
    text = ", or ".join(texts)
    if found[0].worse:
        text += f"; then still to be cured: {', '.join(found[0].worse)}"
    if late:
        text += " (not all were looked at: a smaller change may do)"
    return Change(text=text, amount=found[0].change.amount, unit=found[0].change.unit)


def failures(names: Sequence[str]) -> Failures:
    """How many of each name."""
    return Counter(names)
