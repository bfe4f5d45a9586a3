"""The main job: the best setups of a site with the gear owned, as `bankhaul rank` lists them."""

from dataclasses import replace

from optimiser.jobs.question import RANK, RankQuestion
from optimiser.jobs.ranges.ranked import with_ends
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.setup import Ranking
from optimiser.search.clock import Progress
from optimiser.site.model import Site


def rank(site: Site, question: RankQuestion = RANK, *, progress: Progress | None = None) -> Ranking:
    """The best setups of a site, fully rated ones first, each re-checked, each with its margin at the worst
    and at the best ends of the site's ranges. With `question.hold` each has the second lines that keep its
    load in hand. `progress`: a sign of life."""
    if not question.hold:
        found = rank_hauls(site, question, progress=progress)
    else:
        from optimiser.jobs.hold.ranked import rank_held  # start-up time: seldom asked for

        found = rank_held(site, question, progress=progress)
    found = with_ends(site, found)
    return replace(found, setups=tuple(replace(setup, site=site) for setup in found.setups))
