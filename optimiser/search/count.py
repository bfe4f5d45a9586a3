"""Counts the walks of the space, so that "proven among N walks" has its N."""

import numpy as np

from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.scene import Scene
from optimiser.search.bounds.bound_rows import Tables
from optimiser.search.rules import Rules


def walks_in_space(scene: Scene, kit: Kit, rules: Rules) -> int:
    """Complete walks of a scene under the rules, counted place by place (not enumerated)."""
    return walks_by_sheaves(scene, kit, rules)[-1]


def walks_by_sheaves(scene: Scene, kit: Kit, rules: Rules) -> list[int]:
    """The walks of at most 0, 1, 2, ... sheaves."""
    t = Tables(scene, kit, rules, 1.0, only_rated=False, roomy=False)
    size = len(scene.places)
    hops = t.hops.astype(float)
    # Open walks whose last place is a block: on the load, or on an anchor after so many in a row.
    anchors = [np.where(t.leads, 1.0, 0.0)]
    met = [np.zeros(size)]
    on_load = 1.0 if t.direct else 0.0
    total = on_load  # the straight pull
    totals = [int(total)]
    for depth in range(1, t.sheaves + 1):
        final = depth == t.sheaves
        from_anchor = sum(float((a * t.from_load).sum()) for a in anchors)
        from_anchor += sum(float((m * t.from_load).sum()) for m in met)
        standing = on_load * float(t.from_load[1:-1].sum())
        if rules.tail:
            for run, m in enumerate(met, start=1):
                if run < rules.most_in_a_row:
                    standing += float((m @ hops).sum())
        total += from_anchor + standing
        totals.append(int(total))
        if final:
            break
        shifted = [a @ hops for a in anchors[: rules.most_in_a_row - 1]]
        shifted_met = [m @ hops for m in met[: rules.most_in_a_row - 1]]
        start = np.where(t.from_load, on_load, 0.0)
        start[0] = start[-1] = 0.0
        anchors = [np.zeros(size), *shifted]
        met = [start, *shifted_met]
        on_load = from_anchor
        if rules.most_in_a_row > t.sheaves:
            anchors = anchors[: t.sheaves + 1]
            met = met[: t.sheaves + 1]
    return totals
