"""Compares the ways down that the one search lists with those of another prover: walks grown and bounded by
`tests.lower.field`, confirmed one after the other.

`python -m tests.lower.second_prover --sites 500` does it on so many made-up sites.
"""

import argparse
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import isclose

import numpy as np

from optimiser.jobs.lower.hold_job import ORDER
from optimiser.jobs.lower.zones import held_stretch
from optimiser.mechanics.arrays import Mask, Numbers
from optimiser.rig.forces.duty import Duty
from optimiser.rig.forces.evaluate import evaluate
from optimiser.rig.forces.evaluation import Evaluation
from optimiser.rig.forces.holders import hand, hand_limit, paying_out
from optimiser.rig.gear.assign import Filled
from optimiser.rig.gear.filler import Filler
from optimiser.rig.gear.kit import Kit, kit_of
from optimiser.rig.gear.row import RigRow
from optimiser.rig.gear.slots import Variant
from optimiser.rig.gear.turns import let_down_variants
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import edgings
from optimiser.rig.ground.scene import Scene, over_edges
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.rig.walk import Walk
from optimiser.search.board import Board
from optimiser.search.clock import Clock
from optimiser.search.line import letting_down
from optimiser.search.listing import Wanted, best_listed, settled
from optimiser.search.rules import Rules, same_setup
from optimiser.site.model import Site
from tests.lower.field import Bound, Field
from tests.lower.small_sites import small_site

CHUNK = 200
SHEAVES = 2
TOP = 6


def patterns_of(kit: Kit, sheaves: int) -> np.ndarray:
    """(q, m) efficiencies of the sheaves along a walk that the blocks at hand allow."""
    found = list(eta_patterns(kit, sheaves))
    return np.array(found, dtype=float).reshape(len(found), sheaves)


