"""Decides which way a load is let down its path: from the higher end to the lower, whichever the file
begins with."""

from collections.abc import Iterator

from optimiser.jobs.lower.results import Zone, ZoneKind
from optimiser.mechanics.resting import Rest
from optimiser.rig.ground.scene import Scene
from optimiser.rig.ground.stations import leg_lengths, path_length
from optimiser.site.model import BREAKOUT_REACH, Site
from optimiser.site.turned import rise, turned
from shared.units import Dimension, Rounding, show

LEVEL = 1e-9
"""m: ends that differ by less are equally high."""


def upward(site: Site) -> Site:
    """The site with its path from the lower end to the higher one; as it is where both are level."""
    return turned(site) if rise(site) < -LEVEL else site


def falls_both_ways(site: Site, name: str) -> str:
    """Why a load cannot go both ways on a path: it falls, and both haul and way down lead downhill; "" where
    it can. `name`: what the site is called."""
    if rise(site) >= -LEVEL:
        return ""
    return (
        f"the path of {name} ends lower than it starts, so both haul and way down lead downhill on it: for a "
        "load that goes both ways write its path from the lower end to the upper one"
    )


def notes(given: Site, scene: Scene, zones: tuple[Zone, ...]) -> tuple[str, ...]:
    """Lists what has to be known of the path before anything is let down it, in sentences. `given`: the site
    as its file has it; `scene`: of the site turned upward."""
    return (*_order(given), *_rises(scene, zones), *_lips(given, scene), *_stuck(given))


def _order(given: Site) -> Iterator[str]:
    height = rise(given)
    if height < -LEVEL:
        yield (
            f"The path in the file ends {_metres(given, -height)} lower than it starts: the load is let "
            "down from its start to its end. Metres along the path are counted here from its lower end, "
            "which is the end of the path in the file."
        )
    elif height <= LEVEL:
        yield (
            "Both ends of the path are equally high: it is gone through from its end to its start, with "
            "metres counted from its start."
        )


def _rises(scene: Scene, zones: tuple[Zone, ...]) -> Iterator[str]:
    """Where a path that falls also rises. Adjoining stretches are one."""
    site, st = scene.site, scene.stations
    merged: list[tuple[float, float]] = []
    for zone in zones:
        if zone.kind is ZoneKind.CLIMBS:
            joins = merged and merged[-1][1] == zone.from_m
            begin = merged.pop()[0] if joins else zone.from_m
            merged.append((begin, zone.to_m))
    for begin, end in merged:
        heights = [float(st.point[abs(st.at - at).argmin(), 2]) for at in (begin, end)]
        yield (
            f"The path falls and rises: from {_metres(site, begin)} down to {_metres(site, end)} of the "
            f"path the way down goes up by {_metres(site, heights[1] - heights[0])}. There the load has "
            "to be hauled (`bankhaul rank`, with a path over that stretch); no hold here does that."
        )


def _lips(given: Site, scene: Scene) -> Iterator[str]:
    """Lips in the way: those that wheels drop over, and on a path turned round those they climb."""
    site, st = scene.site, scene.stations
    if given is site:
        for s in (st.step > 0.0).nonzero()[0]:
            if st.rest[s] == Rest.RESTS:
                yield (
                    f"At {_metres(site, float(st.at[s]))} the wheels drop over a lip "
                    f"{_metres(site, float(st.step[s]))} high: there the load runs, whatever it does "
                    "before and after. Lay a ramp, or keep it on a line over the lip."
                )
        return
    for leg, at in zip(given.legs, _starts(given), strict=True):
        if leg.step > 0.0:
            yield (
                f"At {_metres(site, at)} a lip {_metres(site, leg.step)} high stands in the way down: "
                "wheels have to climb it. Lay a ramp, or haul it over (`bankhaul rank`)."
            )


def _stuck(given: Site) -> Iterator[str]:
    if rise(given) >= -LEVEL:
        return
    for leg, at in zip(given.legs, _starts(given), strict=True):
        if leg.breakout > 1.0:
            end = max(at - BREAKOUT_REACH, 0.0)
            yield (
                f"The ground holds it fast from {_metres(given, at)} down to {_metres(given, end)}: to "
                f"start it there may take {show(leg.breakout, Dimension.RATIO, rounding=Rounding.UP)} "
                "times the push that is given, and then it comes free with a jerk. Keep the line tight."
            )


def _starts(given: Site) -> list[float]:
    """Where each leg of a path that falls begins, m from its lower end."""
    at = path_length(given)
    out = []
    for length in leg_lengths(given):
        out.append(at)
        at -= float(length)
    return out


def _metres(site: Site, value: float) -> str:
    return show(value, Dimension.LENGTH, site.preferences.units)
