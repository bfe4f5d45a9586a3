"""A way down as it is, on a site whose places have moved: what its readings leave open of it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from optimiser.jobs.lower.as_it_is import held_by
from optimiser.jobs.lower.results import Lowering, LoweringSetup
from optimiser.jobs.ranges.elsewhere import Elsewhere, There
from optimiser.jobs.ranges.kept_to import Figure, FigureKey, Rigged, figures, resting
from optimiser.jobs.ranges.readings_off import LeftOpen, along, of_rig
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.forces.holders import HandLimit, hand
from optimiser.rig.gear.turns import Gripping
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.refit import Stopped, own_stations
from optimiser.site.model import Owned, Site
from optimiser.site.roaming.stands import puller_of
from optimiser.site.turned import turned


def left_open(
    found: Lowering,
    setup: LoweringSetup,
    *,
    extra: Sequence[Owned] = (),
    elsewhere: Elsewhere | None = None,
) -> LeftOpen | None:
    """What the readings of its site leave open of a way down; None where no place is measured. `extra`:
    pieces that it has besides those of the site; `elsewhere`: of that site, where several ways are looked
    at."""

    def again(there: There, *, every_line: bool) -> Mapping[FigureKey, Figure] | Stopped:
        assert there.site is not None
        site = replace(there.site, gear=(*there.site.gear, *extra))
        rigged = on(rising(site, found), found, setup)
        if isinstance(rigged, Stopped):
            return rigged
        return {**figures(rigged), **resting(rising(there.site, found))}

    if found.site.surveyed is None:
        return None
    used = {place.name for place in setup.walk}
    used |= {setup.holder.name} if setup.holder else set()
    return of_rig(elsewhere or Elsewhere(found.site), again, used)


def rest_left_open(found: Lowering) -> LeftOpen | None:
    """The same of a load that is said to rest by itself, with nothing to hold it."""

    def again(there: There, *, every_line: bool) -> Mapping[FigureKey, Figure] | Stopped:
        assert there.site is not None
        return resting(rising(there.site, found))

    return None if found.site.surveyed is None else of_rig(Elsewhere(found.site), again, used=())


def rising(site: Site, found: Lowering) -> Site:
    """A site of the same path as that of the way down, turned so that it rises along it."""
    return turned(site) if found.turned else site


def on(
    site: Site, found: Lowering, setup: LoweringSetup, *, gripping: Gripping = grip_of
) -> Rigged | Stopped:
    """The way down, with the pieces it has, on a site that rises along its path; or why it does not work
    there."""
    low, high = ends(site, found, setup)
    laid = lay_stations(site, (low, high))
    stretch = own_stations(laid.pick(laid.between(low, min(high, float(laid.at[-1])))), setup)
    holder = hand(site)
    if setup.holder is not None:
        holder = puller_of(site, setup.holder)
        site = replace(site, pullers=(holder,))
    limit = HandLimit(most=found.hand_limit, comfort=found.hand_comfort, source=found.hand_source)
    held = held_by(site, stretch, setup, holder=holder, limit=limit, gripping=gripping)
    if isinstance(held, Stopped):
        return held
    filled, built = held
    return Rigged(filled=filled, pieces=built.components, pull=built.line)


def ends(site: Site, found: Lowering, setup: LoweringSetup) -> tuple[float, float]:
    """The lower and the upper end of the way down on another site of the same path, m along it."""
    low, high = (along(found.site, site, at) for at in (setup.to_m, setup.from_m))
    return low, high
