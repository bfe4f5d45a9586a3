"""The main job: the best setups of a site with the gear owned, as `bankhaul rank` lists them."""

from dataclasses import dataclass, field, replace

from optimiser.jobs.question import RANK, RankQuestion
from optimiser.jobs.ranges.ranked import with_ends
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.ground.sharing import Shared
from optimiser.rig.setup import Ranking
from optimiser.search.clock import Progress
from optimiser.search.trail import Trail
from optimiser.site.model import Site


@dataclass(frozen=True, slots=True)
class Kept:
    """What a process keeps from one ranking to the next, for sites that differ in few numbers: tables of what
    did not change, and where the best lay. For one ranking at a time."""

    tables: Shared = field(default_factory=Shared)
    trail: Trail = field(default_factory=Trail)


def rank(
    site: Site,
    question: RankQuestion = RANK,
    *,
    progress: Progress | None = None,
    kept: Kept | None = None,
    only: int | None = None,
) -> Ranking:
    """The best setups of a site, fully rated ones first, each re-checked, each with its margin at the worst
    and at the best ends of the site's ranges. With `question.hold` each has the second lines that keep its
    load in hand. `progress`: a sign of life; `kept`: from earlier rankings of sites like this; the setups are
    the same with and without, the counts of what was looked at on the way are not. `only`: the number in the
    list of the one setup that is wanted: without second lines the others are not worked out."""
    if not question.hold:
        kept = kept or Kept()
        tables, trail = kept.tables.scenes, kept.trail
        found = rank_hauls(
            site, question, tabulated=tables, trail=trail, progress=progress, only=only
        )
    else:
        from optimiser.jobs.hold.ranked import rank_held  # start-up time: seldom asked for

        found = rank_held(site, question, progress=progress)
        if only is not None:
            some = found.setups[only - 1 : only]
            found = replace(found, setups=some, listed=len(found.setups))
    found = with_ends(site, found)
    return replace(found, setups=tuple(replace(setup, site=site) for setup in found.setups))
