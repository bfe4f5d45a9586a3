"""Yields the cautions a way down calls for, and those that hold for every one.

Texts, sources and limits stand in `data/cautions.toml`. To add one: a table there, and a check here
of the same name that yields the fields of its text once for each time it is to be printed.
"""

from catalogue.gear import Rope
from catalogue.ground import Motion
from optimiser.jobs.lower.results import LoweringSetup
from optimiser.jobs.lower.words import newtons, round_turns
from optimiser.mechanics.published import number
from optimiser.mechanics.resting import Rest
from optimiser.rig.cautions import alike
from optimiser.rig.cautions.book import CautionBook, Fields
from optimiser.rig.forces.grips import grip_of
from optimiser.rig.ground.stations import leg_lengths
from optimiser.rig.setup import Caution
from optimiser.site.model import AnchorKind, Site
from shared.units import Dimension, Rounding, show

BOOK: CautionBook[[Site, LoweringSetup]] = CautionBook("optimiser.jobs.lower")


def cautions(site: Site, setup: LoweringSetup) -> tuple[Caution, ...]:
    """Every caution of a setup, in the order of the data file. The setup's own are not read."""
    return BOOK.called_for(site, setup)


def _force(site: Site, value: float, rounding: Rounding = Rounding.UP) -> str:
    system = site.preferences.units
    if value < 1000.0:
        return newtons(value, system, rounding)
    return show(value, Dimension.FORCE, system, rounding)


def _metres(site: Site, value: float) -> str:
    return show(value, Dimension.LENGTH, site.preferences.units)


def trunk_of(setup: LoweringSetup) -> str:
    """Name of the trunk the turns are on; "" where a puller holds."""
    return setup.walk[-1].name if setup.turns else ""


BOOK.check(alike.unrated)
BOOK.check(alike.margin_short)
BOOK.check(alike.made_anchor)
BOOK.check(alike.shared_trees)
BOOK.check(alike.wide_sling)
BOOK.check(alike.anchor_by_weight)
for edge_check in alike.EDGES:
    BOOK.check(edge_check)


@BOOK.check
def _runaway(site: Site, setup: LoweringSetup) -> Fields:
    live = [row for row in setup.profile if row.runs > 0.0]
    running = [row for row in live if row.rest is Rest.RUNS]
    if live:
        does = "runs down by itself" if running else "may run down by itself (too close to call)"
        upper, lower = _metres(site, live[0].at), _metres(site, live[-1].at)
        yield {
            "does": does,
            "force": _force(site, max(row.runs for row in live)),
            "places": f"with the load between {upper} and {lower} of the path",
        }


@BOOK.check
def _unload(site: Site, setup: LoweringSetup) -> Fields:
    if setup.turns:
        yield {"turns": round_turns(setup.turns), "trunk": trunk_of(setup)}


@BOOK.check
def _hand(site: Site, setup: LoweringSetup) -> Fields:
    limits = BOOK.limits("hand")
    if setup.turns:
        yield {
            "trunk": trunk_of(setup),
            "turns": round_turns(setup.turns),
            "clear": _metres(site, limits["clear"]),
            "hand": _force(site, setup.hand),
            "least": _force(site, setup.hand_least, Rounding.NEAREST),
        }


@BOOK.check
def _change_hands(site: Site, setup: LoweringSetup) -> Fields:
    steady = number("hold", "keep_moving").value
    if setup.turns and setup.hand > steady:
        yield {"hand": _force(site, setup.hand), "steady": _force(site, steady)}


@BOOK.check
def _gloves(site: Site, setup: LoweringSetup) -> Fields:
    yield {}


@BOOK.check
def _heat(site: Site, setup: LoweringSetup) -> Fields:
    rope = setup.rope.gear
    if not setup.turns or not isinstance(rope, Rope):
        return
    grip = grip_of(rope)
    melts = ""
    if grip is not None and grip.melts is not None:
        melts = f" This fibre ({rope.material}) melts at about {grip.melts:.0f} °C."
    yield {"energy": f"{setup.heat / 1000.0:.1f}", "melts": melts}


@BOOK.check
def _bark(site: Site, setup: LoweringSetup) -> Fields:
    if setup.turns and site.anchor(trunk_of(setup)).kind is AnchorKind.TREE:
        yield {"tree": trunk_of(setup), "low": show(setup.friction, Dimension.RATIO)}


@BOOK.check
def _logging_rule(site: Site, setup: LoweringSetup) -> Fields:
    if setup.turns and site.anchor(trunk_of(setup)).kind is AnchorKind.TREE:
        yield {}


@BOOK.check
def _friction_drops(site: Site, setup: LoweringSetup) -> Fields:
    if setup.turns:
        yield {"low": show(setup.friction, Dimension.RATIO), "hand": _force(site, setup.hand)}


@BOOK.check
def _resets(site: Site, setup: LoweringSetup) -> Fields:
    if setup.holder is not None and setup.resets:
        yield {"holder": setup.holder.name, "resets": str(setup.resets)}


@BOOK.check
def _push(site: Site, setup: LoweringSetup) -> Fields:
    resting = [
        row.push
        for row in setup.profile
        if row.rest is Rest.RESTS and not row.climbs and row.push > 0.0
    ]
    if resting:
        yield {"push": _force(site, max(resting))}


@BOOK.check
def _perhaps(site: Site, setup: LoweringSetup) -> Fields:
    sticking = [row.push for row in setup.profile if row.runs > 0.0 and row.push > 0.0]
    if sticking:
        yield {"push": _force(site, max(sticking))}


@BOOK.check
def _climbs(site: Site, setup: LoweringSetup) -> Fields:
    rising = [row for row in setup.profile if row.climbs]
    if rising and rising[0].at > rising[-1].at:
        backward = any(row.rest is not Rest.RESTS for row in rising)
        yield {
            "upper": _metres(site, rising[0].at),
            "lower": _metres(site, rising[-1].at),
            "pull": _force(site, max(row.push for row in rising)),
            "back": " Let go of there, it may run back." if backward else "",
        }


@BOOK.check
def _side_pull(site: Site, setup: LoweringSetup) -> Fields:
    limits = BOOK.limits("side_pull")
    live = [row for row in setup.profile if row.line > 0.0]
    if not live:
        return
    rolling = site.legs[0].motion is Motion.ROLLING
    preferences = site.preferences
    limit = preferences.side_pull_rolling if rolling else preferences.side_pull_sliding
    row = max(live, key=lambda r: r.side_pull)
    if row.side_pull >= limits["share"] * limit:
        yield {
            "ratio": show(row.side_pull, Dimension.RATIO, rounding=Rounding.UP),
            "at": _metres(site, row.at),
            "limit": show(limit, Dimension.RATIO),
        }


@BOOK.check
def _lip(site: Site, setup: LoweringSetup) -> Fields:
    start = 0.0
    for leg, length in zip(site.legs, leg_lengths(site), strict=True):
        if leg.step > 0.0 and setup.to_m - 1e-9 <= start <= setup.from_m + 1e-9:
            yield {"height": _metres(site, leg.step), "at": _metres(site, start)}
        start += float(length)


@BOOK.check
def _stage_end(site: Site, setup: LoweringSetup) -> Fields:
    last = setup.profile[-1]
    if last.runs > 0.0 and last.at > 1e-9:
        does = "would run" if last.rest is Rest.RUNS else "may run"
        yield {"at": _metres(site, last.at), "does": does, "force": _force(site, last.runs)}
