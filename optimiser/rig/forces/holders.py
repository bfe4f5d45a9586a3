"""Lists what can hold the rope: a trunk with turns and a hand behind it, or a puller that pays out."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalogue.pullers import PulledBy
from optimiser.mechanics.published import number
from optimiser.rig.gear.kit import Kit
from optimiser.rig.ground.attachments import attachments
from optimiser.rig.ground.edging import edgings
from optimiser.rig.ground.scene import Scene, wherever_it_stands
from optimiser.rig.ground.stations import Stations
from optimiser.site.model import Preferences, Puller, Site

HAND = "hand"
"""Name of the stand-in for whoever eases the rope round a trunk."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HandLimit:
    """What the person on the rope has to give, N: `most`, and `comfort`, below which less is no
    better."""

    most: float
    comfort: float
    source: str


def hand_limit(preferences: Preferences, stated: float | None) -> HandLimit:
    """The limit requested, or the published one for a person."""
    published = number("hold", "start_or_stop")
    most = published.value if stated is None else stated
    return HandLimit(
        most=most,
        comfort=most / max(preferences.enough, 1.0),
        source=published.source if stated is None else "site",
    )


def hand(site: Site) -> Puller:
    """The stand-in: it stands at no place of the walk, whose last place is the trunk."""
    return Puller(
        name=HAND,
        kind=PulledBy.PEOPLE,
        position=site.legs[-1].end,
        height=0.0,
        heading=(1.0, 0.0, 0.0),
        run=0.0,
        purchase=None,
        limit=float("inf"),
        limit_factors=(),
        hitch_rating=None,
        hitch_eye=None,
        needs_termination=False,
        dynamic=number("hold", "jerk").value,
    )


def paying_out(site: Site) -> tuple[Puller, ...]:
    """The pullers that hold by themselves while they pay out: people's hands do not."""
    return tuple(puller for puller in site.pullers if puller.needs_termination)


def holding_scenes(site: Site, stations: Stations, kit: Kit) -> Iterator[Scene]:
    """Every way to take hold of the load: with trunks to turn round, and with each puller. `site` rises along
    its path; `kit`: what there may be to lay on edges."""
    laid = edgings(site, kit)
    for attachment in attachments(site):
        for puller in (hand(site), *paying_out(site)):
            yield from wherever_it_stands(site, stations, attachment, puller, laid)
