"""Plans the way down in stages, where no one hold does all of it.

Whatever holds over a stretch also holds over a part of it, so going as far as any hold can, stage
after stage, takes the fewest stages. Within that number a stage rather ends where the load rests by
itself than where it has to be chocked against running.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optimiser.jobs.lower.nearly import cures
from optimiser.mechanics.arrays import Array, Numbers
from optimiser.rig.forces.lowering import LoweringEvaluation, evaluate_lowering
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.ground.scene import Scene
from optimiser.search.lowering.fill import Tally, patterns_of, variants_of, works
from optimiser.search.lowering.hold_search import Job, search
from optimiser.search.lowering.walks import Field
from shared.units import Dimension, show

CHUNK = 200
ENOUGH = 300_000
"""Walks looked at for the reason why none holds."""
FEW = 3_000
"""Walks that are evaluated for it."""
EVEN = 20
"""Of walks that fail in equally many states so many are ranked by how much they fail."""


@dataclass(frozen=True, kw_only=True)
class Staged:
    """The stages from the top down; `stuck_at`: m along the path beyond which none gets."""

    filled: tuple[Filled, ...]
    stuck_at: float | None
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True)
class Candidate:
    """A walk that works at every station from `reach` to the top of its stage."""

    reach: int
    rope: float
    field: Field
    walk: Numbers
    etas: Array


def plan_stages(job: Job, scenes: Sequence[Scene]) -> Staged:
    """The plan with the fewest stages; unrated pieces only where rated ones do not get down. Where none
    gets all the way, what comes nearest is reported with it."""
    plan = _plan(job, scenes, rated=True)
    if plan.stuck_at is None or not job.clock.runs():
        return plan
    loose = _plan(job, scenes, rated=False)
    if loose.stuck_at is None or loose.stuck_at < plan.stuck_at - 1e-9:
        plan = loose
    if plan.stuck_at is None or not job.clock.runs():
        return plan
    return replace(plan, reasons=plan.reasons + _nearly(job, scenes, plan.stuck_at))


def _plan(job: Job, scenes: Sequence[Scene], *, rated: bool) -> Staged:
    at = scenes[0].stations.at
    tops, ends = [len(at) - 1], []
    stuck: float | None = None
    while tops[-1] > 0 and job.clock.runs():
        top = tops[-1]
        reach = _furthest(job, scenes, top, rated=rated)
        if reach is None:
            stuck = float(at[top])
            break
        ends.append(reach)
        if reach == 0:
            break
        # A corner of the path is two stations; the next stage may begin with either direction.
        tops.append(reach - 1 if at[reach - 1] >= at[reach] - 1e-9 else reach)
    if not job.clock.runs() and (not ends or ends[-1] > 0):
        stuck = float(at[tops[-1]])
    ends = _rest_if_possible(job, scenes, tops, ends, rated=rated)
    filled = []
    for top, end in zip(tops, ends, strict=False):
        best = _best(job, scenes, end, top, rated=rated)
        if best is None:
            stuck = float(at[top])
            break
        filled.append(best)
    why = () if stuck is None else _why(job, scenes, tops[-1])
    return Staged(filled=tuple(filled), stuck_at=stuck, reasons=why)


def _furthest(job: Job, scenes: Sequence[Scene], top: int, *, rated: bool) -> int | None:
    """The lowest station that any hold gets the load to from station `top`."""
    upper = [s.with_stations(s.stations.pick(slice(0, top + 1))) for s in scenes]
    first = _first_below(upper[0])
    if first is None:
        return 0
    found: list[Candidate] = []
    for field in job.fields(upper, rated=rated, lowest=first):
        found += _candidates(job, field, first)
    found.sort(key=lambda c: (c.reach, c.rope))
    best: int | None = None
    for candidate in found:
        if best is not None and candidate.reach >= best:
            break
        if not job.clock.runs():
            break
        reach = _confirmed(job, candidate, first if best is None else best - 1)
        if reach is not None:
            best = reach
    return best


def _first_below(scene: Scene) -> int | None:
    """The next station below the last one, corners of the path aside."""
    at = scene.stations.at
    below = np.flatnonzero(at < at[-1] - 1e-9)
    return int(below[-1]) if len(below) else None


def _candidates(job: Job, field: Field, first: int) -> list[Candidate]:
    """Walks with how far each may get, gear other than rope and anchors left aside."""
    out = []
    scene = field.scene
    for walks, bound in field.walks(lambda b: b.hopeful(job.order, None, field.floor)):
        if not job.clock.runs():
            break
        patterns = patterns_of(field.kit, walks.shape[1] - 2)
        if not len(patterns):
            continue
        for begin in range(0, len(walks), CHUNK):
            some = slice(begin, begin + CHUNK)
            rows = np.repeat(walks[some], len(patterns), axis=0)
            etas = np.tile(patterns, (len(walks[some]), 1))
            rated, free = evaluate_lowering(scene, rows, etas)
            good = _pointwise(field, rated, free)
            # The lowest station from which all up to the top are good.
            broken = np.where(~good, np.arange(good.shape[1])[None, :], -1).max(axis=1)
            ropes = np.repeat(bound.rope[some], len(patterns))
            out += [
                Candidate(int(broken[i]) + 1, float(ropes[i]), field, rows[i], etas[i])
                for i in np.flatnonzero(broken < first)
            ]
    return out


def _pointwise(field: Field, rated: LoweringEvaluation, free: LoweringEvaluation) -> np.ndarray:
    """(n, S) where a walk works, and hand, puller, rope and anchors stand it, piece by piece."""
    scene = field.scene
    shape = (len(rated.walks), len(scene.stations), len(scene.spots))
    good = works(rated, free)
    line = np.maximum(rated.pull, free.pull)
    if field.by_puller:
        good = good & (line * field.floor <= rated.puller_limit * (1.0 + 1e-9))
    else:
        good = good & (line * field.floor <= field.hand.most * field.ratio * (1.0 + 1e-9))
    rows = np.arange(len(rated.walks))
    for ev in (rated, free):
        stood = ev.anchor_margin(rows, by_state=True)
        good = good & (field.floor <= stood * (1.0 + 1e-9))
    owned = max((r.length or 0.0 for r in field.kit.ropes), default=0.0)
    girth = np.zeros(len(rated.walks))
    if not field.by_puller:
        ends = scene.anchor_of[rated.walks[:, -1]]
        girth = np.array([scene.site.anchors[int(a)].girth or 0.0 for a in ends])
    needed = rated.total_length + scene.site.preferences.rope_spare + girth[:, None]
    good = good & (needed <= owned + 1e-9)
    return np.asarray(good.reshape(shape).all(axis=2))


def _confirmed(job: Job, candidate: Candidate, last: int) -> int | None:
    """The lowest station from `candidate.reach` up to `last` down to which gear can be found."""
    low, high = candidate.reach, last
    if _filling(job, candidate, low) is not None:
        return low
    if low >= high or _filling(job, candidate, high) is None:
        return None
    while high - low > 1:  # low has none, high has one
        middle = (low + high) // 2
        if _filling(job, candidate, middle) is None:
            low = middle
        else:
            high = middle
    return high


def _filling(job: Job, candidate: Candidate, end: int) -> Filled | None:
    """Gear for a walk down to station `end`."""
    field = candidate.field
    scene = field.scene.with_stations(field.scene.stations.pick(slice(end, None)))
    rated, free = evaluate_lowering(scene, candidate.walk[None, :], candidate.etas[None, :])
    if not works(rated, free).all():
        return None
    found = variants_of(rated, free, 0, field.kit, field.hand)
    return Filler(job.order, field.floor).any_of(found)


def _best(job: Job, scenes: Sequence[Scene], end: int, top: int, *, rated: bool) -> Filled | None:
    """The best hold over one stage."""
    stretch = [s.with_stations(s.stations.pick(slice(end, top + 1))) for s in scenes]
    found = search(job, job.fields(stretch, rated=rated), 1, Tally())
    return found[0].filled if found else None


def _rest_if_possible(
    job: Job, scenes: Sequence[Scene], tops: list[int], ends: list[int], *, rated: bool
) -> list[int]:
    """Stage ends moved up to where the load rests, where the next stage then still gets as far.
    `tops` is changed with them."""
    running = scenes[0].stations.held_back > 0.0
    ends = list(ends)
    for k in range(len(ends) - 2, -1, -1):
        end = ends[k]
        if not running[end]:
            continue
        resting = [i for i in range(end + 1, tops[k]) if not running[i]]
        if resting and _best(job, scenes, ends[k + 1], resting[0], rated=rated) is not None:
            ends[k] = tops[k + 1] = resting[0]
    return ends


def _nearly(job: Job, scenes: Sequence[Scene], stuck_at: float) -> tuple[str, ...]:
    """What would let it down the rest of the way in one hold, or else at least the next piece of it."""
    at = scenes[0].stations.at
    top = int(np.flatnonzero(at <= stuck_at + 1e-9)[-1])
    upper = [s.with_stations(s.stations.pick(slice(0, top + 1))) for s in scenes]
    next_one = _first_below(upper[0])
    units = job.site.preferences.units
    lines: list[str] = []
    for begin in dict.fromkeys((0, next_one or 0)):
        rest = [s.with_stations(s.stations.pick(slice(begin, top + 1))) for s in scenes]
        ends = [show(float(at[s]), Dimension.LENGTH, units) for s in (top, begin)]
        nearest = cures(job, rest)
        if nearest.lines:
            rows = [
                f"from {ends[0]} down to {ends[1]} one hold would do with {x}"
                for x in nearest.lines
            ]
            lines += rows
        else:
            found = (
                "was found that would do; not all were looked at"
                if nearest.late
                else "by itself would do"
            )
            lines.append(
                f"from {ends[0]} down to {ends[1]} no one change of rope, hand, blocks, ratings, trees or "
                f"side pull {found}"
            )
        if nearest.lines and nearest.late:
            lines.append("not all of that was looked at, so less may do")
        if nearest.lines:
            break
    return tuple(lines)


def _why(job: Job, scenes: Sequence[Scene], top: int) -> tuple[str, ...]:
    """What stops every hold at a station, the nearest to working first."""
    upper = [s.with_stations(s.stations.pick(slice(0, top + 1))) for s in scenes]
    first = _first_below(upper[0])
    fields = job.fields(upper, rated=False, lowest=first or 0)
    if not fields:
        return ("there is no tree or post to turn the rope round, and no puller that pays out",)
    rope_short, hand, by_hand = float("inf"), float("inf"), False
    looked = 0
    owned = max((r.length or 0.0 for r in job.kit.ropes), default=0.0)
    nearest: list[_Nearest] = []
    for field in fields:
        loose = Field(
            scene=field.scene,
            kit=field.kit,
            rules=field.rules,
            hand=field.hand,
            ends=field.ends,
            sheaves=field.sheaves,
            floor=0.0,
            only_rated=False,
            lowest=field.lowest,
        )
        for walks, bound in loose.walks(lambda b: b.margin >= -1.0):
            looked += len(bound.rope)
            if looked > ENOUGH:
                break
            rope_short = min(rope_short, float((bound.rope - owned).min()))
            fits = bound.rope <= owned + 1e-9
            if fits.any() and not field.by_puller:
                by_hand = True
                hand = min(hand, float(bound.force[fits].min()))
            if fits.any() and looked <= FEW:
                nearest += _nearest(loose, walks[fits])
    if rope_short == float("inf"):
        return ("no line from the load runs free of trunks and ground to anything that holds",)
    if rope_short > 0.0:
        return (f"every rope is too short by {rope_short:.2f} m or more",)
    if by_hand and hand == float("inf"):
        return ("however hard it is held, no line that runs free there holds the load back",)
    if by_hand and hand > field.hand.most:
        return (f"the hand would have to hold {hand:.0f} N or more",)
    best = min(nearest, key=lambda one: (one.failing, one.amount), default=None)
    if best is not None and best.words:
        return (f"no line that is long enough lets it down there: with the nearest {best.words}",)
    return ("no gear at hand stands it: a tree, a strap, a block or an end gives out",)


@dataclass(frozen=True, slots=True)
class _Nearest:
    """A walk that fails in few states: in how many, and what fails first, by how much ("": nothing)."""

    failing: int
    amount: float
    words: str


def _nearest(field: Field, walks: Numbers) -> Iterator[_Nearest]:
    """The nearest to working of some walks of equal length, over the stretch that they are bounded on."""
    patterns = patterns_of(field.kit, walks.shape[1] - 2)
    if not len(patterns):
        return
    scene = field.scene.with_stations(field.scene.stations.pick(slice(field.lowest, None)))
    for begin in range(0, len(walks), CHUNK):
        some = walks[begin : begin + CHUNK]
        rated, free = evaluate_lowering(scene, some, np.repeat(patterns[:1], len(some), axis=0))
        failing = (~works(rated, free)).sum(axis=1)
        for row in np.flatnonzero(failing == failing.min())[:EVEN]:
            found = [failure for ev in (rated, free) if (failure := ev.verdict.first(int(row)))]
            first = min(found, key=lambda failure: failure.state, default=None)
            if first is None:
                yield _Nearest(0, 0.0, "")
            else:
                yield _Nearest(int(failing[row]), first.amount, first.text)
