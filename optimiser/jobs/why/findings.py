"""Lists every check of one rig, passed or failed, with number, limit and place."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from optimiser.jobs.why import motion
from optimiser.jobs.why.cures.cures import RATED, ROPE, Cures
from optimiser.jobs.why.cures.easing import room_of
from optimiser.jobs.why.cures.searching import Searching
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.meets import THE_LOAD
from optimiser.jobs.why.motion import NEAR
from optimiser.mechanics.ground import step
from optimiser.rig.components import components
from optimiser.rig.forces.verdict import Fault
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.room import hardware
from optimiser.rig.gear.row import RigRow
from optimiser.rig.setup import Change, Component, Role
from optimiser.site.rules import RULES
from shared.units import Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One check. `value` must be at most (or, `least`, at least) `limit`, both in SI with a dimension;
    None where it is a matter of yes or no. `at`: m along the path where it is worst."""

    name: str
    where: str
    passed: bool
    value: float | None = None
    limit: float | None = None
    dimension: Dimension = Dimension.RATIO
    least: bool = False
    at: float | None = None
    note: str = ""
    change: Change | None = None
    rule: bool = False  # a rule of the search, not a failure of the rig
    whole: bool = False  # a number of things
    for_information: bool = False  # for information: there is no limit to check it against


def checks_of(
    job: Job, row: RigRow, filled: Filled | None, search: Searching | None = None
) -> tuple[Check, ...]:
    """All checks of a rig; without gear (`filled` None) those of lines and forces only. `search` finds
    the smallest changes that cure what fails."""
    looked = Looked(job, row, search)
    found = [*looked.lines(), *looked.motion(), *looked.puller(), *looked.rules()]
    if filled is not None:
        found += [*looked.rope(filled), *looked.gear(filled), *looked.pieces(filled)]
        found += looked.room(filled)
    return tuple(found)


