"""Anchors made where nothing stands: picket holdfasts and buried logs (deadmen)."""

from collections.abc import Sequence
from itertools import pairwise

from optimiser.mechanics.domain import within
from optimiser.mechanics.published import number, row, tables

LBF = 4.4482216152605
KGF = 9.80665
FOOT = 0.3048


def picket_holdfast(*, system: str, soil: str = "loam") -> float:
    """Holding power [N] of wooden pickets by the pattern from the load backwards, e.g. "3-2-1".

    A pull that it holds, not a safe load: put a design factor on it. ValueError for a pattern or
    soil that is not published. Source: navedtra-14251; "1-1", "2-1" and soils from memory.
    """
    return _printed(system)[0] * soil_share(soil) * LBF


def source_of_holdfast(system: str) -> str:
    """Key of the source of a wooden holdfast's figure."""
    return _printed(system)[1]


def _printed(system: str) -> tuple[float, str]:
    """What wooden pickets hold in loam, lbf, and the key of its source."""
    printed: dict[str, tuple[float, str]] = {}
    for key in ("picket_loam", "picket_loam_memory"):
        entry = tables("anchorage")[key]
        for name, pull in zip(entry["systems"], row("anchorage", key), strict=True):
            printed[name] = (pull, str(entry["source"]))
    if system not in printed:
        raise ValueError(f"holdfast {system!r}: published are {', '.join(sorted(printed))}")
    return printed[system]


def groups(system: str) -> tuple[int, ...]:
    """Pickets in each group of a system, from the load backwards: "3-2-1" is 3, 2, 1."""
    return tuple(int(group) for group in system.split("-"))


def soil_share(soil: str) -> float:
    """Holding power of pickets in a soil / in loam. Source: fm-5-125."""
    return _soil("picket_soil", soil)


def steel_pickets(*, count: int) -> float:
    """SAFE load [N] of `count` steel pickets in good ground: 350 kgf each, up to 2 t in all.

    Source: disaster-rescue.
    """
    if count < 1:
        raise ValueError(f"{count} pickets: at least 1")
    most = number("anchorage", "picket_steel_most").value
    return min(count * number("anchorage", "picket_steel").value, most) * KGF


def deadman_pressure(*, depth: float, run: float, soil: str = "loam") -> float:
    """Holding power per area of face [Pa]; linear between the published depths and slopes.

    depth: mean depth of the log [m], 3 .. 7 ft; run: the guy line slopes 1 in `run`, 1 .. 4; soil:
    as published. ValueError outside. Source: tm-5-5420-278-10 table 9.
    """
    depths, runs = row("anchorage", "deadman", "depths"), row("anchorage", "deadman", "runs")
    feet = within("mean depth in ft", depth / FOOT, depths[0] - 1e-9, depths[-1] + 1e-9)
    within("run of the guy line's slope", run, runs[0], runs[-1])
    table: list[list[float]] = tables("anchorage")["deadman"]["values"]
    at_run = [_between(run, runs, line) for line in table]
    return _between(feet, depths, at_run) * _soil("deadman_soil", soil) * LBF / FOOT**2


def _between(at: float, where: Sequence[float], values: Sequence[float]) -> float:
    """Linear between the values at some rising places; beyond the last ones, theirs."""
    for (low, first), (high, second) in pairwise(zip(where, values, strict=True)):
        if at <= high:
            share = min(max((at - low) / (high - low), 0.0), 1.0)
            return first + share * (second - first)
    return values[-1]


def _soil(key: str, soil: str) -> float:
    names: list[str] = tables("anchorage")[key]["soils"]
    if soil not in names:
        raise ValueError(f"soil {soil!r}: published are {', '.join(names)}")
    return dict(zip(names, row("anchorage", key), strict=True))[soil]
