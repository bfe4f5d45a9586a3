"""Finds what keeps a given rig, with the pieces that hang in it, from a stretch of the path."""

from collections.abc import Callable
from dataclasses import replace

from optimiser.jobs.hold.kept import SecondLines
from optimiser.jobs.stages.results import Reach
from optimiser.jobs.why.rating_limits import overload
from optimiser.rig.build import build_setup
from optimiser.rig.components import components, weakest
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.joined import joins_of
from optimiser.rig.gear.room import hardware, has_room
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.naming import spot
from optimiser.rig.walk import Place
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.rules import Rules
from optimiser.search.stages.finder import Caps
from optimiser.search.stages.track import Track
from shared.units import Dimension, Rounding, show


class Rig:
    """A filled rig that can be looked at on any stretch of a track."""

    def __init__(
        self, track: Track, filled: Filled, rules: Rules, lines: SecondLines | None = None
    ) -> None:
        self.filled, self.rules = filled, rules
        self._second = lines
        self.scene = filled.variant.row.scene
        self.track = track.with_stand_of(self.scene)
        self.index = next(
            i for i, scene in enumerate(self.track.scenes) if scene.stands_for(self.scene)
        )
        self.system = track.site.preferences.units

    def stopped(self, begin: int, end: int, caps: Caps) -> str:
        """Why it does not work on a stretch within limits; "" where it does."""
        row = self.filled.variant.row.on(self.track.scene(self.index, begin, end))
        why = self._lines(row) or self._haul(row)
        if why:
            return why
        variant = self.filled.variant.on(row)
        if variant is None:
            return "the grip comes too near to the blocks of the second rope: it has no way to go"
        return self._rope(variant) or self._pieces(variant, caps) or self._held(variant)

    def reach(self, begin: int, end: int, caps: Caps) -> Reach:
        """How far it could work to either side of a stretch that it works on."""
        first = self._last(begin, 0, lambda mark: self.stopped(mark, end, caps))
        last = self._last(end, self.track.end, lambda mark: self.stopped(begin, mark, caps))
        return Reach(
            from_m=self.track.at(first),
            to_m=self.track.at(last),
            before="" if first == 0 else self.stopped(first - 1, end, caps),
            beyond="" if last == self.track.end else self.stopped(begin, last + 1, caps),
        )

    @staticmethod
    def _last(good: int, limit: int, stopped: Callable[[int], str]) -> int:
        if good == limit or not stopped(limit):
            return limit
        bad = limit
        while abs(bad - good) > 1:
            middle = (good + bad) // 2
            if stopped(middle):
                bad = middle
            else:
                good = middle
        return good

    # ---- one kind of limit each ------------------------------------------------------------------

    def _lines(self, row: RigRow) -> str:
        tables = Tables(row.scene, self.filled.variant.kit, self.rules, 0.0, only_rated=False)
        scene = row.scene
        for a, b in row.runs:
            if a != 0 and b != 0:
                continue
            other = a or b
            where = spot(scene.places[other], system=self.system)
            if not self.rules.backward and not (scene.forward[other] > 0.0).all():
                return f"the load has come past {where}, which would pull it backwards"
            if not scene.clear_from_load[other].all():
                return (
                    f"the line from the load to {where} meets a trunk, a post or the ground, or "
                    "the load runs up against it"
                )
            if not tables.from_load[other]:
                return f"the line from the load to {where} is not one that the rules allow"
        return ""

    def _haul(self, row: RigRow) -> str:
        if row.evaluation.works[row.index].all():
            return ""
        failure = row.evaluation.verdict.first(row.index)
        return "" if failure is None else failure.words

    def _held(self, variant: Variant) -> str:
        """Whether what it leaves of the gear keeps the load in hand, where that is wanted."""
        if self._second is None:
            return ""
        if self._second.lines(build_setup(self._refilled(variant), rank=1)) is not None:
            return ""
        return "what it leaves of the gear does not keep the load in hand there"

    def _rope(self, variant: Variant) -> str:
        for line in variant.lines:
            needed, have = line.rope_needed, line.rope.length
            if have is not None and needed > have + 1e-9:
                shown = show(needed, Dimension.LENGTH, self.system, Rounding.UP)
                owned = show(have, Dimension.LENGTH, self.system, Rounding.DOWN)
                which = "the rope" if len(variant.lines) == 1 else line.rope.name
                return f"{which} is too short: {shown} needed, {owned} owned"
        if variant.rope.joined is not None and not joins_of(variant):
            return "the join of the rope would come to a block"
        return ""

    def _pieces(self, variant: Variant, caps: Caps) -> str:
        filled = self._refilled(variant)
        row = variant.row
        for segment, nodes, least in filled.variant.room():
            if sum(hardware(filled, node) for node in nodes) > least + 1e-7:
                places = self._places(row, segment, segment + 1)
                ends = [spot(p, system=self.system) for p in places]
                return (
                    f"it is two-blocked: no more room for the gear between {ends[0]} and {ends[1]}"
                )
        if filled.margin < caps.margin - 1e-9:
            return overload(weakest(components(filled)), caps.margin, self.system)
        if filled.variant.resets > caps.resets:
            return "it would take one more reset"
        if filled.variant.rope_needed > caps.rope + 1e-9:
            return "it would take more rope"
        return ""

    @staticmethod
    def _places(row: RigRow, *nodes: int) -> list[Place]:
        return [row.scene.places[row.numbers[node]] for node in nodes]

    def _refilled(self, variant: Variant) -> Filled:
        """The same pieces at the same places, with what they carry on another stretch."""
        if variant.join is None:
            return self._with(variant)
        ways = [self._with(replace(variant, join=join)) for join in joins_of(variant)]
        return next((filled for filled in ways if has_room(filled)), ways[0])

    def _with(self, variant: Variant) -> Filled:
        options = {(o.nodes, o.piece.name): o for o in variant.block_options}
        blocks = tuple(options[o.nodes, o.piece.name] for o in self.filled.blocks)
        return replace(self.filled, variant=variant, blocks=blocks)
