"""Gives the hauls of a search their second lines, while it searches: a haul that the rest of the gear does
not keep in hand does not count.

A haul's best filling comes first, and the lines get what it leaves. Where that does not do, the lines come
first: gear for a hold with each rope is laid aside, and the haul is filled from the rest.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from catalogue.gear import Rope
from optimiser.jobs.hold.find import best_line, find, needed, steered_with
from optimiser.jobs.hold.spare import used_by_line
from optimiser.jobs.hold.steer import guides, kept_on_line, slews
from optimiser.proof.loads.haul import verify
from optimiser.rig.build import build_setup
from optimiser.rig.cautions.hauling import cautions
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.variants import variants
from optimiser.rig.ground.scene import Scene, scenes
from optimiser.rig.ground.stations import Stations
from optimiser.rig.ground.stretches import Stretch, stretches
from optimiser.rig.refit import NEAR
from optimiser.rig.setup import HoldingLine, Setup
from optimiser.search.clock import Clock
from optimiser.site.model import Owned, Site, is_of


class SecondLines:
    """The second lines that the gear of a site gives hauls over the whole path or parts of it."""

    def __init__(self, site: Site, clock: Clock) -> None:
        self._site, self._clock = site, clock
        self._aside: dict[Stretch, tuple[Counter[str], ...]] = {}
        self._ropes = sum(piece.count for piece in site.gear if is_of(piece, Rope))

    def never(self, stations: Stations) -> bool:
        """Whether nothing can be kept in hand over the stations: a line that holds takes a second rope."""
        return self._ropes < 2 and bool(stretches(stations))

    def admit(self, filled: Filled, filler: Filler) -> Filled | None:
        """A filling of the haul with which it gets its second lines, the one given if that will do; None
        where there is none within the filler's order and floor. The lines are those of `lines`."""
        for candidate in self._candidates(filled, filler):
            variant = candidate.variant
            good = candidate.margin >= filler.floor - NEAR and filler.order.allows(
                variant.resets, variant.rope_needed
            )
            if good and self.lines(build_setup(candidate, rank=1)) is not None:
                return candidate
        return None

    def lines(self, setup: Setup) -> tuple[HoldingLine, ...] | None:
        """The second lines of a haul from what it leaves; None where it needs one that there is not."""
        lines: tuple[HoldingLine, ...] = ()
        if setup.steered is not None:
            line = steered_with(self._site, setup)
            if line is None:
                return None
            lines = (line,)
        elif slews(setup):
            return None  # which line steers it is not decided
        found = find(self._site, replace(setup, holding=lines), clock=self._clock)
        return (*lines, *found.lines) if found.complete else None

    def kept(self, setup: Setup, *, extra: tuple[Owned, ...] = ()) -> Setup | None:
        """The setup with its second lines, re-checked; None where it needs one that there is not. `extra`:
        pieces at hand besides those of the site."""
        lines = self.lines(setup)
        return None if lines is None else with_lines(self._site, setup, lines, extra=extra)

    def _candidates(self, filled: Filled, filler: Filler) -> Iterator[Filled]:
        row, kit = filled.variant.row, filled.variant.kit
        needed = stretches(row.scene.stations)
        aside = [self._laid_aside(stretch) for stretch in needed]
        if not all(aside):
            return  # no hold there, however little the haul takes
        setup = build_setup(filled, rank=1)
        if slews(setup):
            yield from kept_on_line(self._site, setup, filler.order, kit=kit)
            return
        yield filled
        if setup.second is not None:
            return
        for used in dict.fromkeys(tuple(sorted(one.items())) for each in aside for one in each):
            other = filler.best(variants(row, _without(kit, dict(used))))
            if other is not None:
                yield other

    def _laid_aside(self, stretch: Stretch) -> tuple[Counter[str], ...]:
        """What the best hold over a stretch takes, with each rope of the site by itself."""
        if stretch not in self._aside:
            site, out = self._site, []
            for rope in site.gear:
                if is_of(rope, Rope):
                    gear = tuple(p for p in site.gear if p is rope or not is_of(p, Rope))
                    alone = replace(site, gear=gear, origin=None)
                    line = best_line(alone, stretch, self._clock)
                    out += [used_by_line(line)] if line is not None else []
            self._aside[stretch] = tuple(out)
        return self._aside[stretch]


def _without(kit: Kit, used: dict[str, int]) -> Kit:
    """The kit less some pieces."""
    left = (replace(p, count=p.count - used.get(p.name, 0)) for p in kit.pieces)
    return replace(kit, pieces=tuple(p for p in left if p.count > 0))


def with_lines(
    site: Site, setup: Setup, lines: tuple[HoldingLine, ...], *, extra: tuple[Owned, ...] = ()
) -> Setup:
    """The setup with second lines, its cautions anew, re-checked."""
    made = {one.anchor: one for line in lines for one in line.made}
    made |= {one.anchor: one for one in setup.made}
    out = replace(setup, holding=lines, made=tuple(made.values()))
    out = replace(out, cautions=cautions(site, out))
    verify(site, out, extra=extra)
    return out


def may_need(site: Site, stations: Stations | None = None) -> bool:
    """Whether a haul over the stations (the whole path) may need a second line: where the load runs by
    itself, or where a trunk stands that a line could steer it by."""
    return bool(needed(site, stations)) or bool(guides(site))


def kept_scenes(site: Site, laid: Stations, kit: Kit | None = None) -> Iterator[Scene]:
    """Scenes in which a holding line is there, and a steering line wherever one may be."""
    lines = guides(site)
    for scene in scenes(site, laid, kit):
        yield replace(scene, kept=True, guides=lines)
