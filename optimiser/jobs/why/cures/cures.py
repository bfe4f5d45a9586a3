"""Finds the smallest single change that cures each failure of one rig."""

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite
from typing import Any, cast

import numpy as np

from optimiser.jobs.why import motion
from optimiser.jobs.why.cures.moves import PullerMoved
from optimiser.jobs.why.cures.searching import Cured, Searching, as_change
from optimiser.jobs.why.cures.smallest import in_place_of, rated_in_place_of, such_as
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.limits import LIMITS
from optimiser.jobs.why.meets import Meeting, Met, met
from optimiser.jobs.why.motion import Failing
from optimiser.jobs.why.rating_limits import Rating
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.row import RigRow
from optimiser.rig.ground.scene import Scene
from optimiser.rig.setup import Change, Component, Role
from optimiser.rig.walk import Place, PlaceKind
from optimiser.site.model import Anchor
from shared.units import Dimension, Rounding, show

ANCHORS = "strength of an anchor"
NO_SINGLE = "no single change of a strap, the hitch, the puller's place or an anchor cures it"
ROPE = "rope is long enough"
RATED = "rated"
NEARER_BY = (1.0, 1.05, 1.2, 1.5)
"""How much nearer a puller is tried, as multiples of the rope that is missing."""
HALVINGS = 14
"""Steps that find how low a strap must hang: to a tenth of a millimetre in a metre and more."""