@dataclass
class Confirmer:
    """Evaluates complete walks of one field and offers what works to the board."""

    field: Field
    board: Board
    order: Order

    @cached_property
    def filler(self) -> Filler:
        return Filler(self.order, self.field.floor)

    def take(self, walks: Numbers, bound: Bound) -> None:
        """Look at complete walks (n, m + 2) with their bounds, the most hopeful first."""
        ranked = bound.ranked(self.order)
        patterns = patterns_of(self.field.kit, walks.shape[1] - 2)
        each = max(CHUNK // max(len(patterns), 1), 1)
        for begin in range(0, len(ranked), each):
            part = ranked[begin : begin + each]
            keep = bound.pick(part).hopeful(self.order, self.board.limit, self.field.floor)
            part = part[keep]
            if not len(part) or not len(patterns):
                continue
            rows = np.repeat(walks[part], len(patterns), axis=0)
            etas = np.tile(patterns, (len(part), 1))
            ev = evaluate(self.field.scene, rows, etas, Duty.LOWER)
            sharp = self._sharper(ev)
            for index in np.flatnonzero(ev.works.all(axis=1)):
                one = sharp.pick(np.array([index]))
                if one.hopeful(self.order, self.board.limit, self.field.floor)[0]:
                    self._confirm(ev, int(index), one)

    def _sharper(self, rated: Evaluation) -> Bound:
        """The bounds of evaluated walks: by their lines and lengths at every station, and with what
        their anchors stand."""
        free = rated.twin
        assert free is not None
        line = np.maximum(rated.pull.max(axis=1), free.pull.max(axis=1))
        near = rated.total_length[:, rated.states.spot == 0].max(axis=1)
        bound = self.field.bound_of(line, near, rated.walks[:, -1])
        rows = np.arange(len(rated.walks))
        anchors = np.minimum(rated.anchor_margin(rows), free.anchor_margin(rows))
        return Bound(np.minimum(bound.margin, anchors), bound.force, bound.rope)

    def _confirm(self, rated: Evaluation, index: int, bound: Bound) -> None:
        kit, floor = self.field.kit, self.field.floor
        identity = identity_of(rated.scene, rated.walks[index])
        known = self.board.best_of(identity)
        if known is not None and not bound.hopeful(self.order, known.sort, floor)[0]:
            return
        able = (
            variant
            for variant in let_down_variants(RigRow(rated, index), kit, self.field.hand)
            if variant.fixed_margin >= floor and not self._too_late(variant, identity)
        )
        self.board.fill(identity, able, self.filler)

    def _too_late(self, variant: Variant, identity: tuple[object, ...]) -> bool:
        """Whether the variant is beaten already, whatever gear it gets."""
        best = self.filler.sort(variant, variant.fixed_margin)
        held = self.board.best_of(identity)
        if held is not None and best > held.sort:
            return True
        return self.board.limit is not None and best > self.board.limit


def identity_of(scene: Scene, numbers: Numbers) -> tuple[object, ...]:
    """Returns the mark of a setup: trees and reeving, and what holds."""
    return (*same_setup(scene.walk([int(i) for i in numbers])), scene.puller.name)


def scenes_of(site: Site) -> list[Scene]:
    """Every way to take hold of the load, with each that may hold the rope, where it has to be held."""
    stations, kit = lay_stations(site), kit_of(site)
    out = [
        scene
        for attachment in attachments(site)
        for puller in (hand(site), *paying_out(site))
        for scene in over_edges(Scene(site, stations, attachment, puller), edgings(site, kit))
    ]
    stretch = held_stretch(out[0])
    if stretch is None:
        return []
    return [scene.with_stations(scene.stations.pick(stretch)) for scene in out]


def fields_of(site: Site, scenes: Sequence[Scene], *, rated: bool) -> Iterator[Field]:
    """One field for each scene that has something to hold with."""
    kit = kit_of(site).rated_only if rated else kit_of(site)
    for scene in scenes:
        ends = held_at(scene, only_rated=rated)
        if ends and (scene.rated or not rated):
            yield Field(
                scene=scene,
                kit=kit,
                rules=Rules.of(site.preferences.rules),
                hand=hand_limit(site.preferences, None),
                ends=ends,
                sheaves=min(SHEAVES, kit.sheave_count),
                floor=site.preferences.margin_wanted,
                only_rated=rated,
            )


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


@dataclass(frozen=True)
class Listed:
    """One way down of a list."""

    walk: Walk
    margin: float
    sort: tuple[float, ...]


def proved(site: Site) -> list[Listed]:
    """The best ways down of the whole path by this prover."""
    order = Order(ORDER, site.preferences.enough)
    scenes = scenes_of(site)
    rated = best_rigs(site, scenes, order, TOP, rated=True)
    more = []
    if len(rated) < TOP:
        loose = best_rigs(site, scenes, order, 2 * TOP, rated=False)
        more = [filled for filled in loose if filled.unrated][: TOP - len(rated)]
    return [_listed(filled, order) for filled in (*rated, *more)]


def best_rigs(
    site: Site, scenes: Sequence[Scene], order: Order, top: int, *, rated: bool
) -> list[Filled]:
    board = Board(order, top, everything=True)
    for field in fields_of(site, scenes, rated=rated):
        confirmer = Confirmer(field, board, order)
        for walks, bound in field.walks(_hopeful(order, board, field.floor)):
            confirmer.take(walks, bound)
    filler = Filler(order, site.preferences.margin_wanted)
    return [filler.settled(entry.filled, entry.rivals) for _, entry in board.leaders()]


def _hopeful(order: Order, board: Board, floor: float) -> Callable[[Bound], Mask]:
    return lambda bound: bound.hopeful(order, board.limit, floor)


def _listed(filled: Filled, order: Order) -> Listed:
    row = filled.variant.row
    sort = Filler(order, 0.0).sort(filled.variant, filled.margin)
    return Listed(row.scene.walk(row.numbers), filled.margin, sort)


def searched(site: Site) -> list[Listed]:
    """The same by the one search of the program."""
    limit = hand_limit(site.preferences, None)
    order = Order(ORDER, site.preferences.enough, comfort=limit.comfort)
    scenes = scenes_of(site)
    if not scenes:
        return []
    wanted = Wanted(
        top=TOP,
        order=order,
        floor=site.preferences.margin_wanted,
        everything=True,
        join_ropes=False,
        line=letting_down(limit, SHEAVES),
    )
    clock, rules = Clock(None, None), Rules.of(site.preferences.rules)
    found = best_listed(site, scenes, kit_of(site), rules, wanted, clock)
    assert found.proven
    return [_listed(filled, order) for filled, _ in settled(found, wanted, clock)]


def differences(theirs: Sequence[Listed], mine: Sequence[Listed]) -> list[str]:
    """Where one list is not the other: other figures, or other ways with the same figures."""
    if len(mine) != len(theirs):
        return [f"{len(theirs)} ways in place of {len(mine)}"]
    out = [
        f"margin {its.margin} in place of {one.margin}"
        for one, its in zip(mine, theirs, strict=True)
        if not isclose(one.margin, its.margin, rel_tol=1e-9)
    ]
    if [one.walk for one in mine] != [its.walk for its in theirs]:
        out.append("other walks, or in another order")
    return out


def main() -> int:
    parser = argparse.ArgumentParser(description="ways down by two provers")
    parser.add_argument("--sites", type=int, default=500)
    parser.add_argument("--first", type=int, default=0)
    options = parser.parse_args()
    bad = held = 0
    for seed in range(options.first, options.first + options.sites):
        site = small_site(seed)
        found = searched(site)
        held += bool(found)
        for line in differences(found, proved(site)):
            bad += 1
            print(f"site {seed}: {line}", flush=True)
    print(f"{options.sites} sites, {held} with ways down; {bad} differences")
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
