"""Checks what fits what, and the whole: sheaves, rope and blocks, straps, shackles, margin."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalogue.gear import Block, Rope, Strap
from optimiser.jobs.why.cures.smallest import smallest, such_as
from optimiser.jobs.why.findings import Check
from optimiser.jobs.why.job import Job
from optimiser.jobs.why.motion import NEAR
from optimiser.mechanics.hardware.strap import least_length
from optimiser.rig.components import components, place_of
from optimiser.rig.forces.travel import ENDLESS
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.fill import shackles_wanted
from optimiser.rig.gear.kit import bend_keeps, trunk_of
from optimiser.rig.setup import Change, Role, names
from optimiser.rig.slings import between
from optimiser.site.model import Anchor
from shared.units import Dimension, Rounding, show

MOST_STOPS = 12
"""Resets whose places are printed."""
SAFE = 1e-6
"""Relative: by so much a change is more than it must be, so that rounding cannot undo it."""


@dataclass(frozen=True)
class Fits:
    """The gear of one filled rig against the gear owned."""

    job: Job
    filled: Filled

    def checks(self) -> Iterator[Check]:
        """All of them."""
        yield self.sheaves()
        yield self.rope_and_blocks()
        yield from self.straps()
        yield from self.shackles()
        yield from self.effort()
        if self.job.floor > 1.0:  # else it is what every piece is checked against anyway
            yield self.margin()

    @property
    def _owned_rope(self) -> Rope:
        """The kind of the rope that is hauled with; where that is none that is owned, of the longest."""
        chosen = self.filled.variant.rope.gear
        owned = self.job.kit.ropes
        if owned and all(p.gear != chosen for p in owned):
            chosen = max(owned, key=lambda p: p.length or 0.0).gear
        return chosen

    def sheaves(self) -> Check:
        """Sheaves in the reeving, and owned."""
        need, have = self.filled.variant.row.sheaves, self.job.kit.sheave_count
        short = need - have
        text = f"{short} more {'block' if short == 1 else 'blocks'} of one sheave"
        return Check(
            name="sheaves enough", where="blocks", value=float(need), limit=float(have),
            passed=short <= 0, whole=True,
            change=None if short <= 0 else Change(text=text, amount=float(short), unit="sheaves"),
        )  # fmt: skip

    def rope_and_blocks(self) -> Check:
        """Sheaves in the reeving, and those owned that take the rope."""
        rope, need = self._owned_rope, self.filled.variant.row.sheaves
        have = sum(
            b.count * b.gear.sheaves
            for b in self.job.kit.blocks
            if bend_keeps(rope, b.gear) is not None
        )
        size = show(rope.diameter, Dimension.SIZE, self.job.units)
        change = None
        if need > have:
            able = smallest(
                Block, lambda g: isinstance(g, Block) and bend_keeps(rope, g) is not None
            )
            text = f"sheaves that take rope of {size}: {need - have} more{such_as(able)}"
            change = Change(text=text, amount=float(need - have), unit="sheaves")
        return Check(
            name="blocks take the rope", where=f"rope of {size}", value=float(need),
            limit=float(have), passed=need <= have, change=change, whole=True,
            note="sheaves it turns on, and sheaves owned that take a rope so thick",
        )  # fmt: skip

    def straps(self) -> Iterator[Check]:
        """Length of strap round each trunk, and the longest owned."""
        v = self.filled.variant
        lengths = [p.gear.length for p in self.job.kit.straps]
        longest = max(lengths, default=0.0)
        for place in v.strap_places:
            anchor = v.row.anchor_at(place)
            if anchor.sling is not None:
                yield self._sling(place, anchor)
                continue
            least = least_length(radius=trunk_of(anchor).thick)
            goes = bool(self.job.kit.round_anchor(anchor))
            change = None if goes else self._longer(least, longest)
            yield Check(
                name="a strap goes round", where=str(v.row.place(place)), value=longest, limit=least,
                dimension=Dimension.LENGTH, least=True, passed=goes, change=change,
                note="longest strap or chain owned, and the least that goes round the trunk",
            )  # fmt: skip

    def _sling(self, place: int, anchor: Anchor) -> Check:
        """The longest rope owned that does not run, and what the sling between two trees takes."""
        v, site = self.filled.variant, self.job.site
        running = v.not_in_slings
        reach = [h for h in between(self.job.kit, site, anchor) if h.piece.name not in running]
        others = [p.length or 0.0 for p in self.job.kit.slings if p.name not in running]
        longest, used = max(others, default=0.0), self.filled.straps[place]
        least = used.standoff * 2.0
        shown = show(least, Dimension.LENGTH, self.job.units, Rounding.UP)
        text = f"another rope, longer than {shown} by its two knots, and knots that hold on a trunk"
        return Check(
            name="a sling reaches", where=str(v.row.place(place)), value=longest, limit=least,
            dimension=Dimension.LENGTH, least=True, passed=bool(reach),
            change=None if reach else Change(text=text, amount=max(least - longest, 0.0), unit="m"),
            note="longest rope owned besides the one that runs, and both legs of the sling without knots",
        )  # fmt: skip

    def _longer(self, least: float, longest: float) -> Change:
        shown = show(least, Dimension.LENGTH, self.job.units, Rounding.UP)
        able = smallest(Strap, lambda g: isinstance(g, Strap) and g.length >= least)
        text = f"a strap of {shown} or more{such_as(able)}"
        return Change(text=text, amount=least - longest, unit="m")

    def shackles(self) -> Iterator[Check]:
        """Thinnest pin owned, and the narrowest eye that each shackle has to go through."""
        v = self.filled.variant
        wanted = {one.nodes: one for one in shackles_wanted(v, self.filled.blocks)}
        owned = self.job.kit.shackles
        pins = [p.gear.pin_diameter for p in owned]
        for load in self.filled.hung():
            if load.role is not Role.SHACKLE:
                continue
            one = wanted[load.nodes]
            good = any(one.fits(p.gear) for p in owned)
            used = self.filled.shackles[load.nodes].gear
            change = None
            if not good:
                pin = show(used.pin_diameter, Dimension.SIZE, self.job.units)
                text = f"a shackle with a pin no thicker than fits: {used.name} has {pin}"
                change = Change(text=text, amount=used.pin_diameter, unit="m")
            yield Check(
                name="a shackle fits", where=place_of(v, load), passed=good, change=change,
                value=min(pins, default=None), limit=one.narrowest, dimension=Dimension.SIZE,
                note="the thinnest pin owned, and the narrowest eye that it has to go through",
            )  # fmt: skip

    def effort(self) -> Iterator[Check]:
        """Strokes of the puller and resets between them: no limit is set to them."""
        v = self.filled.variant
        name, units = v.row.scene.puller.name, self.job.units
        endless = v.strokes >= ENDLESS
        stops = [show(at, Dimension.LENGTH, units) for at in v.stops]
        clauses = [*stops[:MOST_STOPS], *(["so on"] if len(stops) > MOST_STOPS else [])]
        where = f"with the load at {names(clauses)}" if clauses else ""
        none = f"{name} takes in next to nothing in one stroke: it does not get the load along"
        yield Check(
            name="strokes", where=name, value=float(v.strokes), passed=True, for_information=True, whole=True,
            note=none if endless else "",
        )  # fmt: skip
        yield Check(
            name="resets", where=name, value=float(v.resets), passed=True, for_information=True, whole=True,
            note="" if endless else where,
        )  # fmt: skip

    def margin(self) -> Check:
        """The least margin, and the one wanted."""
        wanted, margin = self.job.floor, self.filled.margin
        least = min(components(self.filled), key=lambda part: part.margin)
        good = margin >= wanted - NEAR
        change = None
        if not good:
            load = self.job.site.load
            most = load.weight * margin / wanted * (1.0 - SAFE)
            ways = []
            if load.lightest is not None and most >= load.lightest:
                shown = show(most, Dimension.WEIGHT, self.job.units, Rounding.DOWN)
                ways.append(f"no more load than {shown}")
            if margin >= 1.0:
                reached = show(margin, Dimension.RATIO, self.job.units, Rounding.DOWN)
                ways.append(f"be content with margin {reached}")
            ways = ways or [f"a stronger piece in place of the weakest, {least.name}"]
            change = Change(text=", or ".join(ways), amount=wanted - margin, unit="")
        return Check(
            name="the margin wanted", where="whole rig", value=margin, limit=wanted,
            least=True, passed=good, at=least.at, change=change, note="least capacity / demand",
        )  # fmt: skip