class Cures:
    """Answers for one rig of a job. Without `search` quick ones, for a rig that is only checked against the
    checks."""

    def __init__(self, job: Job, row: RigRow, search: Searching | None) -> None:
        self.job, self.row, self.scene, self.search = job, row, row.scene, search
        self.units = job.units

    def text(self, sentence: str) -> Change:
        """A change that has no amount."""
        return Change(text=sentence, amount=0.0, unit="")

    def _found(self, fault: Failing, otherwise: str) -> Change:
        """The smallest change that cures a fault, or what is printed where none does."""
        if self.search is None or fault not in self.search.faults:
            return self.text(otherwise)
        found = self.search.cures(fault)
        return as_change(found, otherwise, late=fault in self.search.late)

    # ---- lines ------------------------------------------------------------------------------------

    def blocked(self, segment: int) -> list[Meeting]:
        """Returns what a line runs into, and what frees it: the thing itself out of the way, or the smallest
        change of the rig."""
        ways = list(met(self.row, segment))
        if self.search is None or all(way.kind is Met.NOSE for way in ways):
            return ways
        found = self.search.cures(motion.blocked(segment))
        late = motion.blocked(segment) in self.search.late
        return [
            way if way.kind is Met.NOSE else replace(way, change=_either(way, found, late))
            for way in ways
        ]

    def unclear(self, segment: int) -> Change:
        """A line that something stands in the way of, nobody knows what."""
        return self._found(motion.blocked(segment), NO_SINGLE)

    # ---- the load and the puller ------------------------------------------------------------------

    def forward(self) -> Change:
        return self._found(
            Failing(Fault.CANNOT_MOVE), f"{NO_SINGLE}: it needs anchors further ahead of the load"
        )

    def held(self) -> Change:
        return self._found(
            Failing(Fault.CANNOT_HOLD), f"{NO_SINGLE}: it needs anchors further up the path"
        )

    def lifted(self) -> Change:
        return self._found(
            Failing(Fault.LIFTS_OFF),
            f"{NO_SINGLE}: it needs lower straps ahead of the load and a hitch higher up on it",
        )

    def sideways(self, over: float) -> Change:
        """The smallest move; where none does, by how much the side pull is too much."""
        how = " (`bankhaul rank --hold`)" if self.job.hauls else ""
        found = self._found(
            Failing(Fault.SLEWS), f"{NO_SINGLE}; a side line may guide the load{how}"
        )
        return found if found.unit or not isfinite(over) else replace(found, amount=over)

    def ramp(self) -> Change:
        return self._found(
            Failing(Fault.STEP), f"{NO_SINGLE}, no ramp by itself either: lever it over the step"
        )

    def held_back(self) -> Change:
        """The line that keeps the load where it runs on by itself: over which stretch, and how strong."""
        st, states = self.scene.stations, self.row.evaluation.states.station
        on = np.unique(states[motion.fails(self.row, Fault.RUNS_ON)])
        ends = [show(float(st.at[s]), Dimension.LENGTH, self.units) for s in (on[0], on[-1])]
        force = float(st.held_on[on].max())
        holds = show(force, Dimension.FORCE, self.units, Rounding.UP)
        text = (
            f"let it down on a holding line from {ends[0]} to {ends[1]} of the path: it pulls with up to "
            f"{holds} there (`bankhaul rank --hold` looks for one)"
        )
        return Change(text=text, amount=force, unit="N")

    def turned(self, over: float, fault: Fault) -> Change:
        """Returns where the puller has to stand, for a line that leads so far off its run."""
        shown = show(over, Dimension.ANGLE, self.units, Rounding.UP)
        words = "less off the run" if fault is Fault.OFF_RUN else "less up or down"
        found = self._found(Failing(fault), f"{NO_SINGLE}: the line has to lead {shown} {words}")
        return found if found.unit else replace(found, amount=over, unit="rad")

    # ---- gear -------------------------------------------------------------------------------------

    def plain(self, name: str) -> str:
        """The name of a piece without the mark that it is not there."""
        return name.replace(" (longer)", "").replace(" (one more)", "")

    def owned_length(self, filled: Filled) -> float:
        """Length of the rope that is there, m; 0 where there is none."""
        if filled.variant.rope.joined is not None:  # only of what is there are ropes put together
            return filled.variant.rope.length or 0.0
        name = self.plain(filled.variant.rope.name)
        return next((p.length or 0.0 for p in self.job.kit.pieces if p.name == name), 0.0)

    def longer(self, filled: Filled, short: float) -> Change:
        """More rope, or the puller nearer."""
        more = show(short, Dimension.LENGTH, self.units, Rounding.UP)
        if self.owned_length(filled) <= 0.0:
            text = f"a rope of {more}, such as {self.plain(filled.variant.rope.name)}"
            return Change(text=text, amount=short, unit="m")
        text = f"{more} more rope like {self.plain(filled.variant.rope.name)}{self._nearer(short)}"
        return Change(text=text, amount=short, unit="m")

    def _nearer(self, short: float) -> str:
        """The puller so much nearer to where its line comes from that the rope is long enough; "" where
        that does not do, or where something else fails then."""
        puller, last = self.scene.puller, self.row.numbers[-2]
        if self.search is None or puller.anchor is not None or puller.stand is not None:
            return ""
        target = self.scene.hitch[0] if last == 0 else self.scene.position[last]
        way = target[:2] - np.array(puller.position[:2])
        far = float(np.linalg.norm(way))
        ahead = (float(way[0]) / max(far, 1e-9), float(way[1]) / max(far, 1e-9))
        where = "the load" if last == 0 else self.row.place(last).name
        for share in NEARER_BY:
            move = PullerMoved(self.search.rig, ahead, f"nearer to {where}")
            amount = move.settled(short * share)
            trial = move.trial(amount)
            if trial is None or amount >= far:
                return ""
            failing = self.search.again(trial)
            if ROPE not in failing and not self.search.worse(trial):
                return f", or {move.change(amount).text}"
        return ""

    def counts(self, filled: Filled) -> dict[str, tuple[int, int]]:
        """Pieces used and there, by name."""
        used: dict[str, int] = {}
        joined = filled.variant.rope.joined
        ropes = () if joined is None else (joined.first, joined.second)
        for piece in (*filled.pieces, *ropes):
            name = self.plain(piece.name)
            used[name] = used.get(name, 0) + 1
        owned = {p.name: p.count for p in self.job.kit.pieces}
        return {name: (many, owned.get(name, 0)) for name, many in used.items()}

    def shorter(self, short: float) -> Change:
        """Room for the gear."""
        shown = show(short, Dimension.LENGTH, self.units, Rounding.UP)
        text = (
            f"straps and blocks that are {shown} shorter in all, or stop before the line closes up"
        )
        return Change(text=text, amount=short, unit="m")

    def more(self, name: str, many: int) -> Change:
        there = any(p.name == name for p in self.job.kit.pieces)
        return Change(
            text=f"{many} {'more ' if there else 'x '}{name}", amount=float(many), unit="pieces"
        )

    def rated(self, part: Component, filled: Filled) -> Change:
        """A rated piece in place of one without a rating, or its rating found out: none is assumed."""
        dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
        wanted = part.demand * self.job.floor
        stands = show(wanted, dimension, self.units, Rounding.UP)
        item = self.plain(part.item)
        if any(p.name == item for p in self.job.kit.pieces):
            able = rated_in_place_of(filled, part.item, self.job.floor)
            text = f"buy a rated one that stands {stands} here in place of {item}{such_as(able)}"
        elif part.role is Role.ANCHOR:
            text = f"a rated anchor in place of {item}, or find out whether {item} stands {stands}"
        else:
            text = (
                f"find out whether {part.name} stands {stands}, or take hold of a point that does"
            )
        return Change(text=text, amount=wanted, unit=part.unit)

    def stronger(self, part: Component, filled: Filled) -> Change:
        """A stronger piece, or for a tree a lower strap where that is enough."""
        found = (a for a in self.job.site.anchors if a.name == part.item)
        anchor = next(found, None) if part.role is Role.ANCHOR else None
        if anchor is not None:
            lower = self._lower(anchor, filled)
            if lower is not None:
                return lower
        real = replace(part, item=self.plain(part.item))
        kit = tuple(
            replace(p, name=self.plain(p.name))
            for p in (*self.job.kit.pieces, *filled.variant.kit.pieces)
        )
        job = replace(self.job, kit=Kit(kit, self.job.kit.knots))
        need = self.job.floor / part.margin
        for limit in LIMITS:
            if isinstance(limit, Rating) and limit.takes(real, job):
                change = limit.cure(real, need, job)
                able = in_place_of(filled, part.item, need)
                if (
                    not change.text
                ):  # nobody could bring that about: more parts of line may do instead
                    text = (
                        f"a rig with more parts of line ({self.job.buying} finds the least for one)"
                    )
                    return replace(change, text=text)
                if limit.name == ANCHORS:
                    known = anchor is None or anchor.strength.capacity
                    more = f"{self._lighter(need) if known else ''}{self._made(part)}"
                    change = replace(change, text=f"{change.text}{more}")
                return replace(change, text=f"{change.text}{such_as(able)}")
        return self.text(f"something that stands {need:.2f} times as much")

    def _made(self, part: Component) -> str:
        """What can be made in place of an anchor, as the end of a sentence; "" where none is known to do."""
        found = None if self.search is None else self.search.made_for(part.item)
        return "" if found is None else f", or {found.text}"

    def _lighter(self, need: float) -> str:
        """Less load, where it can be lightened so far: every force is proportional to its weight."""
        most, least = self.job.site.load.weight / need, self.job.site.load.lightest
        if least is None or most < least:
            return ""
        return f", or no more load than {show(most, Dimension.WEIGHT, self.units, Rounding.DOWN)}"

    def _lower(self, anchor: Anchor, filled: Filled) -> Change | None:
        """The highest strap on a tree at which it stands the haul; None where none does."""
        places = {
            p
            for p in self.scene.walk(self.row.numbers)
            if p.kind is PlaceKind.ANCHOR and p.name == anchor.name
        }
        if len(places) != 1 or not anchor.horizontal_only:
            return None
        now = next(iter(places)).height
        low, high = min(anchor.heights), now
        if not self._stands(anchor, low):
            return None
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            low, high = (middle, high) if self._stands(anchor, middle) else (low, middle)
        by = show(now - low, Dimension.LENGTH, self.units, Rounding.UP)
        at = show(low, Dimension.LENGTH, self.units, Rounding.DOWN)
        del filled
        return Change(
            text=f"strap on {anchor.name} {by} lower, at {at}", amount=now - low, unit="m"
        )

    def _stands(self, anchor: Anchor, height: float) -> bool:
        """Whether the anchor stands the haul with its strap at another height, and the line is free."""
        moved = cast(Anchor, replace(cast(Any, anchor), heights=(height,)))
        site = self.job.site
        site = replace(
            site, anchors=tuple(moved if a.name == anchor.name else a for a in site.anchors)
        )
        scene = Scene(
            site, self.job.stations, self.scene.attachment, self.scene.puller,
            edging=self.scene.edging,
        )  # fmt: skip
        walk = [
            Place(PlaceKind.ANCHOR, p.name, height)
            if p.kind is PlaceKind.ANCHOR and p.name == anchor.name
            else p
            for p in self.scene.walk(self.row.numbers)
        ]
        numbers = np.array([[scene.number[place] for place in walk]])
        ev = evaluate(scene, numbers, np.array([self.row.etas]), self.row.evaluation.duty)
        row = RigRow(ev, 0, self.row.held)
        if not (row.evaluation.works.all() and row.works_throughout):
            return False
        index = next(i for i, a in enumerate(site.anchors) if a.name == anchor.name)
        peak, strength = row.anchor_use[index]
        return strength is not None and peak.value * self.job.floor <= strength


def _either(way: Meeting, found: Sequence[Cured], late: bool) -> Change:
    """What stands in the way taken away, or the rig changed; of the ground what can be laid on it is among
    the changes of the rig."""
    moved = as_change(found, NO_SINGLE, late=late)
    if way.change is None or way.kind is Met.GROUND:
        return moved
    if not found:
        return replace(way.change, text=f"{way.change.text}; {moved.text}")
    return replace(moved, text=f"{moved.text}, or {way.change.text}")
