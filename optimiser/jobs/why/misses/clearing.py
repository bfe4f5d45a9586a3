"""Finds near misses of lines that something stands in the way of: which line, what it meets, where, by
how much, and what would clear it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, cast

from catalogue.gear import Protector
from optimiser.jobs.why.job import Budget, Job
from optimiser.jobs.why.laying import easiest, lay, places_of, proposals, rigs, with_piece
from optimiser.jobs.why.meets import THE_LOAD, Meeting, Met, met
from optimiser.jobs.why.rating_limits import loaded, walk_of
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.over_edges import Place as Laid
from optimiser.rig.setup import Change, Miss, names
from optimiser.rig.walk import Place, PlaceKind, Walk
from optimiser.site.model import Anchor, AnchorKind, Owned, Site
from shared.units import Dimension, Rounding, show

YES_OR_NO = float("inf")
"""The shortfall of a miss whose limit is a thing that is there or not."""
REACH = 3.0
"""m: how high up a stem a strap is looked for beyond what the file allows: what somebody on a short ladder
reaches (choice)."""
HIGHER_BY = 0.25
"""m between the heights that are tried."""
Nearly = Callable[[Job, Budget], list[Miss]]
"""Finds the near misses of a job."""


@dataclass(frozen=True, slots=True)
class _Met:
    """A line of a rig by the names of its ends, and what it meets."""

    first: str
    last: str
    way: Meeting

    def worded(self, units: str) -> str:
        return (
            f"the line from {self.first} to {self.last} meets {self.way.worded(units, self.first)}"
        )


@dataclass(frozen=True)
class Obstruction:
    """One kind of thing in the way of lines: `kind` of meeting, its name as a limit, how a job looks where it
    stops no line (None: there is none of it), and what clears what a walk meets."""

    kind: Met
    name: str
    without: Callable[[Job, Budget], Job | None]
    cleared: Callable[[Job, Walk, Sequence[Meeting]], Change]


def _without_ground(job: Job, budget: Budget) -> Job | None:
    """The job with enough of what rubs least to lay wherever a line touches the ground."""
    piece = easiest(job)
    if piece is None:
        return None
    laid = with_piece(job, piece)
    return laid if lays(laid, piece, budget) else None


def lays(job: Job, piece: Owned[Protector], budget: Budget) -> bool:
    """Whether any line of a job that has a piece runs over it."""
    every, _ = budget.scenes(job)
    return any(scene.edging.protector == piece for scene in every)


def _without_obstacles(job: Job, budget: Budget) -> Job | None:
    del budget
    return replace(job, site=replace(job.site, obstacles=())) if job.site.obstacles else None


def _logs(job: Job, walk: Walk, ways: Sequence[Meeting]) -> Change:
    del ways
    piece = easiest(job)
    assert piece is not None
    return lay(job, piece, places_of(job, walk, piece))


def _taken_away(job: Job, walk: Walk, ways: Sequence[Meeting]) -> Change:
    del job, walk
    what = names(list(dict.fromkeys(way.what for way in ways)))
    return Change(text=f"take {what} away", amount=1.0, unit="")


TO_BUY = "line on the ground, log too rough"
"""Limit of a miss by something to lay that has to be bought: what can be made on the spot rubs too much."""
GROUND = Obstruction(Met.GROUND, "line on the ground", _without_ground, _logs)
OBSTACLES = Obstruction(Met.POST, "obstacle", _without_obstacles, _taken_away)


def misses(job: Job, budget: Budget) -> Iterator[Miss]:
    """Finds what would suffice if one kind of obstruction were cleared, or a strap hung higher."""
    yield from _laid(job, budget)
    eased = OBSTACLES.without(job, budget)
    for filled in [] if eased is None else budget.search(eased, top=1)[0]:
        yield _cleared(job, walk_of(filled), (OBSTACLES,))
    yield from _higher(job, budget)


def _laid(job: Job, budget: Budget) -> Iterator[Miss]:
    """The least trouble that somebody may lay on the ground with which a rig works, its friction counted."""
    for piece in proposals(job):
        more = with_piece(job, piece)
        if not lays(more, piece, budget):
            continue
        for filled in budget.search(more, top=1)[0]:
            laid = [place for own, place in filled.variant.laid if own.name == piece.name]
            if laid:
                yield _with_laid(job, piece, laid, filled)
                return


def _with_laid(job: Job, piece: Owned[Protector], laid: Sequence[Laid], filled: Filled) -> Miss:
    """The miss of a rig that works with something laid: what its lines meet otherwise, or how much of that
    is missing."""
    walk, weakest = walk_of(filled), min(loaded(filled), key=lambda part: part.margin)
    reached = show(filled.margin, Dimension.RATIO, rounding=Rounding.DOWN)
    then = f": the setup below works then, margin {reached} (weakest: {weakest.name}), friction counted"
    change = lay(job, piece, laid, then)
    have = sum(p.count for p in job.kit.pieces if p.name == piece.name)
    need = have + round(change.amount)
    if have:
        return Miss(
            walk=walk, limit="number of edge protectors", short_by=need / have, change=change,
            text=f"it takes {need} {piece.name} for the lines to run over, and there "
            f"{'is' if have == 1 else 'are'} {have}",
        )  # fmt: skip
    ways = [one for one in _meetings(job, walk) if one.way.kind is Met.GROUND]
    return Miss(
        walk=walk, limit=GROUND.name if piece.price is None else TO_BUY,
        text="; ".join(_all_worded(ways, job.units)),
        short_by=YES_OR_NO, change=change,
    )  # fmt: skip


def with_more(job: Job, budget: Budget, nearly: Nearly) -> list[Miss]:
    """Finds what would suffice if obstructions were cleared and, where that is not enough, something else
    were changed besides: the fewest obstructions that lead to anything."""
    for kinds in ((GROUND,), (OBSTACLES,), (GROUND, OBSTACLES)):
        eased: Job | None = job
        for obstruction in kinds:
            eased = None if eased is None else obstruction.without(eased, budget)
        if eased is None:
            continue
        if len(kinds) > 1:
            works = budget.search(eased, top=1)[0]
            if works:
                return [_cleared(job, walk_of(works[0]), kinds)]
        found = nearly(eased, budget)
        if found:
            return [_besides(job, miss, kinds) for miss in found]
    return []


def both(first: Miss, then: Miss) -> Miss:
    """Two changes that are needed together, as one miss of the first one's rig."""
    begun, ended = (m.change.text.removeprefix(TOGETHER) for m in (first, then))
    short = [m.short_by for m in (first, then) if m.short_by != YES_OR_NO]
    return replace(
        first,
        limit=f"{first.limit} and {then.limit}",
        text=f"{first.text}; and {then.text}",
        short_by=max(short, default=YES_OR_NO),
        # What nobody can bring about is not cured by something else besides.
        change=replace(first.change, text=f"{TOGETHER}{begun}; and {ended}" if begun else ""),
    )


