"""Every walk under the rules, without a bound: in arrays, and in plain Python.

In arrays: every walk goes through the evaluator at every station; the gear is then given out as the
search does it. What this shares with the search are the forces and the gear, not how walks are found.
"""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

import numpy as np

from optimiser.mechanics.arrays import Numbers
from optimiser.rig.forces.evaluate import CHUNK, evaluate
from optimiser.rig.gear.kit import kit_of
from optimiser.rig.gear.variants import eta_patterns
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.order import Order
from optimiser.rig.setup import Ranking
from optimiser.search.board import Board
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.leaves import one_rope
from optimiser.search.made_rigs import numbers_of
from optimiser.search.rules import Rules, same_setup
from optimiser.search.sought import Tally
from optimiser.site.model import Site
from tests.oracle.enumeration import enumerate_setups
from tests.oracle.ground import grips, stations
from tests.oracle.mechanics import Scene as PlainScene
from tests.oracle.walks import allowed, walks

Listed = list[tuple[object, tuple[float, ...]]]


def listed(ranking: Ranking, order: Order) -> Listed:
    """A ranking as the identities of its setups and what they are ranked by."""
    out: Listed = []
    for s in ranking:
        counts = {
            "margin": float(5 * s.marked_down - order.band_of(s.margin)),
            "resets": float(s.resets),
            "rope": round(s.rope_needed, 3),
        }
        out.append((same_setup(s.walk), tuple(counts[name] for name in order.names)))
    return out


def in_arrays(site: Site, top: int = 10) -> tuple[Listed, int, float]:
    """(the list, walks, s of the processor)."""
    began = time.process_time()
    order, rules, kit = Order.of(site.preferences), Rules(), kit_of(site)
    board = Board(order, top, everything=False)
    count = 0
    for scene in scenes(site, lay_stations(site)):
        tables = Tables(scene, kit, rules, site.preferences.margin_wanted, roomy=False)
        confirmer = one_rope(tables, board, order, Tally())
        for paths in every_path(tables):
            count += len(paths)
            for begin in range(0, len(paths), CHUNK):
                numbers = numbers_of(paths[begin : begin + CHUNK], tables)
                for pattern in eta_patterns(kit, numbers.shape[1] - 2):
                    etas = np.tile(np.array(pattern, dtype=float), (len(numbers), 1))
                    confirmer.work_out(
                        evaluate(scene, numbers, etas.reshape(len(numbers), -1)), lambda: True
                    )
    out: Listed = [(identity, entry.sort) for identity, entry in board.leaders()]
    return out, count, time.process_time() - began


def every_path(t: Tables) -> Iterator[Numbers]:
    """Complete paths from the puller backwards, all of one length at a time."""
    assert t.rules.most_in_a_row == 2
    assert not t.rules.tail
    places = np.flatnonzero(t.from_load[:-1])
    leads = np.flatnonzero(t.leads)
    begun = [leads[:, None]] if len(leads) else []
    if t.direct:
        yield np.zeros((1, 1), dtype=np.int64)
        begun.append(np.zeros((1, 1), dtype=np.int64))
    for _ in range(t.sheaves):
        longer: list[Numbers] = []
        for path in begun:
            if path[0, -1] == 0:
                longer.append(_beyond(path, np.ones((len(path), len(places)), dtype=bool), places))
                continue
            meets = path[t.from_load[path[:, -1]]]
            longer.append(
                np.concatenate([meets, np.zeros((len(meets), 1), dtype=np.int64)], axis=1)
            )
            if path.shape[1] == 1 or path[0, -2] == 0:
                every = np.arange(len(t.hops))
                hopped = _beyond(path, t.hops[path[:, -1]] & t.from_load, every)
                longer.append(hopped)
        begun = [path for path in longer if len(path)]
        # A line that ends on an anchor comes straight from the load; one that ends at the load, not.
        for path in begun:
            if path[0, -1] == 0 or path[0, -2] == 0:
                yield path


def _beyond(path: Numbers, may: np.ndarray, places: Numbers) -> Numbers:
    index, place = np.nonzero(may)
    return np.concatenate([path[index], places[place][:, None]], axis=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain:
    """Plain Python on every walk: s of the processor for all of them, and whether that is a sample's
    time multiplied out."""

    seconds: float
    walks: int
    extrapolated: bool
    listed: list[object] | None = None


def in_plain_python(site: Site) -> Plain:
    """The whole enumeration of `tests.oracle`."""
    began = time.process_time()
    answer = enumerate_setups(site)
    return Plain(
        seconds=time.process_time() - began,
        walks=answer.space,
        extrapolated=False,
        listed=[found.identity for found in answer.setups],
    )


def by_a_sample(site: Site, space: int, many: int) -> Plain:
    """The forces on some walks, every so many of those under the rules, multiplied out. The gear is not
    counted: the whole enumeration takes longer than this."""
    (grip,) = grips(site)
    scene = PlainScene(site, stations(site), grip, site.pullers[0])
    found = (
        walk
        for walk in walks(scene.places(), scene.me, site.preferences.most_sheaves)
        if allowed(walk, scene.puller, site.preferences.rules)
    )
    some = list(islice(found, 0, 40 * many, 40))
    eta = 0.9
    began = time.process_time()
    for walk in some:
        scene.work(walk, ((eta, eta),) * (len(walk) - 2))
    each = (time.process_time() - began) / len(some)
    return Plain(seconds=each * space, walks=space, extrapolated=True)
