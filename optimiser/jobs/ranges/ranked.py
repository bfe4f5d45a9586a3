"""Adds to a ranking how good each setup is with every range at its better end.

Every setup is planned for the worse ends of the site's ranges already, both ends where either may be
the worse: its margin is the worst one (`optimiser.jobs.ranges.corners`).
"""

from dataclasses import replace

from optimiser.proof.ranges import verify_margins
from optimiser.rig.setup import Ranking, Setup
from optimiser.site.model import Site
from optimiser.site.origin import as_changed


def with_ends(site: Site, found: Ranking) -> Ranking:
    """A ranking with the margins at the worst and at the best ends of every setup. Of a site without ranges,
    or planned at another corner than the worst, it stays as it is."""
    if not site.uncertain:
        return found
    if not found.setups:
        return found
    site = as_changed(site)
    return replace(found, setups=tuple(_with_ends(site, setup) for setup in found.setups))


def _with_ends(site: Site, setup: Setup) -> Setup:
    from optimiser.jobs.ranges.corners import extremes  # not needed where all is certain

    assert site.origin is not None
    reached = extremes(site, setup)
    out = replace(setup, margin_worst=reached.worst, margin_best=reached.best)
    verify_margins(out, *site.origin.ends)
    return out
