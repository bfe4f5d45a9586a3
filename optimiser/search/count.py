"""Counts the walks of the space, so that "proven among N walks" has its N."""

import numpy as np

from optimiser.mechanics.arrays import Array
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.line import HAULING, Line
from optimiser.search.rules import Rules


def walks_in_space(scene: Scene, kit: Kit, rules: Rules, line: Line = HAULING) -> int:
    """Complete walks of a scene under the rules, counted place by place (not enumerated)."""
    return walks_by_sheaves(scene, kit, rules, line)[-1]


def walks_by_sheaves(scene: Scene, kit: Kit, rules: Rules, line: Line = HAULING) -> list[int]:
    """The walks of at most 0, 1, 2, ... sheaves."""
    t = Tables(scene, kit, rules, 1.0, only_rated=False, roomy=False, line=line)
    size, hops = len(scene.places), t.hops.astype(float)
    # Open walks whose last place is the load; or an anchor, by how many are in a row there, before and after
    # the walk has met the load. A trunk that the rope is held on is in no row.
    on_load = 1.0 if t.direct else 0.0
    leads = np.where(t.leads, 1.0, 0.0)
    fresh = [leads] if t.by_hand else [np.zeros(size), leads]
    met: list[Array] = [np.zeros(size)]
    total = 0.0 if t.by_hand else on_load  # the straight pull
    totals = [] if t.by_hand else [total]
    for turns in range(1, t.nodes + 1):
        onto_load = sum(float(row @ t.from_load) for row in (*fresh, *met))
        total += onto_load + on_load * float(t.from_load[1:-1].sum())
        if rules.tail:
            total += sum(float((row @ hops).sum()) for row in met[: rules.most_in_a_row])
        totals.append(total)
        if turns == t.nodes:
            break
        started = np.where(t.from_load, on_load, 0.0)
        started[0] = started[-1] = 0.0
        few = rules.most_in_a_row
        fresh = [np.zeros(size), *(row @ hops for row in fresh[:few])]
        met = [np.zeros(size), started, *(row @ hops for row in met[1:few])]
        on_load = onto_load
    return [round(total) for total in totals]
