"""Counts the walks of the space of holds, so that "proven" can state among how many."""

import numpy as np

from optimiser.search.lowering.walks import Field


def walks_in_space(field: Field) -> int:
    """Complete walks of a field under its rules, gear and bounds left aside."""
    size = len(field.scene.places)
    hops = field.hops.astype(float)
    usable = field.usable.astype(float)
    from_load = field.from_load.astype(float)
    ends = np.zeros(size)
    ends[list(field.ends)] = 1.0
    # Walks by their last place: `rows[run][met]` has so many anchors in a row at the end.
    most = min(field.rules.most_in_a_row, field.sheaves)
    total = 0.0
    load = {False: 0.0, True: 0.0}
    rows = {(0, False): ends}
    for depth in range(field.sheaves + 1):
        onto_load = sum(float(row @ from_load) for row in rows.values())
        total += onto_load
        total += (load[False] + load[True]) * float(from_load @ usable)
        if field.rules.tail:
            total += sum(float((row @ hops) @ usable) for (_, met), row in rows.items() if met)
        if depth == field.sheaves:
            break
        grown: dict[tuple[int, bool], np.ndarray] = {}
        started = (load[False] + load[True]) * from_load * usable
        grown[(1, True)] = started
        for (run, met), row in rows.items():
            if run < most:
                more = (row @ hops) * usable
                key = (run + 1, met)
                grown[key] = grown.get(key, np.zeros(size)) + more
        rows, load = grown, {False: 0.0, True: onto_load}
    return round(total)
