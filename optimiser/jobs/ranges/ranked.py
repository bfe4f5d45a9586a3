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
    assert site.origin is not None
    worst, best = site.origin.site({}, "worst"), site.origin.site({}, "best")
    setups = tuple(_with_ends(site, setup, worst, best) for setup in found.setups)
    return replace(found, setups=setups)


def _with_ends(site: Site, setup: Setup, worst: Site, best: Site) -> Setup:
    from optimiser.jobs.ranges.corners import extremes_on  # not needed where all is certain

    ends = extremes_on(site, setup, worst, best)
    out = replace(setup, margin_worst=ends.worst, margin_best=ends.best)
    verify_margins(out, worst, best)
    return out
