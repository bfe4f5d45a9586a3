"""The smallest single change that cures each failure of one rig."""

from dataclasses import replace
from typing import Any, cast

import numpy as np

from optimiser.evaluate import evaluate
from optimiser.explain.aim import further, turned
from optimiser.explain.job import Job
from optimiser.explain.limits import LIMITS
from optimiser.explain.meets import Meeting, met
from optimiser.explain.ratings import Rating
from optimiser.explain.smallest import in_place_of, such_as
from optimiser.gear.assign import Filled
from optimiser.gear.kit import Kit
from optimiser.gear.row import RigRow
from optimiser.results import Change, Component
from optimiser.rig import Place
from optimiser.scene import Scene
from optimiser.site.model import Anchor
from shared.units import Dimension, Rounding, show

ANGLE = "line in line with the puller's run"
RISE = "line level with the puller's run"
ANCHORS = "strength of an anchor"
HALVINGS = 14
"""Steps that find how low a strap must hang: to a tenth of a millimetre in a metre and more."""


class Cures:
    """Answers for one rig of a job."""

    def __init__(self, job: Job, row: RigRow, filled: Filled | None) -> None:
        self.job, self.row, self.scene = job, row, row.scene
        self.units = job.units
        del filled

    def text(self, told: str) -> Change:
        """A change that has no amount."""
        return Change(text=told, amount=0.0, unit="")

    # ---- lines ------------------------------------------------------------------------------------

    def blocked(self, segment: int) -> list[Meeting]:
        """What a line runs into, and what frees it; ground also by the nearest strap height that does."""
        return [
            replace(way, change=self._raised(segment, way.change)) if way.kind == "ground" else way
            for way in met(self.row, segment)
        ]

    def _raised(self, segment: int, edge: Change) -> Change:
        """The nearest strap height at which a line keeps off the ground, or else the protected edge."""
        for number in self.row.numbers[segment : segment + 2]:
            if number in (0, self.scene.puller_number):
                continue
            free = self._other_heights(segment, number)
            if free:
                place = self.scene.places[number]
                nearest = min(free, key=lambda h: (abs(h - place.height), h))
                word = "higher" if nearest > place.height else "lower"
                by = show(abs(nearest - place.height), Dimension.LENGTH, self.units)
                told = show(nearest, Dimension.LENGTH, self.units)
                text = f"strap on {place.name} {by} {word} (at {told}), or {edge.text}"
                return Change(text=text, amount=nearest - place.height, unit="m")
        return edge

    def _other_heights(self, segment: int, number: int) -> list[float]:
        """Heights of the same anchor at which the line runs free."""
        scene, place = self.scene, self.scene.places[number]
        pair = [n for n in self.row.numbers[segment : segment + 2] if n != number]
        out = []
        for other, known in enumerate(scene.places):
            if known.kind != "anchor" or known.name != place.name or known == place or not pair:
                continue
            free = (
                scene.clear_from_load[other].all() if pair[0] == 0 else scene.clear[other, pair[0]]
            )
            if free:
                out.append(known.height)
        return out

    # ---- the load and the puller ------------------------------------------------------------------

    def lifted(self) -> Change:
        return self.text("lower straps ahead of the load, or a hitch higher up on it")

    def sideways(self, over: float) -> Change:
        text = (
            "an anchor or the puller nearer to the line of the path, or a side line that guides it"
        )
        return Change(text=text, amount=over, unit="")

    def turned(self, over: float, name: str) -> Change:
        """Where the puller has to stand."""
        better = turned(self.row) if name == ANGLE else further(self.row)
        if better is not None:
            return better
        puller = self.scene.puller
        told = show(over, Dimension.ANGLE, self.units, Rounding.UP)
        last = self.row.place(self.row.numbers[-2])
        where = "the load" if last.kind == "load" else last.name
        text = (
            f"lead the line to {puller.name} round another anchor, so that it leads {told} less off "
            "the run"
            if name == ANGLE
            else f"stand {puller.name} further from {where}, or level with it: {told} less up or down"
        )
        return Change(text=text, amount=over, unit="rad")

    # ---- gear -------------------------------------------------------------------------------------

    def plain(self, name: str) -> str:
        """The name of a piece without the mark that it is not there."""
        return name.replace(" (longer)", "").replace(" (one more)", "")

    def owned_length(self, filled: Filled) -> float:
        """Length of the rope that is there, m; 0 where there is none."""
        name = self.plain(filled.variant.rope.name)
        return next((p.length or 0.0 for p in self.job.kit.pieces if p.name == name), 0.0)

    def longer(self, filled: Filled, short: float) -> Change:
        """More rope, or the puller nearer."""
        more = show(short, Dimension.LENGTH, self.units, Rounding.UP)
        if self.owned_length(filled) <= 0.0:
            text = f"a rope of {more}, such as {self.plain(filled.variant.rope.name)}"
            return Change(text=text, amount=short, unit="m")
        text = f"{more} more rope like {self.plain(filled.variant.rope.name)}"
        last = self.row.place(self.row.numbers[-2])
        if self.scene.puller.anchor is None:
            where = "the load's path" if last.kind == "load" else last.name
            text += f", or {self.scene.puller.name} {more} nearer to {where}"
        return Change(text=text, amount=short, unit="m")

    def counts(self, filled: Filled) -> dict[str, tuple[int, int]]:
        """Pieces used and there, by name."""
        used: dict[str, int] = {}
        pieces = [o.piece for o in filled.blocks] + [h.piece for h in filled.straps.values()]
        for piece in (*pieces, *filled.shackles.values(), *filled.legs):
            name = self.plain(piece.name)
            used[name] = used.get(name, 0) + 1
        owned = {p.name: p.count for p in self.job.kit.pieces}
        return {name: (many, owned.get(name, 0)) for name, many in used.items()}

    def shorter(self, short: float) -> Change:
        """Room for the gear."""
        told = show(short, Dimension.LENGTH, self.units, Rounding.UP)
        text = (
            f"straps and blocks that are {told} shorter in all, or stop before the line closes up"
        )
        return Change(text=text, amount=short, unit="m")

    def more(self, name: str, many: int) -> Change:
        there = any(p.name == name for p in self.job.kit.pieces)
        return Change(
            text=f"{many} {'more ' if there else 'x '}{name}", amount=float(many), unit="pieces"
        )

    def rated(self, part: Component, floor: float) -> Change:
        """A rated piece in place of one without a rating."""
        dimension = Dimension.MOMENT if part.unit == "N·m" else Dimension.FORCE
        wanted = part.demand * floor
        told = show(wanted, dimension, self.units, Rounding.UP)
        text = f"a rated one that stands {told} in place of {self.plain(part.item)}"
        return Change(text=text, amount=wanted, unit=part.unit)

    def stronger(self, part: Component, filled: Filled) -> Change:
        """A stronger piece, or for a tree a lower strap where that is enough."""
        anchor = next((a for a in self.job.site.anchors if a.name == part.item == part.place), None)
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
                if limit.name == ANCHORS:
                    change = replace(change, text=f"{change.text}, or {self._lighter(need)}")
                able = in_place_of(filled, part.item, need)
                return replace(change, text=f"{change.text}{such_as(able)}")
        return self.text(f"something that stands {need:.2f} times as much")

    def _lighter(self, need: float) -> str:
        """Less load: every force is proportional to its weight."""
        most = self.job.site.load.weight / need
        return f"no more load than {show(most, Dimension.WEIGHT, self.units, Rounding.DOWN)}"

    def _lower(self, anchor: Anchor, filled: Filled) -> Change | None:
        """The highest strap on a tree at which it stands the haul; None where none does."""
        places = {
            p
            for p in self.scene.walk(self.row.numbers)
            if p.kind == "anchor" and p.name == anchor.name
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
        scene = Scene(site, self.job.stations, self.scene.attachment, self.scene.puller)
        walk = [
            Place("anchor", p.name, height) if p.kind == "anchor" and p.name == anchor.name else p
            for p in self.scene.walk(self.row.numbers)
        ]
        numbers = np.array([[scene.number[place] for place in walk]])
        row = RigRow(evaluate(scene, numbers, np.array([self.row.etas])), 0)
        if not row.evaluation.works.all():
            return False
        index = next(i for i, a in enumerate(site.anchors) if a.name == anchor.name)
        peak, strength = row.anchor_use[index]
        return strength is not None and peak.value * self.job.floor <= strength
