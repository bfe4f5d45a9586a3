"""Puts together what a purchase for one site is searched with: scenes, gear owned, offers."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from catalogue.prices import PricedItem
from optimiser.jobs.buy.descents import ShownDown
from optimiser.jobs.buy.held import Held
from optimiser.jobs.buy.shown import Shown
from optimiser.jobs.hold.kept import kept_scenes, may_need
from optimiser.jobs.lower.answer import usual_line
from optimiser.jobs.lower.downhill import upward
from optimiser.jobs.lower.zones import stretch_to_hold
from optimiser.jobs.question import BuyQuestion, MissesQuestion
from optimiser.jobs.why.misses.nearest import nearest_misses
from optimiser.jobs.why.misses.others import impassable
from optimiser.rig.conditions import as_if_rated
from optimiser.rig.forces.holders import holding_scenes
from optimiser.rig.gear.kit import Kit
from optimiser.rig.gear.made import with_made
from optimiser.rig.ground.scene import scenes
from optimiser.rig.ground.stations import lay_stations
from optimiser.rig.setup import Miss
from optimiser.search.buying.least import Market
from optimiser.search.buying.staged import Job
from optimiser.search.clock import Clock
from optimiser.search.stock.offers import Offer, offers, owned_with
from optimiser.site.model import Site

Shows = TypeVar("Shows", bound=Shown | ShownDown, covariant=True)


@dataclass(frozen=True)
class Stall(Generic[Shows]):
    """A site with what is offered. `shown` works out what a purchase makes possible there; `impassable`: no
    piece gets the load over the path."""

    site: Site
    job: Job
    shown: Shows
    impassable: bool = False


def for_haul(
    site: Site, offered: tuple[Offer, ...], question: BuyQuestion, clock: Clock, *, loose: bool
) -> Stall[Shown]:
    """`loose`: what has no rating is taken to hold; what is shown states what it would have to stand."""
    searched = as_if_rated(site) if loose else site
    owned, whole = _gear(searched, offered)
    laid = lay_stations(site, gear=whole.pieces)
    kept = question.hold and may_need(site)
    tabulated = kept_scenes if kept else scenes
    market = Market(
        scenes=[scene for scene in tabulated(searched, laid, whole) if scene.rated],
        owned=owned,
        offers=offered,
        rules=question.rules(site),
        floor=site.preferences.margin_wanted,
        clock=clock,
        joining=question.join_ropes is not False,
    )
    lays = any(scene.edging.protector is not None for scene in market.scenes)
    return Stall(
        site,
        Job(searched, market, Held(searched, question) if kept else None),
        Shown(site, question, clock, loose=loose, lays=lays),
        impassable(site, laid),
    )


def for_way_down(
    site: Site, offered: tuple[Offer, ...], question: BuyQuestion, clock: Clock, *, loose: bool
) -> Stall[ShownDown]:
    """`loose`: as for a haul. Raises ValueError where the load rests all along its way."""
    rising = upward(site)
    searched = as_if_rated(rising) if loose else rising
    owned, whole = _gear(searched, offered)
    stations = lay_stations(searched, gear=whole.pieces)
    held = stretch_to_hold(stations)
    if held is None:
        raise ValueError("nothing has to be held")
    ends = stations.at[held]
    market = Market(
        scenes=[s for s in holding_scenes(searched, stations, whole) if s.rated],
        owned=owned,
        offers=offered,
        rules=question.rules(site),
        floor=site.preferences.margin_wanted,
        clock=clock,
        line=usual_line(searched),
    )
    job = Job(searched, market, between=(float(ends[0]), float(ends[-1])))
    return Stall(site, job, ShownDown(site, question, clock, loose=loose))


def _gear(searched: Site, offered: tuple[Offer, ...]) -> tuple[Kit, Kit]:
    """What is owned, and that with all that is offered. What can be made on the spot costs nothing, so it is
    as if it were there."""
    owned = owned_with(replace(searched, gear=with_made(searched.gear)), ())
    return owned, Kit((*owned.pieces, *(offer.piece for offer in offered)), owned.knots)


def stopped_by(
    site: Site,
    items: Iterable[PricedItem],
    question: BuyQuestion,
    clock: Clock,
    *,
    loose: bool = False,
) -> tuple[Miss, ...]:
    """What stops the haul of a site with the whole price list."""
    # Prices do not matter here: what a better piece makes pointless at any price is left out.
    free = [replace(item, price=0.0) for item in items]
    everything = owned_with(site, [(o, o.most) for o in offers(site, free)], loose=loose)
    misses = MissesQuestion(without=question.without, rated_only=not loose)
    return nearest_misses(site, misses, kit=everything, clock=clock.anew())
