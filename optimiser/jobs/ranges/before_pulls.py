"""Works out what a setup's margin would be by the site file alone, without the pulls that were read."""

from dataclasses import dataclass

from optimiser.rig.refit import Stopped, refit
from optimiser.rig.setup import Setup
from optimiser.site.model import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforePulls:
    """`margin` 0: the setup would not work, and `why`."""

    margin: float
    why: str = ""


def before_pulls(site: Site, setup: Setup) -> BeforePulls | None:
    """None where no pull was read."""
    before = None if site.origin is None else site.origin.before_pulls()
    if before is None:
        return None
    filled = refit(before, setup)
    if isinstance(filled, Stopped):
        return BeforePulls(margin=0.0, why=filled.why)
    return BeforePulls(margin=filled.margin)
