"""Says which of the trips of a load that goes both ways can be done with the gear owned."""

from optimiser.jobs.lower.answer import lower
from optimiser.jobs.lower.downhill import falls_both_ways
from optimiser.jobs.question import LowerQuestion, RankQuestion
from optimiser.jobs.ranking import rank_hauls
from optimiser.rig.setup import Ranking
from optimiser.rig.status import Status
from optimiser.search.clock import Clock, Progress
from optimiser.site.model import Site

_SAYS = {
    (True, True): "Both trips of the load can be done with this gear: `bankhaul sheet --both` has them on "
    "one sheet.",
    (True, False): "ONLY THE HAUL CAN BE DONE with this gear: nothing lets the load down all its way. "
    "`bankhaul lower` says what stops it, `bankhaul buy --both` what to buy for both.",
    (False, True): "ONLY THE WAY DOWN CAN BE DONE with this gear: no one setup hauls the load the whole "
    "way. `bankhaul stages` looks for several, `bankhaul buy --both` says what to buy for both.",
    (False, False): "NEITHER TRIP of the load can be done with this gear, the haul in one stage: "
    "`bankhaul buy --both` says what to buy for both.",
}  # fmt: skip
_UNRATED = " That counts on pieces without a rating: nobody knows what they stand."


def which_trips(
    site: Site,
    ranking: Ranking | None = None,
    *,
    time_limit: float | None = None,
    progress: Progress | None = None,
) -> str:
    """Which of the trips can be done with the gear owned, in words; "" for a load that makes one trip only.
    `ranking`: the hauls, where they are known; `time_limit` [s], `progress` as of `rank`."""
    if len(site.preferences.trips) < 2:
        return ""
    fault = falls_both_ways(site, site.name)
    if fault:
        return f"{fault[:1].upper()}{fault[1:]}."
    clock = Clock(time_limit, progress)
    question = RankQuestion(top=1, explain=False)
    up = rank_hauls(site, question, clock=clock.anew()) if ranking is None else ranking
    down = lower(site, LowerQuestion(top=1), clock=clock.anew())
    if Status.UNDECIDED in (up.status, down.status):
        return (
            "Whether both trips of the load can be done is not settled: the search was cut short."
        )
    held = down.setups[:1] or down.stages
    loose = any(s.unrated for s in up.setups[:1]) or any(s.unrated for s in held)
    unrated = _UNRATED if loose else ""
    return _SAYS[bool(up.setups), down.feasible] + unrated