TOGETHER = "together: "
"""Beginning of the words for changes that suffice only together."""


def _besides(job: Job, miss: Miss, kinds: Sequence[Obstruction]) -> Miss:
    cleared = _cleared(job, miss.walk, kinds)
    return both(miss, cleared) if cleared.change.text else miss


def _cleared(job: Job, walk: Walk, kinds: Sequence[Obstruction]) -> Miss:
    """The miss of a rig that needs some obstructions cleared; without a change where it meets none."""
    found = _meetings(job, walk)
    texts: list[str] = []
    changes: list[Change] = []
    limits: list[str] = []
    for obstruction in kinds:
        ways = [one for one in found if one.way.kind == obstruction.kind]
        if not ways:
            continue
        texts += _all_worded(ways, job.units)
        changes.append(obstruction.cleared(job, walk, [one.way for one in ways]))
        limits.append(obstruction.name)
    text = "; and ".join(change.text for change in changes)
    return Miss(
        walk=walk,
        limit=names(limits),
        text="; ".join(texts),
        short_by=YES_OR_NO,
        change=Change(
            text=f"{TOGETHER}{text}" if len(changes) > 1 else text,
            amount=changes[0].amount if changes else 0.0,
            unit=changes[0].unit if changes else "",
        ),
    )


def _all_worded(ways: Sequence[_Met], units: str) -> Iterator[str]:
    """The first line that meets each thing, and which others do."""
    seen: dict[str, list[_Met]] = {}
    for one in ways:
        seen.setdefault(one.way.what, []).append(one)
    for first, *others in seen.values():
        text = first.worded(units)
        ends = list(dict.fromkeys(other.last for other in others if other.last != first.last))
        if ends:
            text += f" (the {'line' if len(ends) == 1 else 'lines'} to {names(ends)} too)"
        yield text


def _meetings(job: Job, walk: Walk) -> list[_Met]:
    """What the lines of a walk meet, each line once; with the way of taking hold of the load that meets the
    least."""
    best: list[_Met] | None = None
    for row in rigs(job, walk):
        found: dict[tuple[str, ...], _Met] = {}
        for segment in range(len(walk) - 1):
            a, b = walk[segment], walk[segment + 1]
            first, last = (b, a) if b.kind is PlaceKind.LOAD else (a, b)
            ends = (_called(first), _called(last))
            for way in met(row, segment):
                found.setdefault((*sorted(ends), way.what), _Met(*ends, way))
        here = sorted(found.values(), key=lambda one: -one.way.by)
        if best is None or len(here) < len(best):
            best = here
    return best or []


def _called(place: Place) -> str:
    return THE_LOAD if place.kind is PlaceKind.LOAD else str(place)


def _higher(job: Job, budget: Budget) -> Iterator[Miss]:
    """A strap on a tree higher up than the file allows, so that its line runs free of the ground."""
    if GROUND.without(job, budget) is None:
        return
    site = _with_higher_straps(job.site)
    for filled in budget.search(replace(job, site=site), top=1)[0]:
        walk = walk_of(filled)
        clauses, most = [], 0.0
        for place in dict.fromkeys(p for p in walk if p.kind is PlaceKind.ANCHOR):
            over = place.height - max(job.site.anchor(place.name).heights)
            if over > 1e-9:
                by = show(over, Dimension.LENGTH, job.units, Rounding.UP)
                at = show(place.height, Dimension.LENGTH, job.units)
                clauses.append(
                    f"the strap on {place.name} at {at}, {by} higher than the file allows"
                )
                most = max(most, over)
        if clauses:
            yield Miss(
                walk=walk,
                limit="height of a strap",
                text="from where the straps may go, lines would meet the ground",
                short_by=YES_OR_NO,
                change=Change(text=names(clauses), amount=most, unit="m"),
            )


def _with_higher_straps(site: Site) -> Site:
    def higher(anchor: Anchor) -> Anchor:
        highest = max(anchor.heights)
        if anchor.kind is not AnchorKind.TREE or anchor.top <= highest:
            return anchor
        top = min(REACH, anchor.top)
        many = int((top - highest) / HIGHER_BY)
        more = tuple(round(highest + HIGHER_BY * (i + 1), 2) for i in range(many))
        return cast(Anchor, replace(cast(Any, anchor), heights=(*anchor.heights, *more)))

    return replace(site, anchors=tuple(higher(anchor) for anchor in site.anchors))
