"""Finds near misses for lowering: relaxes one kind of limit at a time and reports the smallest overrun
first."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import ceil, sqrt

from catalogue.gear import Block
from optimiser.jobs.lower.build import build
from optimiser.jobs.lower.hold_job import HoldJob
from optimiser.jobs.why import job as explained
from optimiser.jobs.why.limits import PIECES, Limit, RopeLength, SidePull
from optimiser.jobs.why.rating_limits import Rating, anchors
from optimiser.rig.gear.assign import Filled
from optimiser.rig.ground.scene import Scene
from optimiser.rig.setup import names
from optimiser.search.clock import Clock
from optimiser.site.roaming.stands import puller_of
from shared.units import Dimension, Rounding, show

PATIENCE = 4.0
"""Effort for one stretch."""
SHARE = 0.25
"""Share of the time or effort left that one search may take."""
NO_LIMIT = 1000.0
CLOSE = 1.01
"""Between a factor that does not do and one that does: no closer is looked for."""
MOST_BLOCKS = 3
HUNDREDTHS = 100.0


@dataclass(frozen=True)
class _Kind:
    """One kind of limit: the job and its scenes with it moved by a factor, and what that means."""

    name: str
    moved: Callable[[float], tuple[HoldJob, Sequence[Scene]]]
    worded: Callable[[float, Filled], str]


@dataclass(frozen=True, slots=True)
class Nearest:
    """What would do by itself, in words, the least first; `late`: the time ran out before all was
    looked at."""

    lines: tuple[str, ...]
    late: bool


def cures(job: HoldJob, scenes: Sequence[Scene]) -> Nearest:
    """For each kind of limit by itself, how far it has to be moved for one hold over the scenes'
    stretch."""
    clock = job.clock.within(PATIENCE)
    found: list[tuple[float, str]] = []
    late = False
    for kind in _kinds(job, scenes):
        factor, filled, sure = _least(kind, clock)
        late = late or not sure
        if factor is not None and filled is not None:
            text = kind.worded(factor, filled)
            found += [(factor, f"{text} ({kind.name})")] if text else []
    blocks = _blocks(job, scenes, clock)
    if blocks is not None:
        found.append(blocks)
    return Nearest(tuple(text for _, text in sorted(found)), late or not clock.runs())


def _least(kind: _Kind, clock: Clock) -> tuple[float | None, Filled | None, bool]:
    """The least factor that does, in hundredths, a hold that does with it, and whether every answer was
    sure."""
    if not clock.runs():
        return None, None, False
    sure, last = True, None

    def does(factor: float) -> bool:
        nonlocal sure, last
        job, scenes = kind.moved(factor)
        found, known = _held(job, scenes, clock)
        sure = sure and (found is not None or known)
        last = last if found is None else found
        return found is not None

    if not does(NO_LIMIT):
        return None, None, sure
    low, high = 1.0, NO_LIMIT
    while high / low > CLOSE and clock.runs():
        middle = sqrt(low * high)
        low, high = (low, middle) if does(middle) else (middle, high)
    rounded = ceil(high * HUNDREDTHS) / HUNDREDTHS
    return rounded, last, sure and high / low <= CLOSE


def _held(job: HoldJob, scenes: Sequence[Scene], clock: Clock) -> tuple[Filled | None, bool]:
    """A hold, if one is found, and whether it is known that there is none."""
    own = clock.share(SHARE)
    return job.timed(own).best(scenes), not own.stopped


def _kinds(job: HoldJob, scenes: Sequence[Scene]) -> Iterator[_Kind]:
    units = job.site.preferences.units
    longest = max(job.kit.ropes, key=lambda r: r.length or 0.0, default=None)

    def by(limit: Limit, factor: float) -> tuple[HoldJob, Sequence[Scene]]:
        return _moved(job, scenes, limit, factor)

    if longest is not None:
        length = longest.length or 0.0

        def more(factor: float, filled: Filled) -> str:
            extra = show(length * (factor - 1.0), Dimension.LENGTH, units, Rounding.UP)
            return f"{extra} more rope like {longest.name}"

        yield _Kind(RopeLength().name, lambda f: by(RopeLength(), f), more)

    def handed(factor: float) -> tuple[HoldJob, Sequence[Scene]]:
        return replace(job, hand=replace(job.hand, most=job.hand.most * factor)), scenes

    def hand(factor: float, filled: Filled) -> str:
        force = show(job.hand.most * factor, Dimension.FORCE, units, Rounding.UP)
        return f'{force} in the hand, such as with a second person on the rope (--hold "{force}")'

    yield _Kind("hold of the hand", handed, hand)
    for limit in (anchors(), *PIECES):
        yield _Kind(limit.name, partial(by, limit), partial(_stronger, job, limit))

    def aside(factor: float, filled: Filled) -> str:
        p = job.site.preferences
        rolling = job.site.load.wheel_radius is not None
        most = (p.side_pull_rolling if rolling else p.side_pull_sliding) * factor
        return (
            f"somebody who guides it where the line pulls up to {most:.2f} sideways for 1 along the path, "
            "or an anchor nearer to the line of the path"
        )

    yield _Kind(SidePull().name, lambda f: by(SidePull(), f), aside)


def _stronger(job: HoldJob, limit: Rating, factor: float, filled: Filled) -> str:
    """What would have to stand how much in the place of what, for a hold found with its limit moved by a
    factor; "" where nobody could bring that about."""
    stations = filled.variant.row.scene.stations
    explaining = explained.Job.of(job.site, job.rules, kit=job.kit, stations=stations)
    parts = build(filled, rank=1, hand_source="site").components
    short = limit.short_of(parts, explaining, factor)
    changes = [limit.cure(part, need, explaining).text for need, part in short]
    return names(list(dict.fromkeys(changes))) if all(changes) else ""


def _moved(
    job: HoldJob, scenes: Sequence[Scene], limit: Limit, factor: float
) -> tuple[HoldJob, Sequence[Scene]]:
    """The job with one limit moved, over the same stretch. The site of a scene may have a hand of its
    own as the puller: what is moved is all but that."""
    out = []
    stations = scenes[0].stations
    explaining = explained.Job.of(job.site, job.rules, kit=job.kit, stations=stations)
    eased = limit.relaxed(explaining, factor)
    for scene in scenes:
        attachment = replace(
            scene.attachment,
            hitches=tuple(
                next(h for h in eased.site.load.hitches if h.name == old.name)
                for old in scene.attachment.hitches
            ),
        )
        puller = scene.puller
        if any(p.name == puller.name for p in eased.site.pullers):
            puller = puller_of(eased.site, puller)
        out.append(replace(scene, site=eased.site, attachment=attachment, puller=puller))
    return replace(job, site=eased.site, kit=eased.kit), out


def _blocks(job: HoldJob, scenes: Sequence[Scene], clock: Clock) -> tuple[float, str] | None:
    """The fewest more blocks of the kinds at hand."""
    own = [p for p in job.kit.pieces if isinstance(p.gear, Block) and p.count > 0]
    for many in range(1, MOST_BLOCKS + 1 if own else 1):
        pieces = tuple(
            replace(p, count=p.count + many) if isinstance(p.gear, Block) else p
            for p in job.kit.pieces
        )
        more = replace(job, kit=replace(job.kit, pieces=pieces))
        if clock.runs() and _held(more, scenes, clock)[0] is not None:
            have = sum(p.count for p in own)
            plural = "block" if many == 1 else "blocks"
            return (
                have + many
            ) / have, f"{many} more {plural} like those at hand (number of blocks)"
    return None