class Looked:
    """The checks of one rig, kind by kind."""

    def __init__(self, job: Job, row: RigRow, search: Searching | None) -> None:
        self.job, self.row, self.scene = job, row, row.scene
        self.ev, self.states = row.evaluation, row.evaluation.states
        self.cures = Cures(job, row, search)

    def _at(self, state: int) -> float:
        return float(self.scene.stations.at[self.states.station[state]])

    def _leg(self, segment: int) -> str:
        places = self.scene.places
        before, after = self.row.numbers[segment], self.row.numbers[segment + 1]
        return f"{places[before]} to {places[after]}"

    def _from(self, segment: int) -> str:
        """Where a part of line is measured from: the load where it comes to that."""
        before, after = self.row.numbers[segment], self.row.numbers[segment + 1]
        return THE_LOAD if 0 in (before, after) else str(self.scene.places[before])

    # ---- lines ------------------------------------------------------------------------------------

    def lines(self) -> Iterator[Check]:
        """Every part of line runs free all the way."""
        done: set[frozenset[int]] = set()  # a line there and one back run the same way
        for segment in range(self.row.sheaves + 1):
            a, b = self.row.numbers[segment], self.row.numbers[segment + 1]
            if frozenset((a, b)) in done:
                continue
            done.add(frozenset((a, b)))
            free = motion.free(self.row, segment)
            passed = bool(free.all())
            at = None if passed or 0 not in (a, b) else self._at(int(np.flatnonzero(~free)[0]))
            found = [] if passed else self.cures.blocked(segment)
            for way in found:
                yield Check(
                    name="line runs free", where=self._leg(segment), passed=False, at=way.at,
                    note=f"it meets {way.worded(self.job.units, self._from(segment))}",
                    change=way.change,
                )  # fmt: skip
            if (
                not found
            ):  # thin posts that a line passes over between two stations are met by no line
                clear = None if passed else self.cures.unclear(segment)
                yield Check(
                    name="line runs free", where=self._leg(segment), passed=passed, at=at,
                    note="" if passed else "something stands in its way", change=clear,
                )  # fmt: skip

    # ---- the load ---------------------------------------------------------------------------------

    def motion(self) -> Iterator[Check]:
        """The load moves, stays on the ground and on its line."""
        row, ev = self.row, self.ev
        moved = motion.forward_pull(row)
        worst = int(np.argmin(moved))
        yield Check(
            name=motion.FORWARD, where="load", value=float(moved[worst]), limit=0.0,
            least=True, passed=bool((moved > 0.0).all()), at=self._at(worst),
            note="forward pull and friction saved, per unit of pull at the hauling end",
            change=None if (moved > 0.0).all() else self.cures.forward(),
        )  # fmt: skip
        runs = motion.fails(row, Fault.RUNS_ON)
        if runs.any():
            first = int(np.flatnonzero(runs)[0])
            yield Check(
                name=motion.RUNS_ON, where="load", passed=False, at=self._at(first),
                note="it runs downhill by itself: that is a job for a holding line, not a haul",
                change=self.cures.held_back(),
            )  # fmt: skip
        reaction = motion.ground_reaction(row)
        worst = int(np.argmin(reaction))
        if np.isfinite(reaction[worst]):
            good = not motion.fails(row, Fault.LIFTS_OFF).any()
            yield Check(
                name=motion.GROUNDED, where="load", value=float(reaction[worst]), limit=0.0,
                least=True, dimension=Dimension.FORCE, passed=good, at=self._at(worst),
                note="ground reaction", change=None if good else self.cures.lifted(),
            )  # fmt: skip
        side, limit = motion.side_pull(row), ev.side_limit
        worst = int(np.argmax(side / limit))
        good = not motion.fails(row, Fault.SLEWS).any()
        yield Check(
            name=motion.IN_LINE, where="load", value=_finite(side[worst]),
            limit=float(limit[worst]), passed=good, at=self._at(worst), note="sideways / forward",
            change=None if good else self.cures.sideways(float(side[worst] - limit[worst])),
        )  # fmt: skip
        yield from self._steps()
        yield from self.made()

    def made(self) -> Iterator[Check]:
        """Anchors that stand some pulls only are pulled that way, and there is what they are made of."""
        if not self.scene.site.has_made:
            return
        ev, rows = self.row.corners
        for seen in ev.pulls_on_made:
            stands, name = seen.anchor.directions, seen.anchor.name
            mine = np.flatnonzero(np.isin(seen.rows, np.arange(len(ev.walks))[rows]))
            if stands is None or not len(mine):
                continue
            rise = seen.rise[mine].max(axis=0)
            worst = int(np.argmax(rise))
            yield Check(
                name=motion.NOT_UP, where=name, value=float(max(rise[worst], 0.0)), limit=stands.up,
                dimension=Dimension.ANGLE, passed=bool(rise[worst] <= stands.up + NEAR),
                at=self._at(worst), note="rise of the pull on it",
            )  # fmt: skip
            if stands.aside is not None:
                off = np.abs(seen.turn - seen.middle(slice(None)))[mine].max(axis=0)
                worst = int(np.argmax(off))
                yield Check(
                    name=motion.NOT_ASIDE, where=name, value=float(off[worst]), limit=stands.aside,
                    dimension=Dimension.ANGLE, passed=bool(off[worst] <= stands.aside + NEAR),
                    at=self._at(worst), note="to either side of the line it is laid out by",
                )  # fmt: skip
        yield from self._shared(bool(ev.shared_wrongly[rows].any()))
        if not any(anchor.uses for anchor in self.scene.site.anchors):
            return
        over = bool(ev.run_over[rows].any())
        yield Check(
            name=motion.CLEAR_OF_RUN, where="anchors to be made", passed=not over,
            note=f"{self.scene.puller.name} would go over one" if over else "",
        )  # fmt: skip
        short = bool(ev.not_made[rows].any())
        yield Check(
            name=motion.ENOUGH, where="anchors to be made", passed=not short,
            note="more is taken than is there, or two would stand on one spot" if short else "",
        )  # fmt: skip

    def _shared(self, wrong: bool) -> Iterator[Check]:
        """Trees that share the pull by a sling carry one line, and nothing besides."""
        slung = {self.row.numbers[node] for node in self.row.slung}
        for name in sorted(self.row.anchor_at(place).name for place in slung):
            note = (
                "two trees that share a pull take one block or one end, no bridle, and nothing on either "
                "tree besides; a line must not pass them almost straight; a rig has one such sling"
            )
            yield Check(
                name=motion.SHARED, where=name, passed=not wrong, note=note if wrong else ""
            )

    def _steps(self) -> Iterator[Check]:
        radius = self.job.site.load.wheel_radius
        st = self.scene.stations
        for s in np.flatnonzero(st.step > 0.0):
            high = float(st.step[s])
            good = step.climbable(wheel_radius=radius, step=high)
            yield Check(
                name=motion.STEP, where="path", value=high, limit=radius or 0.0,
                dimension=Dimension.LENGTH, passed=good, at=float(st.at[s]),
                note="height of the step against the wheel's radius; the pull it takes counts above",
                change=None if good else self.cures.ramp(),
            )  # fmt: skip

    # ---- the puller -------------------------------------------------------------------------------

    def puller(self) -> Iterator[Check]:
        """The hauling line keeps within the angles the puller allows."""
        puller = self.scene.puller
        if not motion.angled(self.row):
            return
        angle, rise = motion.hauling_angles(self.row)
        for name, fault, values, limit in (
            (motion.ANGLE, Fault.OFF_RUN, angle, puller.angle_limit),
            (motion.RISE, Fault.OFF_LEVEL, rise, puller.rise_limit),
        ):
            value = float(values.max())
            good = not motion.fails(self.row, fault).any()
            yield Check(
                name=name, where=puller.name, value=value, limit=limit, dimension=Dimension.ANGLE,
                passed=good, change=None if good else self.cures.turned(value - limit, fault),
            )  # fmt: skip

    # ---- rules ------------------------------------------------------------------------------------

    def rules(self) -> Iterator[Check]:
        """The rules of the search that the rig breaks."""
        for name in broken_rules(self.row):
            on = name in self.job.rules.names
            yield Check(
                name=f"rule {name}", where="search", passed=not on, note=RULES[name], rule=True,
                change=self.cures.text(f"switch the rule off (--without-rule {name})") if on else None,
            )  # fmt: skip

    # ---- rope and gear ----------------------------------------------------------------------------

    def rope(self, filled: Filled) -> Iterator[Check]:
        """The rope is long enough."""
        owned = self.cures.owned_length(filled)
        # The gear may have been chosen for a part of the stretch: the rope is for all of it.
        needed = filled.variant.rope_needed + self.row.longest - filled.variant.row.longest
        good = needed <= owned + NEAR
        yield Check(
            name=ROPE, where=self.cures.plain(filled.variant.rope.name), value=needed,
            limit=owned, dimension=Dimension.LENGTH, passed=good,
            change=None if good else self.cures.longer(filled, needed - owned),
        )  # fmt: skip

    def gear(self, filled: Filled) -> Iterator[Check]:
        """Every piece of the rig is there."""
        for name, (used, there) in sorted(self.cures.counts(filled).items()):
            good = used <= there
            yield Check(
                name="pieces at hand", where=name, value=float(used), limit=float(there), passed=good,
                whole=True,
                change=None if good else self.cures.more(name, used - there),
            )  # fmt: skip

    def pieces(self, filled: Filled) -> Iterator[Check]:
        """Every piece, anchor and the puller stands what comes on it, with the margin wanted."""
        yield from self.stand(filled, components(filled))

    def stand(self, filled: Filled, parts: Iterable[Component]) -> Iterator[Check]:
        """The same of some parts of it."""
        for part in parts:
            dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
            if part.capacity is None:
                yield Check(
                    name=RATED, where=part.name, value=part.demand, dimension=dimension, passed=False,
                    at=part.at, note="UNRATED: nothing is known of what it stands",
                    change=self.cures.rated(part, filled),
                )  # fmt: skip
                continue
            found = (a for a in self.job.site.anchors if a.name == part.item)
            anchor = next(found, None) if part.role is Role.ANCHOR else None
            nothing = anchor is not None and anchor.strength.capacity == 0.0
            allowed = 0.0 if nothing else part.capacity / self.job.floor
            good = part.demand <= allowed * (1.0 + 1e-9)
            text = "" if self.job.floor == 1.0 else f"limit: capacity / margin {self.job.floor:g}"
            if anchor is not None and nothing:
                text = anchor.strength.governs
            yield Check(
                name="stands its load", where=self.cures.plain(part.name), value=part.demand,
                limit=allowed, dimension=dimension, passed=good, at=part.at, note=text,
                change=None if good else self.cures.stronger(part, filled),
            )  # fmt: skip

    def room(self, filled: Filled) -> Iterator[Check]:
        """Checks that what hangs at both ends of a part of line fits into its shortest length."""
        for segment, nodes, looked in room_of(filled.variant):
            takes = sum(hardware(filled, node) for node in nodes)
            closed_up = self.row.shortest_segments[segment]
            shortest = looked - filled.variant.row.shortest_segments[segment] + closed_up
            good = takes <= shortest + 1e-7
            yield Check(
                name="gear fits between its ends", where=self._leg(segment), value=takes, limit=shortest,
                dimension=Dimension.LENGTH, passed=good, note="length of the gear against the shortest line",
                change=None if good else self.cures.shorter(takes - shortest),
            )  # fmt: skip


