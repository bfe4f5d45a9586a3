"""Checks for the cautions that hauls and ways down call for alike."""

from typing import Protocol

from optimiser.rig.cautions.book import Fields
from optimiser.rig.setup import names
from optimiser.site.model import Site
from shared.units import Dimension, Rounding, show


class Rated(Protocol):
    """What every setup states of its strength."""

    @property
    def unrated(self) -> tuple[str, ...]:
        """Names of the pieces without a rating."""

    @property
    def margin(self) -> float: ...

    @property
    def weakest(self) -> str: ...


def unrated(site: Site, setup: Rated) -> Fields:
    """The pieces without a rating, if there are any."""
    del site
    if setup.unrated:
        yield {"pieces": names(setup.unrated)}


def margin_short(site: Site, setup: Rated) -> Fields:
    """The margin and what sets it, where it is below the one wanted."""
    wanted = site.preferences.margin_wanted
    if setup.margin < wanted:
        yield {
            "margin": show(setup.margin, Dimension.RATIO, rounding=Rounding.DOWN),
            "wanted": show(wanted, Dimension.RATIO),
            "weakest": setup.weakest,
        }
