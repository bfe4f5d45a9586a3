"""Defines what a search for a hold is over, and runs it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite

from optimiser.mechanics.arrays import Mask
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.rig.order import Order
from optimiser.rig.status import Unsearched
from optimiser.search.board import Board, Entry
from optimiser.search.clock import Clock
from optimiser.search.lowering.fill import Confirmer, Tally
from optimiser.search.lowering.holders import HandLimit
from optimiser.search.lowering.walks import Bound, Field
from optimiser.search.rules import Rules
from optimiser.site.model import Site


@dataclass(frozen=True, kw_only=True)
class Job:
    """Site, gear, limits and order of one search."""

    site: Site
    kit: Kit
    hand: HandLimit
    order: Order
    rules: Rules
    sheaves: int
    clock: Clock

    def fields(self, scenes: Sequence[Scene], *, rated: bool, lowest: int = 0) -> list[Field]:
        """One field for each scene that has something to hold with.

        `rated`: only what has a rating; `lowest`: station from which up a walk has to work.
        """
        fields = [
            Field(
                scene=scene,
                kit=self.kit.rated_only if rated else self.kit,
                rules=self.rules,
                hand=self.hand,
                ends=held_at(scene, only_rated=rated),
                sheaves=min(self.sheaves, self.kit.sheave_count),
                floor=self.site.preferences.margin_wanted,
                only_rated=rated,
                lowest=lowest,
            )
            for scene in scenes
            if not rated or _rated(scene)
        ]
        return [field for field in fields if field.ends]


def held_at(scene: Scene, *, only_rated: bool) -> tuple[int, ...]:
    """Numbers of the places where the rope may be held: trunks to turn it round, or the puller."""
    if scene.puller.needs_termination:
        return (scene.puller_number,)
    out = []
    for number, a in enumerate(scene.anchor_of[:-1]):
        if a < 0:
            continue
        anchor = scene.site.anchors[int(a)]
        known = anchor.strength.capacity is not None or not only_rated
        if known and anchor.ties_round:
            out.append(number)
    return tuple(out)


FIRST = 1
"""Sheaves of the walks that are looked at before all others: they make a good list early."""


def search(job: Job, fields: Sequence[Field], top: int, tally: Tally) -> list[Entry]:
    """The `top` best holds over some fields, best first. Complete unless the clock ran out."""
    board = Board(job.order, top, everything=True)
    for least, most in ((0, FIRST), (FIRST + 1, 99)):
        for field in fields:
            confirmer = Confirmer(field, board, job.order, tally)
            hopeful = _hopeful(job.order, board, field.floor)
            for walks, bound in field.walks(hopeful, least=least, most=most):
                if not job.clock.runs():
                    break
                job.clock.report(f"{tally.looked_at} walks looked at, {len(board.entries)} found")
                confirmer.take(walks, bound)
    return [entry for _, entry in board.leaders()]


def at_best(fields: Sequence[Field]) -> Unsearched | None:
    """Returns what no hold of some fields can better, looked at or not; None where nothing is known of it."""
    bounds = [field.best for field in fields]
    margins = [float(bound.margin.max()) for bound in bounds]
    ropes = [float(bound.rope.min()) for bound in bounds]
    if not bounds or not isfinite(max(margins)) or not isfinite(min(ropes)):
        return None
    return Unsearched(margin=max(margins), rope=max(min(ropes), 0.0))


def final(entry: Entry, job: Job) -> Filled:
    """The best filling of a listed hold: what is shown."""
    filler = Filler(job.order, job.site.preferences.margin_wanted)
    return filler.settled(entry.filled, entry.rivals)


def _hopeful(order: Order, board: Board, floor: float) -> Callable[[Bound], Mask]:
    return lambda bound: bound.hopeful(order, board.limit, floor)


def _rated(scene: Scene) -> bool:
    puller = scene.puller
    hitch = not puller.needs_termination or puller.has_hook or puller.hitch_rating is not None
    return hitch and not scene.attachment.unrated