def broken_rules(row: RigRow) -> list[str]:
    """The rules of the search that a rig breaks, whether they are on or not."""
    scene, numbers = row.scene, row.numbers
    out = []
    anchors = [int(scene.anchor_of[n]) for n in numbers]
    turns = list(zip(numbers[:-1], numbers[1:], anchors[:-1], anchors[1:], strict=True))
    if any(a == b and a >= 0 and m != n for m, n, a, b in turns):
        out.append("one-height-per-leg")
    run = longest = 0
    by_puller = numbers[-1] == scene.puller_number  # else turns round a trunk, which is a place too
    for number in numbers[:-1] if by_puller else numbers:
        run = run + 1 if number != 0 else 0
        longest = max(longest, run)
    if longest > 2:
        out.append("two-anchors-in-a-row")
    if numbers[0] != 0 and len(numbers) > 2 and numbers[1] != 0:
        out.append("no-block-behind-standing-anchor")
    parts = {n for a, b in pairwise(numbers) for n in (a, b) if 0 in (a, b)}
    straight = by_puller and numbers[-2] == 0 and bool((scene.forward_direct <= 0.0).any())
    if straight or any((scene.forward[n] <= 0.0).any() for n in parts - {0}):
        out.append("no-backward-part")
    return out


def _finite(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
