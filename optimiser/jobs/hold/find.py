"""Finds the holding lines of a setup: for each stretch that needs one, the best hold that the rest of
the gear gives."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from optimiser.jobs.hold.results import Held
from optimiser.jobs.hold.spare import laid_out_for, spare_site, stations_of
from optimiser.jobs.hold.steer import rigged
from optimiser.jobs.lower.build import build
from optimiser.jobs.lower.hold_job import ORDER, HoldJob
from optimiser.jobs.lower.results import LoweringSetup
from optimiser.proof.loads.haul import verify_second_lines
from optimiser.rig.forces.holders import hand, hand_limit
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import edgings
from optimiser.rig.ground.scene import Scene, over_edges
from optimiser.rig.ground.stations import Stations, lay_stations, path_length
from optimiser.rig.ground.stretches import Stretch, stretches
from optimiser.rig.made_anchors import along
from optimiser.rig.naming import edge_at
from optimiser.rig.order import Order
from optimiser.rig.setup import HoldingLine, Setup, Way
from optimiser.search.clock import Clock
from optimiser.search.rules import Rules
from optimiser.site.model import Site
from optimiser.site.turned import turned

MOST_SHEAVES = 1
"""Sheaves in a holding line: turns round the trunk hold, not blocks (part of the stated space)."""


def needed(site: Site, stations: Stations | None = None) -> tuple[Stretch, ...]:
    """Finds where a haul over the stations (the whole path) has to be kept in hand."""
    return stretches(lay_stations(site) if stations is None else stations)


def hold(site: Site, setup: Setup, *, clock: Clock | None = None) -> Held:
    """The best holding line for each stretch on which the load runs by itself, re-checked."""
    found = find(site, setup, clock=clock)
    verify_second_lines(site, setup, found.lines)
    return found


def find(site: Site, setup: Setup, *, clock: Clock | None = None) -> Held:
    """The same, still to be re-checked with the setup it is put into."""
    spare = spare_site(site, setup)
    lines, missing = [], []
    for stretch in stretches(stations_of(site, setup)):
        found = best_line(spare, stretch, clock or Clock(None, None))
        if found is None:
            missing.append(stretch)
        else:
            lines.append(found)
            spare = laid_out_for(spare, found)
    return Held(lines=tuple(lines), missing=tuple(missing))


def steered_with(site: Site, setup: Setup) -> HoldingLine | None:
    """The steering line of a setup that is to have one; None where what the haul leaves does not give
    it."""
    found = rigged(site, setup)
    return None if found is None else _line(*found)


@dataclass(frozen=True)
class HoldOver:
    """The search for a hold over a stretch with what is left of a site. `ground`: the site with the path so
    that the load would run back along it; `long`: m of the path."""

    job: HoldJob
    scenes: tuple[Scene, ...]
    ground: Site
    long: float


def hold_over(spare: Site, stretch: Stretch, clock: Clock) -> HoldOver:
    """How a hold over a stretch is looked for."""
    ground, long = spare, path_length(spare)
    begin, end = stretch.from_m, stretch.to_m
    if stretch.way is not Way.BACK:
        ground, begin, end = turned(spare), long - end, long - begin
    limit = hand_limit(spare.preferences, None)
    job = HoldJob(
        site=ground,
        kit=kit_of(ground),
        hand=limit,
        order=Order(ORDER, spare.preferences.enough, comfort=limit.comfort),
        rules=Rules.of(spare.preferences.rules),
        sheaves=min(MOST_SHEAVES, spare.preferences.most_sheaves),
        clock=clock,
    )
    return HoldOver(job, tuple(_scenes(ground, begin, end)), ground, long)


def best_line(spare: Site, stretch: Stretch, clock: Clock) -> HoldingLine | None:
    """The best hold over a stretch with what is left."""
    if not kit_of(spare).ropes:
        return None
    over = hold_over(spare, stretch, clock)
    filled = over.job.best(over.scenes)
    if filled is None:
        return None
    made = build(filled, rank=1, hand_source=over.job.hand.source)
    if stretch.way is Way.BACK:
        return _line(made, stretch)
    there = tuple(replace(row, at=over.long - row.at) for row in made.profile)
    made = replace(made, profile=there, made=along(spare, made.made))
    return _line(_other_way(made, over.long, over.ground.preferences.units), stretch)


def _other_way(made: LoweringSetup, long: float, units: str) -> LoweringSetup:
    """Where its rope runs over edges, measured from the other end of a path of that length."""
    contacts = tuple(
        replace(
            c,
            from_m=long - c.to_m,
            to_m=long - c.from_m,
            left_from=-c.left_to,
            left_to=-c.left_from,
            load_from=None if c.load_to is None else long - c.load_to,
            load_to=None if c.load_from is None else long - c.load_from,
        )
        for c in made.contacts
    )
    ends = {c.from_m for c in made.contacts}
    places = {
        edge_at(a, b, units): edge_at(long - b, long - a, units)
        for a in ends
        for b in ends
        if a <= b
    }
    gear = tuple(replace(h, place=places.get(h.place, h.place)) for h in made.gear)
    return replace(made, contacts=contacts, gear=gear)


def _scenes(ground: Site, begin: float, end: float) -> Iterator[Scene]:
    laid = lay_stations(ground, (begin, end))
    stations = laid.pick(laid.between(begin, end))
    edging = edgings(ground, kit_of(ground))
    for attachment in attachments(ground):
        yield from over_edges(Scene(ground, stations, attachment, hand(ground)), edging)


def _line(made: LoweringSetup, stretch: Stretch) -> HoldingLine:
    lengths = [row.rope_out for row in made.profile]
    return HoldingLine(
        way=stretch.way,
        rest=stretch.rest,
        from_m=stretch.from_m,
        to_m=stretch.to_m,
        walk=made.walk,
        turns=made.turns,
        rope=made.rope,
        contacts=made.contacts,
        attachment=made.attachment,
        force=stretch.force,
        line=made.line,
        hand=made.hand,
        hand_limit=made.hand_limit,
        margin=made.margin,
        weakest=made.weakest,
        rope_needed=made.rope_needed,
        taken=max(lengths) - min(lengths),
        gear=made.gear,
        components=made.components,
        profile=made.profile,
        made=made.made,
    )
